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


def boxed(vertices: Floats, faces: Ints) -> Boxes:
    """The triangles in boxes, each halved at the median of its longest side."""
    corners = np.ascontiguousarray(vertices[faces])
    low, high, middles = corners.min(axis=1), corners.max(axis=1), corners.mean(axis=1)
    count = len(middles)
    depth = max(0, int(np.ceil(np.log2(max(count, 1) / _LEAF))))
    nodes = 2 ** (depth + 1) - 1
    order = np.arange(count)
    starts, ends = np.zeros(nodes, np.int64), np.zeros(nodes, np.int64)
    lows, highs = np.full((nodes, 3), np.inf), np.full((nodes, 3), -np.inf)
    ends[0] = count
    _halved(np.ascontiguousarray(middles), order, starts, ends)
    _fitted(np.ascontiguousarray(low), np.ascontiguousarray(high), order, starts, ends, lows, highs)
    return Boxes(corners, order, starts, ends, lows, highs)


@njit(cache=True, nogil=True)
def _halved(middles: Any, order: Any, starts: Any, ends: Any) -> None:
    """Halve the triangles of each node at the median of its longest side, by their middles (m, 3)."""
    for node in range(len(starts) // 2):
        start, end = starts[node], ends[node]
        half = (end - start) // 2
        if half > 0:
            inside = order[start:end].copy()
            axis, longest = 0, -1.0
            for k in range(3):
                values = middles[inside, k]
                length = values.max() - values.min()
                if length > longest:
                    axis, longest = k, length
            order[start:end] = inside[np.argsort(middles[inside, axis], kind="mergesort")]
        starts[2 * node + 1], ends[2 * node + 1] = start, start + half
        starts[2 * node + 2], ends[2 * node + 2] = start + half, end


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
    """Walk down the tree, nearer box first, past boxes that are farther than the best so far."""
    inner = len(starts) // 2
    waiting, farness = np.zeros(128, np.int64), np.zeros(128)
    for i in range(len(points)):
        p = points[i]
        best = np.inf
        waiting[0], farness[0], left = 0, 0.0, 1
        while left > 0:
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
                        best, face[i] = d, order[k]
                        foot[i, 0], foot[i, 1], foot[i, 2] = x, y, z
                continue
            one, other = 2 * node + 1, 2 * node + 2
            to_one, to_other = _to_box(p, lows[one], highs[one]), _to_box(p, lows[other], highs[other])
            if to_one < to_other:
                one, other, to_one, to_other = other, one, to_other, to_one
            waiting[left], farness[left] = one, to_one
            waiting[left + 1], farness[left + 1] = other, to_other
            left += 2


@njit(cache=True, nogil=True)
def _to_box(p: Any, low: Any, high: Any) -> Any:
    """Squared distance from a point to a box."""
    total = 0.0
    for k in range(3):
        out = max(low[k] - p[k], p[k] - high[k], 0.0)
        total += out * out
    return total
