"""Shapes to model with: signed distances in mm, negative inside, and how they flow into one another.

Frame, millimetres: x to the model's left, f forward from the back plane, z up from the base. Every function takes
arrays of x, f and z that broadcast together. Nothing here knows about noses.
"""

import math
from itertools import pairwise

import numpy as np


def joined(one, other, blend_mm):
    """Both, with a fillet about as wide as ``blend_mm``: cubic smooth minimum."""
    over = np.maximum(blend_mm - np.abs(one - other), 0.0) / blend_mm
    return np.minimum(one, other) - over * over * over * (blend_mm / 6.0)


def met(one, other, blend_mm):
    """What both hold, the edge rounded."""
    return -joined(-one, -other, blend_mm)


def hollowed(one, hole, blend_mm):
    """The first without the second, the edge rounded."""
    return -joined(-one, hole, blend_mm)


def ball(x, f, z, centre, radii, lean_deg=0.0, turn_deg=0.0):
    """An ellipsoid. Its axes are turned by ``lean_deg`` in the upright plane (its forward end up), then by
    ``turn_deg`` in the level one (its forward end to the left).
    """
    lean, turn = math.radians(lean_deg), math.radians(turn_deg)
    x, f, z = x - centre[0], f - centre[1], z - centre[2]
    across = math.cos(turn) * x - math.sin(turn) * f
    ahead = math.sin(turn) * x + math.cos(turn) * f
    forward, up = math.cos(lean) * ahead + math.sin(lean) * z, math.cos(lean) * z - math.sin(lean) * ahead
    parts = [(q / r, q / (r * r)) for q, r in zip((across, forward, up), radii, strict=True)]
    k0 = np.sqrt(sum(one * one for one, _ in parts))
    k1 = np.sqrt(sum(two * two for _, two in parts))
    return k0 * (k0 - 1.0) / np.maximum(k1, 1e-9)


def roll(x, f, z, knots, steps=8):
    """A round roll of clay along a curve through knots (x, f, z, radius)."""
    rows = _curve(np.array(knots, float), steps)
    best = None
    for one, other in pairwise(rows):
        way = other - one
        px, pf, pz = x - one[0], f - one[1], z - one[2]
        part = (px * way[0] + pf * way[1] + pz * way[2]) / float((way[:3] * way[:3]).sum())
        part = np.minimum(np.maximum(part, 0.0), 1.0)
        gx, gf, gz = px - part * way[0], pf - part * way[1], pz - part * way[2]
        away = np.sqrt(gx * gx + gf * gf + gz * gz) - (one[3] + part * way[3])
        best = away if best is None else np.minimum(best, away)
    return best


def block(x, f, z, low, high, round_mm):
    """A box between two corners with rounded edges."""
    sides = [
        np.abs(p - 0.5 * (a + b)) - (0.5 * (b - a) - round_mm) for p, a, b in zip((x, f, z), low, high, strict=True)
    ]
    outside = np.sqrt(sum(np.maximum(side, 0.0) ** 2 for side in sides))
    return outside + np.minimum(np.maximum(np.maximum(sides[0], sides[1]), sides[2]), 0.0) - round_mm


def _curve(knots, steps):
    """Catmull-Rom through knots (n, m), ends kept."""
    padded = np.vstack([2 * knots[0] - knots[1], knots, 2 * knots[-1] - knots[-2]])
    t = np.arange(steps)[:, None] / steps
    spans = []
    for p0, p1, p2, p3 in zip(padded, padded[1:], padded[2:], padded[3:], strict=False):
        first, second = 2 * p0 - 5 * p1 + 4 * p2 - p3, 3 * p1 - p0 - 3 * p2 + p3
        spans.append(0.5 * (2 * p1 + (p2 - p0) * t + first * t * t + second * t * t * t))
    return np.vstack([*spans, knots[-1:]])
