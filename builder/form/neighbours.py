"""How the triangles of a scene hang together: across which side lies which other, and where the form is creased."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Floats, Ints, frozen
from builder.model.model import Model, Part

OPEN = -1
"""Beyond a side where no other triangle, or more than one, lies."""


@dataclass(frozen=True, slots=True, eq=False)
class Neighbours:
    """Across each side of the sculpture's and the plinth's triangles, the other.

    Side k of a face runs from its corner k to the next. across (m, 3) int32, the face beyond each side or :data:`OPEN`;
    crease (m, 3) bool, whether the form bends there by more than the study's crease angle, so that the two faces do not
    share their vertices; point (n,) int32, equal where vertices of one part lie on one point. The room's faces are
    left open.
    """

    across: Ints
    crease: Bools
    point: Ints

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "across", frozen(self.across, "i4", (None, 3)))
        object.__setattr__(self, "crease", frozen(self.crease, np.bool_, (len(self.across), 3)))
        object.__setattr__(self, "point", frozen(self.point, "i4", (None,)))


def neighbours_of(model: Model) -> Neighbours:
    """The neighbours of every triangle of the sculpture and its plinth."""
    scene = model.scene
    point = _points(scene.vertices, np.arange(len(scene.vertices)) >= model.body_vertices)
    solid = scene.parts <= Part.PLINTH
    across = np.full(scene.faces.shape, OPEN, np.int32)
    crease = np.zeros(scene.faces.shape, np.bool_)
    _join(scene.faces, point, solid, across, crease)
    return Neighbours(across, crease, point)


def _points(vertices: Floats, other: Bools) -> Ints:
    """(n,) numbers of the vertices' places, those of ``other`` apart."""
    # one sort of one number each instead of three; an accident would need two of 2^64 alike and is looked for
    bits = (vertices + 0.0).view(np.uint64)
    mixed = other.astype(np.uint64)
    for k in range(3):
        mixed = (mixed ^ bits[:, k]) * np.uint64(0x9E3779B97F4A7C15)
        mixed ^= mixed >> np.uint64(29)
    _, first, point = np.unique(mixed, return_index=True, return_inverse=True)
    assert (vertices[first][point] == vertices).all(), "two places have one number"
    return point.astype(np.int32)


@njit(cache=True, nogil=True)
def _join(corners: Any, point: Any, solid: Any, across: Any, crease: Any) -> None:
    """Pair the sides that join the same two points, where there are exactly two."""
    count = point.max() + 1
    start = np.zeros(count + 1, np.int64)
    for f in range(len(corners)):
        if solid[f]:
            for k in range(3):
                start[min(point[corners[f, k]], point[corners[f, (k + 1) % 3]]) + 1] += 1
    for p in range(count):
        start[p + 1] += start[p]
    filled = start[:-1].copy()
    side, high = np.zeros(start[-1], np.int32), np.zeros(start[-1], np.int32)
    for f in range(len(corners)):
        if solid[f]:
            for k in range(3):
                p, q = point[corners[f, k]], point[corners[f, (k + 1) % 3]]
                low = min(p, q)
                side[filled[low]], high[filled[low]] = 3 * f + k, max(p, q)
                filled[low] += 1
    for p in range(count):
        for i in range(start[p], start[p + 1]):
            met, mate = 0, -1
            for j in range(start[p], start[p + 1]):
                if j != i and high[j] == high[i]:
                    met += 1
                    mate = j
            if met == 1 and mate > i:
                f, k, g, n = side[i] // 3, side[i] % 3, side[mate] // 3, side[mate] % 3
                a, b, c, d = corners[f, k], corners[f, (k + 1) % 3], corners[g, n], corners[g, (n + 1) % 3]
                across[f, k], across[g, n] = g, f
                crease[f, k] = crease[g, n] = not ((a == d and b == c) or (a == c and b == d))
