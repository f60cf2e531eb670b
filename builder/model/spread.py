"""Points spread evenly over a surface, always the same."""

from __future__ import annotations

import numpy as np

from builder.arrays import Floats, Ints
from builder.model.triangles import Indices

PLASTIC = 0.7548776662466927, 0.5698402909980532
"""One over the plastic number and over its square: the additive recurrence of low discrepancy in two dimensions
(Roberts 2018, from memory)."""


def spread(vertices: Floats, faces: Ints, count: int) -> Floats:
    """(count, 3) points spread evenly over triangles: every equal share of the area has one."""
    return spread_on(vertices[faces], count)[0]


def spread_on(corners: Floats, count: int) -> tuple[Floats, Indices]:
    """Points spread evenly over triangles (m, 3, 3): (count, 3), and the triangle that each lies on, (count,)."""
    a, b, c = (corners[:, k] for k in range(3))
    reach = np.cumsum(np.linalg.norm(np.cross(b - a, c - a), axis=1))
    step = np.arange(count)
    face = np.searchsorted(reach, (step + 0.5) / count * reach[-1]).clip(max=len(corners) - 1)
    u, v = ((0.5 + step * part) % 1.0 for part in PLASTIC)
    over = u + v > 1.0
    u, v = np.where(over, 1.0 - u, u), np.where(over, 1.0 - v, v)
    points: Floats = a[face] + u[:, None] * (b - a)[face] + v[:, None] * (c - a)[face]
    return points, face
