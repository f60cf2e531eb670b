"""Where a view shows the landmarks, and which of them are hidden."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from builder.arrays import Floats
from builder.camera.projection import project
from builder.camera.sight import SUPERSAMPLE, Eye
from builder.form.looked import Looked
from builder.form.visible import tolerance_mm
from builder.model.closest import closest_within
from builder.model.model import Model
from builder.study.description import Landmark

REACH_SHARE = 0.02
"""A landmark no farther from the surface than this share of the model's size stands for the place closest to it: a
tutor measures it by hand, a little over or under."""
SLACK_SHARE = 0.003
"""What may stand before a landmark, as a share of the model's size, with the landmark still seen: the rim of the small
hollow or fold that many landmarks lie in."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A landmark in a view: its place x, y, px; ``seen`` whether it is in the picture with nothing before it;
    ``front`` its place from the front (:mod:`builder.form.front`), px, nan where that eye does not have it before it.
    ``point_mm`` is the place of the surface that stands for it.
    """

    name: str
    point_mm: tuple[float, float, float]
    place: tuple[float, float]
    front: tuple[float, float]
    seen: bool


def place_landmarks(looked: Looked, landmarks: Sequence[Landmark], front: Eye) -> tuple[Placed, ...]:
    """The landmarks of a view in their order; of those behind the eye the place is nan."""
    if not landmarks:
        return ()
    model, eye = looked.model, looked.eye
    points, normals = _on_surface(model, landmarks)
    tolerance = tolerance_mm(eye, points, normals) + SLACK_SHARE * model.size_mm
    places, depth = project(eye, points)
    visible = [_open(looked, place, least) for place, least in zip(places, depth - tolerance, strict=True)]
    before, _ = project(front, points)
    return tuple(
        Placed(landmark.name, _three(point), _two(place), _two(at), there)
        for landmark, point, place, at, there in zip(landmarks, points, places, before, visible, strict=True)
    )


def _on_surface(model: Model, landmarks: Sequence[Landmark]) -> tuple[Floats, Floats]:
    """The place (n, 3) that stands for each landmark, mm, and the surface normal there; any normal off the surface."""
    points = np.array([landmark.point_mm for landmark in landmarks], np.float64)
    vertices, faces = model.scene.vertices, model.scene.faces[: model.body_faces]
    near, face = closest_within(points, vertices, faces, REACH_SHARE * model.size_mm)
    one, two, three = (vertices[faces[face, k]] for k in range(3))
    across = np.cross(two - one, three - one)
    return near, across / np.maximum(np.linalg.norm(across, axis=1)[:, None], 1e-300)


def _open(looked: Looked, place: Floats, least: float) -> bool:
    """Whether one of the four samples round a place sees at least as far as ``least``, mm along the optic axis.

    The same judgement as :func:`builder.form.visible.seen`, without the depth of every sample.
    """
    sight, scene, eye = looked.sight, looked.model.scene, looked.eye
    rows, columns = sight.face.shape
    x, y = place * SUPERSAMPLE
    if not (0.0 <= x <= columns and 0.0 <= y <= rows):  # nan is outside too
        return False
    left, top = math.floor(x - 0.5), math.floor(y - 0.5)
    for j in range(max(top, 0), min(top + 2, rows)):
        for i in range(max(left, 0), min(left + 2, columns)):
            face = sight.face[j, i]
            if face < 0:
                return True
            one, two, three = (eye.position - scene.vertices[scene.faces[face]]) @ eye.world_from_camera[:3, 2]
            if one + sight.u[j, i] * (two - one) + sight.v[j, i] * (three - one) >= least:
                return True
    return False


def _two(place: Floats) -> tuple[float, float]:
    return float(place[0]), float(place[1])


def _three(point: Floats) -> tuple[float, float, float]:
    return float(point[0]), float(point[1]), float(point[2])
