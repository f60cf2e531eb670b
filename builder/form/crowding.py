"""One line where several would run side by side."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Floats
from builder.model.triangles import Indices

ALONG = 0.85
"""Lines whose directions have at least this cosine between them run side by side; others cross or meet."""


class Laid:
    """The lines already laid on a picture, told by the direction in which they cover its pixels."""

    def __init__(self, width_px: int, height_px: int, near_px: float) -> None:
        """``near_px``: lines nearer to each other than this are one to the eye."""
        self._direction = np.zeros((height_px, width_px, 2), np.float32)
        self._near_px = near_px

    def free(self, points: Floats) -> Bools:
        """(m,) bool, whether each point of a line, (m, 2) float64, px, lies beside no line laid before."""
        free = np.ones(len(points), np.bool_)
        _look(points, self._direction, self._near_px, ALONG, free)
        return free

    def lay(self, points: Floats) -> None:
        """Lay a line; its points are at most a pixel apart."""
        _lay(points, self._direction)


def free_runs(free: Bools, closed: bool, gap: int, past: int) -> tuple[tuple[Indices, bool], ...]:
    """The runs of a line's points that are free, as indices in order, and whether each is the whole ring.

    Interruptions of no more than ``gap`` points are passed over, and a run goes on by ``past`` points where it is cut,
    so that it meets the line which takes its place.
    """
    count, there = len(free), np.flatnonzero(free)
    if len(there) == 0:
        return ()
    order = np.arange(count)
    if closed:
        gaps = np.diff(np.append(there, there[0] + count)) - 1
        if gaps.max() <= gap:
            return ((order, True),)
        # begun where it is cut for longest
        order = (order + int(there[(int(gaps.argmax()) + 1) % len(there)]) - past) % count
        there = np.flatnonzero(free[order])
    cuts = np.flatnonzero(np.diff(there) > gap + 1) + 1
    runs = (order[max(run[0] - past, 0) : run[-1] + 1 + past] for run in np.split(there, cuts))
    return tuple((run, False) for run in runs if len(run) > gap + 1)


@njit(cache=True, nogil=True)
def _towards(points: Any, i: int) -> Any:
    """Direction of a line at one of its points, over a few of them."""
    before, after = max(i - 4, 0), min(i + 4, len(points) - 1)
    x, y = points[after, 0] - points[before, 0], points[after, 1] - points[before, 1]
    length = max(np.sqrt(x * x + y * y), 1e-12)
    return x / length, y / length


@njit(cache=True, nogil=True)
def _look(points: Any, direction: Any, near: float, along: float, free: Any) -> None:
    reach = int(np.ceil(near))
    for i in range(len(points)):
        x, y = _towards(points, i)
        column, row = int(np.floor(points[i, 0])), int(np.floor(points[i, 1]))
        for j in range(max(row - reach, 0), min(row + reach + 1, direction.shape[0])):
            for k in range(max(column - reach, 0), min(column + reach + 1, direction.shape[1])):
                if (j - row) ** 2 + (k - column) ** 2 > near * near:
                    continue
                if abs(direction[j, k, 0] * x + direction[j, k, 1] * y) >= along:
                    free[i] = False


@njit(cache=True, nogil=True)
def _lay(points: Any, direction: Any) -> None:
    for i in range(len(points)):
        column, row = int(np.floor(points[i, 0])), int(np.floor(points[i, 1]))
        if 0 <= row < direction.shape[0] and 0 <= column < direction.shape[1]:
            direction[row, column] = _towards(points, i)
