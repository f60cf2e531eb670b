"""Rings: the outlines of each shape put together from the lines it shares with others."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from builder.arrays import Ints, Singles
from builder.plates.outlines import Outlines


@dataclass(frozen=True, slots=True, eq=False)
class Rings:
    """Closed lines round shapes, by shape: ring i has the points first[i] to first[i + 1] - 1, its start not repeated.

    points (n, 2) float32, px; first (k + 1,) int64; shape (k,) int32, rising. The shape lies on the left of its rings.
    """

    points: Singles
    first: NDArray[np.int64]
    shape: Ints


def find_rings(outlines: Outlines) -> Rings:
    """The rings of every shape."""
    count = len(outlines.closed)
    line = np.tile(np.arange(count), 2)
    backwards = np.repeat([False, True], count)
    shape = np.concatenate([outlines.left_shape, outlines.right_shape])
    inside = shape >= 0
    line, backwards, shape = line[inside], backwards[inside], shape[inside]
    ends = outlines.points[outlines.first[1:] - 1], outlines.points[outlines.first[:-1]]
    start = np.where(backwards[:, None], ends[0][line], ends[1][line])
    stop = np.where(backwards[:, None], ends[1][line], ends[0][line])
    # Of every shape as many lines start in a place as end there; closed lines have their places to themselves.
    place = np.unique(np.concatenate([start, stop]), axis=0, return_inverse=True)[1].ravel()
    key = np.concatenate([shape, shape]).astype(np.int64) * (int(place.max()) + 1) + place
    starting = np.argsort(key[: len(line)], kind="stable")
    stopping = np.argsort(key[len(line) :], kind="stable")
    after = np.zeros(len(line), np.int64)
    after[stopping] = starting
    order = np.argsort(shape, kind="stable")
    points = np.zeros((2 * len(outlines.points), 2), np.float32)
    first = np.zeros(len(line) + 1, np.int64)
    owner = np.zeros(len(line), np.int32)
    found = _go_round(outlines.points, outlines.first, line, backwards, shape, after, order, points, first, owner)
    return Rings(points[: first[found]].copy(), first[: found + 1].copy(), owner[:found].copy())


@njit(cache=True, nogil=True)
def _go_round(
    source: Any, bounds: Any, line: Any, backwards: Any, shape: Any, after: Any, order: Any, points: Any, first: Any,
    owner: Any,
) -> int:  # fmt: skip
    found, filled = 0, 0
    gone = np.zeros(len(line), np.bool_)
    for begin in order:
        if gone[begin]:
            continue
        at = begin
        while not gone[at]:
            gone[at] = True
            start, stop = bounds[line[at]], bounds[line[at] + 1] - 1
            for i in range(stop - start):  # its last point is the first of the next
                points[filled] = source[stop - i] if backwards[at] else source[start + i]
                filled += 1
            at = after[at]
        owner[found] = shape[begin]
        found += 1
        first[found] = filled
    return found
