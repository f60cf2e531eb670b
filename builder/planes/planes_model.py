"""The model with its sculpture made of flat planes, standing where the sculpture stands."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from builder.arrays import Bools, Floats, Ints, frozen
from builder.model.model import Model, Part, Surface
from builder.model.normals import Shaded
from builder.model.tessellate import cut
from builder.model.triangles import Indices
from builder.planes.planes import Planes

BODY_CELL = 1 / 45
"""Longest edge on the sculpture, in sizes of the model: light is kept on the corners of its faces. A flat plane is lit
more evenly than a rounded form, so that cells may be larger than on the model itself."""
BODY_MOST_FACES = 25_000
"""Cells are made coarser where the finest would come to more faces than this."""
COARSER = 1.1
BASE_TURN = 0.99
"""A plane is part of the base where the cosine of its turn from straight down is greater, and it lies at the foot."""
FOOT = 0.01
"""Height of the foot, in sizes of the model."""


@dataclass(frozen=True, slots=True, eq=False)
class PlanesModel:
    """A planes model: its sculpture's triangles are pieces of planes, each with the normal of its plane.

    ``planes`` stand on the plinth; plane_of_face (model.body_faces,) int32: the plane among them that each face of the
    sculpture is a piece of.
    """

    model: Model
    planes: Planes
    plane_of_face: Ints

    def __post_init__(self) -> None:
        """Freeze the array and check that all belong together."""
        object.__setattr__(self, "plane_of_face", frozen(self.plane_of_face, "i4", (self.model.body_faces,)))


def planes_model(model: Model, planes: Planes) -> PlanesModel:
    """The same plinth, ground and room with the planes in the place of the sculpture.

    Vertices are split where planes meet, so that every plane is shaded by its own normal. The foot stands on the
    plinth as the sculpture's does.
    """
    planes = replace(planes, vertices=_standing(planes, model.size_mm))
    # one vertex for each corner of each plane
    corner = planes.faces.ravel().astype(np.int64)
    plane = np.repeat(planes.plane, 3).astype(np.int64)
    key, vertex = np.unique(corner * planes.count + plane, return_inverse=True)
    point, owner = key // planes.count, key % planes.count
    skin = Shaded(planes.vertices[point], vertex.reshape(-1, 3), planes.normals[owner], point)
    hidden = _base(planes, model.size_mm)[planes.plane]
    cell = BODY_CELL * model.size_mm
    fine = cut(skin, cell, hidden)
    while len(fine.faces) > max(BODY_MOST_FACES, len(skin.faces)):
        cell *= COARSER
        fine = cut(skin, cell, hidden)
    plane_of_face = _owners(fine, owner)
    scene = model.scene
    rest = slice(model.body_faces, None)
    whole = Surface(
        vertices=np.concatenate([fine.vertices, scene.vertices[model.body_vertices :]]),
        faces=np.concatenate([fine.faces, scene.faces[rest] + (len(fine.vertices) - model.body_vertices)]),
        # halfway normals of equal ones are equal but for rounding
        normals=np.concatenate([_exact(fine, planes, plane_of_face), scene.normals[model.body_vertices :]]),
        parts=np.concatenate([np.full(len(fine.faces), Part.MODEL, np.uint8), scene.parts[rest]]),
    )
    return PlanesModel(
        replace(model, scene=whole, body_faces=len(fine.faces), body_vertices=len(fine.vertices)), planes, plane_of_face
    )


def _standing(planes: Planes, size_mm: float) -> Floats:
    """The planes' corners with those of the base, and whatever lies lower, brought to the plinth's top."""
    vertices = planes.vertices.copy()
    base = _base(planes, size_mm)[planes.plane]
    vertices[planes.faces[base].ravel(), 2] = 0.0
    np.maximum(vertices[:, 2], 0.0, out=vertices[:, 2])
    return vertices


def _base(planes: Planes, size_mm: float) -> Bools:
    """(k,) whether each plane lies on the plinth."""
    low = planes.centres[:, 2] <= FOOT * size_mm
    return np.asarray(low & (planes.normals[:, 2] <= -BASE_TURN))


def _owners(fine: Shaded, owner: Indices) -> Ints:
    """(m,) the plane of each face: that of the first vertices, the uncut corners', which it hangs together with."""
    ends = np.concatenate([fine.faces[:, [0, 1]], fine.faces[:, [1, 2]]])
    count = len(fine.vertices)
    joined = coo_array((np.ones(len(ends), np.int8), (ends[:, 0], ends[:, 1])), shape=(count, count))
    groups, group = connected_components(joined, directed=False)
    plane = np.zeros(groups, np.int64)
    plane[group[: len(owner)]] = owner
    owners: Ints = plane[group[fine.faces[:, 0]]].astype(np.int32)
    return owners


def _exact(fine: Shaded, planes: Planes, plane_of_face: Ints) -> Floats:
    """(n, 3) the normal of the plane that each vertex belongs to."""
    normals = fine.normals.copy()
    normals[fine.faces.ravel()] = planes.normals[np.repeat(plane_of_face, 3)]
    return normals
