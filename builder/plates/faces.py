"""To which side the seen surface is turned. Counted in samples."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.model.model import Part
from builder.plates.plate import FactValue, Shown


def facing_shares(shown: Shown) -> dict[str, FactValue]:
    """Shares of the sculpture seen that face mostly up, down, the eye's side, and the viewer's left and right.

    Up is the model's up; the eye's side and left and right are level. A triangle belongs to the direction it faces
    most, and counts with the samples that see it. The shares sum to 1.
    """
    names = ("top", "under", "front", "left", "right")
    right = shown.sight.eye.world_from_camera[:3, 0]
    up = np.array((0.0, 0.0, 1.0))
    front = np.cross(right, up)
    scene = shown.model.scene
    seen = _samples_of_faces(shown.sight.face, scene.parts == Part.MODEL)
    faces = np.flatnonzero(seen)
    corners = scene.vertices[scene.faces[faces]]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    # Not a matrix product, which keeps a thread a core busy for a few milliseconds of work.
    turned = np.argmax(np.einsum("ij,kj->ik", normals, np.stack([up, -up, front, -right, right])), axis=1)
    counts = np.bincount(turned, weights=seen[faces], minlength=len(names))
    return {f"{name}_share": float(share) for name, share in zip(names, counts / counts.sum(), strict=True)}


@njit(cache=True, nogil=True)
def _samples_of_faces(face: Any, counted: Any) -> Any:
    """How many samples see each face that is counted, (m,) int64."""
    seen = np.zeros(len(counted), np.int64)
    for y in range(face.shape[0]):
        for x in range(face.shape[1]):
            f = face[y, x]
            if f >= 0 and counted[f]:
                seen[f] += 1
    return seen
