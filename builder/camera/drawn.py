"""Which triangles of a scene an eye can see at all."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Ints
from builder.camera.sight import Eye
from builder.model.model import Model, Part, Surface


def solid_faces(model: Model) -> Ints:
    """Faces of the sculpture and its plinth, which every eye is shown from both sides: (n,) int32, rising."""
    parts = model.scene.parts
    solid: Ints = np.flatnonzero((parts == Part.MODEL) | (parts == Part.PLINTH)).astype(np.int32)
    return solid


def room_faces(model: Model, eye: Eye) -> Ints:
    """Faces of the ground and the backdrop that front the eye: (n,) int32, rising.

    The room is one-sided, so that an eye outside it looks in. From below the ground nothing of it is seen.
    """
    scene = model.scene
    if eye.position[2] < model.ground_mm:
        return np.zeros(0, np.int32)
    room = np.flatnonzero((scene.parts == Part.GROUND) | (scene.parts == Part.BACKDROP)).astype(np.int32)
    return room[fronts(scene, room, eye)]


def fronts(scene: Surface, faces: Ints, eye: Eye) -> Bools:
    """Whether the outer side of each of ``faces`` (n,) is turned to the eye: (n,) bool."""
    turned = np.zeros(len(faces), np.bool_)
    _turned(scene.vertices, scene.faces, faces, eye.position, turned)
    return turned


def part_of(scene: Surface, faces: Ints) -> Surface:
    """The surface of only those faces, in that order, over the same vertices."""
    return replace(scene, faces=scene.faces[faces], parts=scene.parts[faces])


@njit(cache=True, nogil=True)
def _turned(vertices: Any, corners: Any, faces: Any, eye: Any, turned: Any) -> None:
    for i in range(len(faces)):
        p, q, r = corners[faces[i]]
        ax, ay, az = vertices[q] - vertices[p]
        bx, by, bz = vertices[r] - vertices[p]
        x, y, z = vertices[p] - eye
        turned[i] = (ay * bz - az * by) * x + (az * bx - ax * bz) * y + (ax * by - ay * bx) * z < 0.0
