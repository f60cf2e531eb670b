"""The one surface point that stands for each pixel: once per view, whatever the lamp."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bytes, Singles, frozen
from builder.camera.sight import SUPERSAMPLE, Sight
from builder.model.model import Model

NOTHING = 255
"""The part of a pixel whose rays meet nothing."""


@dataclass(frozen=True, slots=True, eq=False)
class Footing:
    """Where each pixel's line of sight lands.

    part (h, w) uint8, a :class:`~builder.model.model.Part` or :data:`NOTHING`: what most of the pixel's samples meet
    (of equals the first met); point (h, w, 3) float32, mm, model frame; normal (h, w, 3) float32, unit shading normal.
    Both are those of the pixel's first sample on that part, and zero where nothing is met.
    """

    part: Bytes
    point: Singles
    normal: Singles

    def __post_init__(self) -> None:
        """Freeze the pictures."""
        object.__setattr__(self, "part", frozen(self.part, "u1", (None, None)))
        for name in ("point", "normal"):
            object.__setattr__(self, name, frozen(getattr(self, name), "f4", (*self.part.shape, 3)))


def find_footing(model: Model, sight: Sight) -> Footing:
    """The surface point of every pixel of a view."""
    size = (sight.eye.height_px, sight.eye.width_px)
    part = np.full(size, NOTHING, np.uint8)
    point, normal = np.zeros((*size, 3), np.float32), np.zeros((*size, 3), np.float32)
    scene = model.scene
    _stand(
        sight.face, sight.u, sight.v, scene.faces, scene.parts, scene.vertices, scene.normals, SUPERSAMPLE, part, point,
        normal,
    )  # fmt: skip
    return Footing(part, point, normal)


@njit(cache=True, nogil=True)
def _stand(
    face: Any, u: Any, v: Any, corners: Any, parts: Any, vertices: Any, normals: Any, side: int, part: Any, point: Any,
    normal: Any,
) -> None:  # fmt: skip
    seen = np.zeros(4, np.int64)
    for y in range(part.shape[0]):
        for x in range(part.shape[1]):
            nothing = 0
            seen[:] = 0
            for j in range(y * side, y * side + side):
                for i in range(x * side, x * side + side):
                    if face[j, i] < 0:
                        nothing += 1
                    else:
                        seen[parts[face[j, i]]] += 1
            if 2 * nothing > side * side:
                continue
            most = seen.max()
            if most == 0:
                continue
            found = False
            for j in range(y * side, y * side + side):
                for i in range(x * side, x * side + side):
                    f = face[j, i]
                    if found or f < 0 or seen[parts[f]] != most:
                        continue
                    found = True
                    part[y, x] = parts[f]
                    a, b, c = corners[f]
                    q, r = np.float64(u[j, i]), np.float64(v[j, i])
                    p = 1.0 - q - r
                    square = 0.0
                    for k in range(3):
                        point[y, x, k] = p * vertices[a, k] + q * vertices[b, k] + r * vertices[c, k]
                        turned = p * normals[a, k] + q * normals[b, k] + r * normals[c, k]
                        normal[y, x, k] = turned
                        square += turned * turned
                    length = max(np.sqrt(square), 1e-12)
                    for k in range(3):
                        normal[y, x, k] /= length
