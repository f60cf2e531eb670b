"""Lines of many small steps as a hand would draw them: even, sharp only at corners, and with few points."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Floats
from builder.model.triangles import Indices

CORNER_DEG = 35.0
"""A line that turns by more than this within eight steps has a corner there, which stays, unless told otherwise."""
_CORNER_REACH = 4
"""Steps from a place to where its line is judged for a corner, either way."""
STEP_PX = 0.75
"""Distance of points while a line is smoothed, unless told otherwise."""
BEND_PX = 0.08
"""Points are left out as long as the line stays this near to them."""
ROUNDS = 8
"""How often a line is smoothed, unless told otherwise."""
_SHRINK, _SWELL = 0.5, -0.53
"""Taubin 1995, A signal processing approach to fair surface design: shrink and swell in turn, so that no bend is cut.
His pair; the pass band ends at 1 / _SHRINK + 1 / _SWELL = 0.11."""


def smooth_line(
    points: Floats, closed: bool, rounds: int = ROUNDS, step_px: float = STEP_PX, corner_deg: float = CORNER_DEG
) -> tuple[Floats, Floats]:
    """A line smoothed, with the place of each of its points along the given one.

    points (m, 2) float64, px. Returns (k, 2) float64, px, and (k,) float64, indices into ``points``, between two of
    them as a fraction, so that what is known along the line can be read off by ``np.interp``. Ends stay; so do corners
    of more than ``corner_deg``. Waves shorter than about fourteen steps of ``step_px`` are evened out, the longer of
    them only in many ``rounds``.
    """
    given = np.vstack([points, points[:1]]) if closed else points
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(given, axis=0).T)))
    keep = np.append(True, np.diff(along) > 1e-9)
    along, given, index = along[keep], given[keep], np.flatnonzero(keep).astype(np.float64)
    count = max(2, round(along[-1] / step_px) + 1)
    at = np.linspace(0.0, along[-1], count)
    even = np.stack([np.interp(at, along, given[:, k]) for k in (0, 1)], axis=1)
    where = np.interp(at, along, index)
    ring = closed and count > 4
    if ring:
        even, where = even[:-1], where[:-1]
    held = _corners(even, ring, _CORNER_REACH, np.cos(np.radians(corner_deg)))
    _fair(even, held, ring, rounds, _SHRINK, _SWELL)
    kept = _needed(even, held, ring)
    return even[kept], where[kept]


@njit(cache=True, nogil=True)
def _corners(line: Any, ring: bool, reach: int, cosine: float) -> Any:
    """(m,) bool, points that must stay: ends, and the sharpest of each run that turns too much."""
    count = len(line)
    sharp = np.full(count, 2.0)
    for i in range(count):
        if not ring and (i < reach or i >= count - reach):
            continue
        p, q = line[(i - reach) % count], line[(i + reach) % count]
        ax, ay, bx, by = line[i, 0] - p[0], line[i, 1] - p[1], q[0] - line[i, 0], q[1] - line[i, 1]
        size = np.sqrt((ax * ax + ay * ay) * (bx * bx + by * by))
        if size > 0.0:
            sharp[i] = (ax * bx + ay * by) / size
    held = np.zeros(count, np.bool_)
    for i in range(count):
        if sharp[i] >= cosine:
            continue
        most = True
        for k in range(1, reach + 1):
            before, after = i - k, i + k
            if ring:
                before, after = before % count, after % count
            if before >= 0 and sharp[before] <= sharp[i]:
                most = False
            if after < count and sharp[after] < sharp[i]:
                most = False
        held[i] = most
    if not ring:
        held[0] = held[count - 1] = True
    return held


@njit(cache=True, nogil=True)
def _fair(line: Any, held: Any, ring: bool, rounds: int, shrink: float, swell: float) -> None:
    count = len(line)
    moved = np.zeros_like(line)
    for turn in range(2 * rounds):
        share = shrink if turn % 2 == 0 else swell
        for i in range(count):
            moved[i] = line[i]
            if held[i]:
                continue
            before, after = (i - 1) % count, (i + 1) % count
            for k in range(2):
                moved[i, k] += share * ((line[before, k] + line[after, k]) / 2 - line[i, k])
        line[:] = moved


def _needed(line: Floats, held: Bools, ring: bool) -> Indices:
    """Indices of the points that the line needs (Douglas, Peucker 1973), the first and the last among them."""
    kept = held.copy()
    kept[0] = kept[-1] = True
    if ring:
        # a ring has no ends of its own: the point farthest from its first stands in
        kept[np.square(line - line[0]).sum(axis=1).argmax()] = True
    _thin(line, kept, BEND_PX)
    return np.flatnonzero(kept)


@njit(cache=True, nogil=True)
def _thin(line: Any, kept: Any, bend: float) -> None:
    stack = [(0, 0)]
    stack.pop()
    last = 0
    for i in range(1, len(line)):
        if kept[i]:
            stack.append((last, i))
            last = i
    while len(stack) > 0:
        a, b = stack.pop()
        dx, dy = line[b, 0] - line[a, 0], line[b, 1] - line[a, 1]
        length = np.sqrt(dx * dx + dy * dy)
        far, most = -1, bend
        for i in range(a + 1, b):
            x, y = line[i, 0] - line[a, 0], line[i, 1] - line[a, 1]
            if length > 1e-9:
                along = min(max((x * dx + y * dy) / length, 0.0), length)
                off = np.sqrt((x - along * dx / length) ** 2 + (y - along * dy / length) ** 2)
            else:
                off = np.sqrt(x * x + y * y)
            if off > most:
                far, most = i, off
        if far >= 0:
            kept[far] = True
            stack.append((a, far))
            stack.append((far, b))
