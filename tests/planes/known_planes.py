"""Solids of planes written down by hand, so that what is made of planes can be judged without breaking anything up."""

from __future__ import annotations

import numpy as np

from builder.model.model import Model
from builder.planes.planes import Planes
from builder.planes.planes_model import PlanesModel, planes_model
from tests.scenes import Piece, scene_model

FACES = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
"""Corners of a box, numbered z, then x, then y, low before high: under, top, left, right, front, back."""
UNDER, TOP, LEFT, RIGHT, FRONT, BACK = range(6)


def box_planes(*boxes: tuple[tuple[float, float, float], tuple[float, float, float]]) -> Planes:
    """Boxes by their least and greatest corners, six planes each, in the order of :data:`FACES`."""
    vertices, faces, plane, normals, centres, areas = [], [], [], [], [], []
    for number, (low, high) in enumerate(boxes):
        corners = np.array([[x, y, z] for z in (low[2], high[2]) for x in (low[0], high[0]) for y in (low[1], high[1])])
        for side, (a, b, c, d) in enumerate(FACES):
            faces += [[8 * number + k for k in triangle] for triangle in ((a, b, c), (a, c, d))]
            plane += [6 * number + side] * 2
            across = np.cross(corners[b] - corners[a], corners[d] - corners[a])
            areas.append(float(np.linalg.norm(across)))
            normals.append(across / areas[-1])
            centres.append(corners[[a, b, c, d]].mean(axis=0))
        vertices.append(corners)
    return Planes(np.concatenate(vertices), faces, plane, normals, centres, areas, [-1] * len(areas), 0.0, 0.0)


def planes_scene(planes: Planes, *others: Piece) -> PlanesModel:
    """The planes as the sculpture of a scene."""
    corners = planes.faces.ravel()
    normals = planes.normals[np.repeat(planes.plane, 3)]
    body = Piece(0, planes.vertices[corners], np.arange(len(corners)).reshape(-1, 3), normals)  # type: ignore[arg-type]
    model: Model = scene_model(body, *others)
    return planes_model(model, planes)
