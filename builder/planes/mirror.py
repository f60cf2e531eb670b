"""Whether a body is its own mirror image from left to right, and about which plane.

Beside builder.model.symmetry, which finds any upright plane: planes are cut in halves by a plane of constant x alone,
and the one here is settled to the last digits against every face.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.arrays import Floats
from builder.model.boxes import Boxes, boxed
from builder.model.spread import spread
from builder.planes.skin import Skin

MOST_RESIDUAL = 0.01
"""Mean mirror distance, in diagonals of the body's box, up to which a body is broken up in mirror image: as much as 30
to 40 planes without symmetry miss a scan by (rms 0.3 to 0.9 % of the diagonal, measured on two scanned heads), so that
mirroring moves the surface no farther than breaking it up does.
"""
_SAMPLES = 1500
_ROUNDS = 12
_SETTLED = 1e-9


@dataclass(frozen=True, slots=True)
class Mirror:
    """The plane x = ``x`` that mirrors a body best, and the mean distance ``residual`` of its image from it."""

    x: float
    residual: float


def find_mirror(skin: Skin) -> Mirror:
    """The best mirror plane of constant x, from the middle of the box and of the area, whichever leads to the better.

    The image is drawn along the normals of the surface next to it (the point-to-plane step of Chen and Medioni 1991),
    far points counting less.
    """
    points = spread(skin.vertices, skin.faces, _SAMPLES)
    boxes = boxed(skin.vertices, skin.faces)
    low, high = skin.vertices[:, 0].min(), skin.vertices[:, 0].max()
    starts = (float(low + high) / 2, float(points[:, 0].mean()))
    return min((_settled(skin, boxes, points, start) for start in starts), key=lambda mirror: mirror.residual)


def _settled(skin: Skin, boxes: Boxes, points: Floats, start: float) -> Mirror:
    """The mirror plane that a start leads to."""
    a, b, c = (skin.vertices[skin.faces[:, k]] for k in range(3))
    normals = np.cross(b - a, c - a)
    normals /= np.maximum(np.linalg.norm(normals, axis=1), 1e-300)[:, None]
    size = float(np.linalg.norm(np.ptp(skin.vertices, axis=0)))
    best = Mirror(start, np.inf)
    x = start
    for _ in range(_ROUNDS):
        image = points * (-1.0, 1.0, 1.0) + (2 * x, 0.0, 0.0)
        foot, face, gap = boxes.nearest(image)
        if gap.mean() < best.residual:
            best = Mirror(x, float(gap.mean()))
        normal = normals[face]
        off = np.einsum("ij,ij->i", image - foot, normal)
        weight = 1.0 / (1.0 + (gap / (MOST_RESIDUAL * size)) ** 2)
        pull = float((weight * normal[:, 0] ** 2).sum())
        step = float((weight * normal[:, 0] * off).sum()) / (2 * pull) if pull > 0 else 0.0
        x -= step
        if abs(step) < _SETTLED * size:
            break
    return best
