"""Triangles in a tree of boxes: exact nearest points for many points."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Floats, Ints
from builder.model.closest import closest_on
from builder.model.triangles import Indices

_LEAF = 8
"""Faces that are tried one by one."""


@dataclass(frozen=True, slots=True, eq=False)
class Boxes:
    """Triangles (m, 3, 3) in a tree of boxes: node i has the children 2i + 1 and 2i + 2.

    order (m,) the triangles so that those of a node stand together, from starts to ends; lows, highs (nodes, 3).
    """

    corners: Floats
    order: Indices
    starts: Indices
    ends: Indices
    lows: Floats
    highs: Floats

    def nearest(self, points: Floats) -> tuple[Floats, Indices, Floats]:
        """Of each point (n, 3) the nearest point on the triangles (n, 3), its triangle (n,) and its distance (n,)."""
        foot, face = np.zeros((len(points), 3)), np.zeros(len(points), np.int64)
        points = np.ascontiguousarray(points, np.float64)
        _nearest(points, self.corners, self.order, self.starts, self.ends, self.lows, self.highs, foot, face)
        gap: Floats = np.linalg.norm(points - foot, axis=1)
        return foot, face, gap

    def farthest(self, points: Floats) -> float:
        """Greatest distance of any of the points (n, 3) to the triangles."""
        points = np.ascontiguousarray(points, np.float64)
        square = _farthest(points, self.corners, self.order, self.starts, self.ends, self.lows, self.highs)
        return float(np.sqrt(square))


def boxed(vertices: Floats, faces: Ints) -> Boxes:
    """The triangles in boxes, each halved at the median of its longest side."""
    corners = np.ascontiguousarray(vertices[faces])
    a, b, c = (corners[:, k] for k in range(3))
    low, high = np.minimum(np.minimum(a, b), c), np.maximum(np.maximum(a, b), c)
    middles = (a + b + c) / 3
    count = len(middles)
    depth = max(0, int(np.ceil(np.log2(max(count, 1) / _LEAF))))
    nodes = 2 ** (depth + 1) - 1
    order = np.arange(count)
    starts, ends = np.zeros(nodes, np.int64), np.zeros(nodes, np.int64)
    lows, highs = np.full((nodes, 3), np.inf), np.full((nodes, 3), -np.inf)
    ends[0] = count
    _halved(middles, order, starts, ends)
    _fitted(low, high, order, starts, ends, lows, highs)
    return Boxes(corners, order, starts, ends, lows, highs)


@njit(cache=True, nogil=True)
def _halved(middles: Any, order: Any, starts: Any, ends: Any) -> None:
    """Halve the triangles of each node at the median of its longest side, by their middles (m, 3); in each half, and of
    those at the median, the triangles keep their order.
    """
    for node in range(len(starts) // 2):
        start, end = starts[node], ends[node]
        half = (end - start) // 2
        if half > 0:
            inside = order[start:end].copy()
            places = middles[inside]
            axis, longest = 0, -1.0
            for k in range(3):
                least = most = places[0, k]
                for i in range(len(places)):
                    least, most = min(least, places[i, k]), max(most, places[i, k])
                if most - least > longest:
                    axis, longest = k, most - least
            middle = _ranked(places[:, axis].copy(), half)
            equal = half
            for i in range(len(inside)):
                equal -= places[i, axis] < middle
            low, high = start, start + half
            for i in range(len(inside)):
                below = places[i, axis] < middle
                if places[i, axis] == middle and equal > 0:
                    below, equal = True, equal - 1
                if below:
                    order[low] = inside[i]
                    low += 1
                else:
                    order[high] = inside[i]
                    high += 1
        starts[2 * node + 1], ends[2 * node + 1] = start, start + half
        starts[2 * node + 2], ends[2 * node + 2] = start + half, end


@njit(cache=True, nogil=True)
def _ranked(values: Any, rank: int) -> Any:
    """The value that so many stand before when sorted; puts them into another order (Hoare, Algorithm 65: Find)."""
    low, high = 0, len(values) - 1
    while low < high:
        pivot, i, j = values[rank], low, high
        while i <= j:
            while values[i] < pivot:
                i += 1
            while pivot < values[j]:
                j -= 1
            if i <= j:
                values[i], values[j] = values[j], values[i]
                i += 1
                j -= 1
        if j < rank:
            low = i
        if rank < i:
            high = j
    return values[rank]


@njit(cache=True, nogil=True)
def _fitted(low: Any, high: Any, order: Any, starts: Any, ends: Any, lows: Any, highs: Any) -> None:
    """The box of each node: of its triangles in a leaf, of its children above."""
    for node in range(len(starts) - 1, -1, -1):
        if node >= len(starts) // 2:
            for i in range(starts[node], ends[node]):
                for k in range(3):
                    lows[node, k] = min(lows[node, k], low[order[i], k])
                    highs[node, k] = max(highs[node, k], high[order[i], k])
        else:
            for k in range(3):
                lows[node, k] = min(lows[2 * node + 1, k], lows[2 * node + 2, k])
                highs[node, k] = max(highs[2 * node + 1, k], highs[2 * node + 2, k])


@njit(cache=True, nogil=True)
def _nearest(
    points: Any, corners: Any, order: Any, starts: Any, ends: Any, lows: Any, highs: Any, foot: Any, face: Any
) -> None:
    """The nearest place of each point and its triangle."""
    waiting, farness = np.zeros(128, np.int64), np.zeros(128)
    for i in range(len(points)):
        _, face[i] = _walk(points[i], 0.0, corners, order, starts, ends, lows, highs, waiting, farness, foot[i])


@njit(cache=True, nogil=True)
def _farthest(points: Any, corners: Any, order: Any, starts: Any, ends: Any, lows: Any, highs: Any) -> Any:
    """Squared distance of the point farthest off: a point is left as soon as another is known to lie farther."""
    waiting, farness, foot = np.zeros(128, np.int64), np.zeros(128), np.zeros(3)
    greatest = 0.0
    for i in range(len(points)):
        far, _ = _walk(points[i], greatest, corners, order, starts, ends, lows, highs, waiting, farness, foot)
        greatest = max(greatest, far)
    return greatest


@njit(cache=True, nogil=True)
def _walk(
    p: Any,
    enough: float,
    corners: Any,
    order: Any,
    starts: Any,
    ends: Any,
    lows: Any,
    highs: Any,
    waiting: Any,
    farness: Any,
    foot: Any,
) -> Any:
    """Squared distance of a point to its nearest triangle, and which that is: down the tree, nearer box first, past
    boxes that are farther than the best so far, no further once that is ``enough``.
    """
    inner = len(starts) // 2
    best, face = np.inf, 0
    waiting[0], farness[0], left = 0, 0.0, 1
    while left > 0 and best > enough:
        left -= 1
        node = waiting[left]
        if farness[left] >= best:
            continue
        if node >= inner:
            for k in range(starts[node], ends[node]):
                t = corners[order[k]]
                x, y, z = closest_on(p, t[0], t[1], t[2])
                d = (x - p[0]) ** 2 + (y - p[1]) ** 2 + (z - p[2]) ** 2
                if d < best:
                    best, face = d, order[k]
                    foot[0], foot[1], foot[2] = x, y, z
            continue
        one, other = 2 * node + 1, 2 * node + 2
        to_one, to_other = _to_box(p, lows[one], highs[one]), _to_box(p, lows[other], highs[other])
        if to_one < to_other:
            one, other, to_one, to_other = other, one, to_other, to_one
        waiting[left], farness[left] = one, to_one
        waiting[left + 1], farness[left + 1] = other, to_other
        left += 2
    return best, face


@njit(cache=True, nogil=True)
def _to_box(p: Any, low: Any, high: Any) -> Any:
    """Squared distance from a point to a box."""
    total = 0.0
    for k in range(3):
        out = max(low[k] - p[k], p[k] - high[k], 0.0)
        total += out * out
    return total
