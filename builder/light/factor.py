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
def form_factors(corners: Floats, normal: Floats, points: Floats, facing: Floats) -> Floats:
    """Form factors of a flat convex lamp for patches, the part of it below a patch's horizon cut off.

    J. H. Lambert, Photometria (1760): half the sum, over the edges, of the angle each subtends times the cosine between
    the patch's normal and that of the plane through the patch and the edge, over pi.

    Args:
        corners: (c, 3) in order.
        normal: (3,) the side of the lamp that shines; patches behind it get 0.
        points: (n, 3) the patches, in the unit of the corners.
        facing: (n, 3) their unit normals.

    Returns:
        (n,) float64.

    """
    factors = np.zeros(len(points))
    scratch = np.zeros((len(corners) + 1, 3))
    for i in range(len(points)):
        ahead = 0.0
        for k in range(3):
            ahead += (points[i, k] - corners[0, k]) * normal[k]
        if ahead > 0.0:
            factors[i] = _seen(scratch, _above(corners, points[i], facing[i], scratch), facing[i])
    return factors


@numba.njit(cache=True, nogil=True)
def _above(corners: Floats, point: Floats, facing: Floats, above: Floats) -> int:
    """Fill in the polygon above the patch's horizon, the patch at the origin; count its corners."""
    bx, by, bz = corners[-1] - point
    before = bx * facing[0] + by * facing[1] + bz * facing[2]
    kept = 0
    for k in range(len(corners)):
        ax, ay, az = corners[k] - point
        here = ax * facing[0] + ay * facing[1] + az * facing[2]
        if (here > 0.0) != (before > 0.0):
            t = before / (before - here)
            above[kept, 0], above[kept, 1], above[kept, 2] = bx + (ax - bx) * t, by + (ay - by) * t, bz + (az - bz) * t
            kept += 1
        if here > 0.0:
            above[kept, 0], above[kept, 1], above[kept, 2] = ax, ay, az
            kept += 1
        bx, by, bz, before = ax, ay, az, here
    return kept


@numba.njit(cache=True, nogil=True)
def _seen(polygon: Floats, count: int, facing: Floats) -> float:
    """Form factor of the first ``count`` corners for a patch at the origin."""
    total = 0.0
    for k in range(count):
        ax, ay, az = polygon[k]
        bx, by, bz = polygon[(k + 1) % count]
        cx, cy, cz = ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx
        length = math.sqrt(cx * cx + cy * cy + cz * cz)
        if length > 0.0:
            angle = math.atan2(length, ax * bx + ay * by + az * bz)
            total += angle * (cx * facing[0] + cy * facing[1] + cz * facing[2]) / length
    return abs(total) / math.tau
