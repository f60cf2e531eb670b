"""The exact share of a point's sky that a lamp's face fills, nothing standing between."""

from __future__ import annotations

import math

import numba
import numpy as np

from builder.arrays import Floats
from builder.light.lit import Emitter

DISC_SIDES = 24
"""Sides of the polygon of the same area that stands for a disc."""


def outline(emitter: Emitter) -> Floats:
    """Corners of the lamp's face, (c, 3) float64, mm; a disc is given as a polygon of its area."""
    if emitter.shape == "disc":
        turn = np.arange(DISC_SIDES) * (math.tau / DISC_SIDES)
        grow = math.sqrt(math.tau / DISC_SIDES / math.sin(math.tau / DISC_SIDES))
        x, y = grow * np.cos(turn), grow * np.sin(turn)
    else:
        x, y = np.array([-1.0, 1.0, 1.0, -1.0]), np.array([-1.0, -1.0, 1.0, 1.0])
    corners: Floats = emitter.centre + x[:, None] * emitter.across + y[:, None] * emitter.along
    return corners


@numba.njit(cache=True, nogil=True)
def form_factor(corners: Floats, point: Floats, facing: Floats, scratch: Floats) -> float:
    """Form factor of a flat convex polygon for a patch, the part below the patch's horizon cut off.

    J. H. Lambert, Photometria (1760): half the sum, over the edges, of the angle each subtends times the cosine between
    the patch's normal and that of the plane through the patch and the edge, over pi.

    Args:
        corners: (c, 3) in order.
        point: (3,) the patch.
        facing: (3,) its unit normal.
        scratch: (c + 1, 3) room to work in, overwritten.

    """
    count = len(corners)
    kept = 0
    bx, by, bz = corners[count - 1] - point
    before = bx * facing[0] + by * facing[1] + bz * facing[2]
    for k in range(count):
        ax, ay, az = corners[k] - point
        here = ax * facing[0] + ay * facing[1] + az * facing[2]
        if (here > 0.0) != (before > 0.0):
            t = before / (before - here)
            scratch[kept, 0] = bx + (ax - bx) * t
            scratch[kept, 1] = by + (ay - by) * t
            scratch[kept, 2] = bz + (az - bz) * t
            kept += 1
        if here > 0.0:
            scratch[kept, 0], scratch[kept, 1], scratch[kept, 2] = ax, ay, az
            kept += 1
        bx, by, bz, before = ax, ay, az, here
    total = 0.0
    for k in range(kept):
        ax, ay, az = scratch[k]
        bx, by, bz = scratch[(k + 1) % kept]
        cx, cy, cz = ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx
        length = math.sqrt(cx * cx + cy * cy + cz * cz)
        if length > 0.0:
            angle = math.atan2(length, ax * bx + ay * by + az * bz)
            total += angle * (cx * facing[0] + cy * facing[1] + cz * facing[2]) / length
    return abs(total) / math.tau
