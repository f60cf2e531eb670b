"""Arcs: the borders between shapes along the sides of pixels, cut where three shapes or more meet.

A corner is where pixels meet, (x, y) with the origin at the picture's top left; corner (x, y) is the top left of pixel
row y, column x. Left and right are those of one who walks along the arc, the picture lying before him as he sees it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from builder.arrays import Bools, Bytes, Ints

_RIGHT, _DOWN, _LEFT, _UP, _NODE = 1, 2, 4, 8, 16
OUTSIDE = -1


@dataclass(frozen=True, slots=True, eq=False)
class Arcs:
    """Every border of a picture once. Arc i has the corners first[i] to first[i + 1] - 1, each one pixel side on.

    corner (n, 2) int32, x and y; first (k + 1,) int64; left, right (k,) int64, a pixel on that side of the arc as index
    into the picture read row by row, ``OUTSIDE`` where there is none; closed (k,) bool, whether the arc comes back to
    where it started without meeting a third shape (its first corner is then its last as well). The corners of the
    picture cut an arc too.
    """

    corner: Ints
    first: NDArray[np.int64]
    left: NDArray[np.int64]
    right: NDArray[np.int64]
    closed: Bools


def trace_arcs(labels: Bytes) -> Arcs:
    """The arcs between areas of one label in ``labels`` (h, w) uint8, and between them and the outside.

    Pixels that share a side and a label belong together; at a corner where two areas of one label only touch, the arcs
    are cut. Arcs come by the row, then the column of the corner they start from, closed ones last.
    """
    sides = np.zeros((labels.shape[0] + 1, labels.shape[1] + 1), np.uint8)
    _find_sides(np.ascontiguousarray(labels), sides)
    places = np.flatnonzero(sides)
    count = int(_COUNT[sides.ravel()[places]].sum()) // 2
    corner = np.zeros((2 * count, 2), np.int32)
    first = np.zeros(count + 1, np.int64)
    left, right = np.zeros((2, count), np.int64)
    closed = np.zeros(count, np.bool_)
    arcs = _walk_all(sides, places, corner, first, left, right, closed)
    last = first[arcs]
    return Arcs(corner[:last].copy(), first[: arcs + 1].copy(), left[:arcs].copy(), right[:arcs].copy(), closed[:arcs])


_COUNT: Ints = np.array([bin(sides & 15).count("1") for sides in range(32)], np.int32)


@njit(cache=True, nogil=True)
def _find_sides(labels: Any, sides: Any) -> None:
    """To every corner the directions in which a border leaves it, and whether arcs are cut there."""
    h, w = labels.shape
    across, along = np.ones(w, np.uint8), np.zeros(w + 1, np.uint8)
    for y in range(h + 1):
        if 0 < y < h:
            _differ(labels[y - 1], labels[y], across)
        else:
            across[:] = 1
        row = sides[y]
        _mark(across, np.uint8(_RIGHT), row[:w])
        _mark(across, np.uint8(_LEFT), row[1:])
        if y < h:
            along[0] = along[w] = 1
            _differ(labels[y, : w - 1], labels[y, 1:], along[1:w])
            _mark(along, np.uint8(_DOWN), row)
            _mark(along, np.uint8(_UP), sides[y + 1])
        _mark_nodes(row)
    for y in (0, h):
        for x in (0, w):
            sides[y, x] |= _NODE


@njit(cache=True, nogil=True)
def _differ(one: Any, other: Any, out: Any) -> None:
    for x in range(len(out)):
        out[x] = np.uint8(one[x] != other[x])


@njit(cache=True, nogil=True)
def _mark(there: Any, direction: Any, row: Any) -> None:
    for x in range(len(row)):
        row[x] |= there[x] * direction


@njit(cache=True, nogil=True)
def _mark_nodes(row: Any) -> None:
    for x in range(len(row)):
        s = row[x]
        ways = (s & np.uint8(1)) + ((s >> 1) & np.uint8(1)) + ((s >> 2) & np.uint8(1)) + ((s >> 3) & np.uint8(1))
        row[x] |= np.uint8(ways > 2) * np.uint8(_NODE)


@njit(cache=True, nogil=True)
def _walk_all(sides: Any, places: Any, corner: Any, first: Any, left: Any, right: Any, closed: Any) -> int:
    """Fill in the arcs and count them: from every node along each of its ways, then round what is left."""
    width = sides.shape[1]
    arcs, filled = 0, 0
    for looking_for_nodes in (True, False):
        for place in places:
            y, x = place // width, place % width
            if looking_for_nodes and not sides[y, x] & _NODE:
                continue
            for way in range(4):
                if sides[y, x] & (1 << way):
                    filled = _walk(sides, y, x, way, arcs, filled, corner, left, right)
                    closed[arcs] = not looking_for_nodes
                    arcs += 1
                    first[arcs] = filled
    return arcs


@njit(cache=True, nogil=True)
def _walk(
    sides: Any, y: int, x: int, way: int, arc: int, filled: int, corner: Any, left: Any, right: Any
) -> int:  # fmt: skip
    """Walk from a corner one way to the next node, or back to the start, wiping out the sides walked along."""
    h, w = sides.shape[0] - 1, sides.shape[1] - 1
    # The pixels right below, left below, left above and right above the corner are those on the left of one who goes
    # down, left, up and right from it, and on the right of one who goes right, down, left and up.
    left[arc] = _pixel(y, x, (way + 3) % 4, h, w)
    right[arc] = _pixel(y, x, way, h, w)
    corner[filled, 0], corner[filled, 1] = x, y
    filled += 1
    while True:
        sides[y, x] &= ~np.uint8(1 << way)
        x += (way == 0) - (way == 2)
        y += (way == 1) - (way == 3)
        sides[y, x] &= ~np.uint8(1 << ((way + 2) % 4))
        corner[filled, 0], corner[filled, 1] = x, y
        filled += 1
        here = sides[y, x]
        if here & _NODE or here == 0:
            return filled
        way = 0
        while not here & (1 << way):
            way += 1


@njit(cache=True, nogil=True)
def _pixel(y: int, x: int, quarter: int, h: int, w: int) -> int:
    """Index of the pixel right below (0), left below (1), left above (2) or right above (3) a corner, or OUTSIDE."""
    y -= quarter >= 2
    x -= 0 < quarter < 3
    return y * w + x if 0 <= y < h and 0 <= x < w else OUTSIDE
