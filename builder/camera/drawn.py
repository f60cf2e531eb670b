"""Which triangles of a scene an eye can see at all."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from builder.arrays import Ints
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


def fronts(scene: Surface, faces: Ints, eye: Eye) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Whether the outer side of each of ``faces`` (n,) is turned to the eye: (n,) bool."""
    p, q, r = (scene.vertices[scene.faces[faces, k]] - eye.position for k in range(3))
    turned: np.ndarray[tuple[int], np.dtype[np.bool_]] = np.einsum("ij,ij->i", np.cross(q - p, r - p), p) < 0
    return turned


def part_of(scene: Surface, faces: Ints) -> Surface:
    """The surface of only those faces, in that order, over the same vertices."""
    return replace(scene, faces=scene.faces[faces], parts=scene.parts[faces])
