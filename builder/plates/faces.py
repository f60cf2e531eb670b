"""How the seen surface is turned: to which side, and into the light or away from it. Counted in samples."""

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


def family_shares(shown: Shown) -> dict[str, FactValue]:
    """Shares of the sculpture seen in the light and in the shadow family of the key lamp; they sum to 1.

    In the light: the shading normal faces the lamp's centre, and more than half of what the lamp gives arrives.
    """
    scene, sight, lit = shown.model.scene, shown.sight, shown.lit
    on_subject = scene.parts == Part.MODEL
    light, total = _count_light(
        sight.face, sight.u, sight.v, scene.faces, on_subject, scene.vertices, scene.normals,
        lit.direct[0], lit.open[0], lit.emitters[0].centre,
    )  # fmt: skip
    return {"light_share": light / total, "shadow_share": (total - light) / total}


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


@njit(cache=True, nogil=True)
def _count_light(
    face: Any, u: Any, v: Any, corners: Any, counted: Any, vertices: Any, normals: Any,
    direct: Any, unshadowed: Any, lamp: Any,
) -> Any:  # fmt: skip
    light, total = 0, 0
    for y in range(face.shape[0]):
        for x in range(face.shape[1]):
            f = face[y, x]
            if f < 0 or not counted[f]:
                continue
            total += 1
            a, b, c = corners[f]
            q, r = u[y, x], v[y, x]
            p = np.float32(1.0) - q - r
            arrives = p * direct[a] + q * direct[b] + r * direct[c]
            given = p * unshadowed[a] + q * unshadowed[b] + r * unshadowed[c]
            if arrives <= np.float32(0.5) * given:
                continue
            cosine = 0.0
            for k in range(3):
                normal = p * normals[a, k] + q * normals[b, k] + r * normals[c, k]
                point = p * vertices[a, k] + q * vertices[b, k] + r * vertices[c, k]
                cosine += normal * (lamp[k] - point)
            if cosine > 0.0:
                light += 1
    return light, total
