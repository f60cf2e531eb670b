"""A picture in steps as runs: stretches of pixels side by side in a row that have one step, and what joins them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from builder.arrays import Bools, Bytes, Ints


@dataclass(frozen=True, slots=True, eq=False)
class Runs:
    """The runs of a picture, row by row from the left.

    first (h + 1,) int32, index of each row's first run; start, stop (r,) int32, columns, stop excluded; step (r,)
    uint8; shape (r,) int32, number of the connected area a run belongs to (pixels that share a side belong together),
    counted by step, then by row and column of the area's first pixel. Of each area, step_of_shape (k,) uint8 and
    area_px (k,) int64.
    """

    first: Ints
    start: Ints
    stop: Ints
    step: Bytes
    shape: Ints
    step_of_shape: Bytes
    area_px: NDArray[np.int64]


def find_runs(steps: Bytes, mask: Bools | None = None) -> Runs:
    """The runs of ``steps`` (h, w) uint8, inside ``mask`` (h, w) bool when given; pixels outside belong to none."""
    first = np.zeros(steps.shape[0] + 1, np.int32)
    start, stop = np.zeros((2, steps.size), np.int32)
    step = np.zeros(steps.size, np.uint8)
    inside = np.ones((0, 0), np.bool_) if mask is None else mask
    count = _cut(steps, inside, mask is not None, first, start, stop, step)
    start, stop, step = start[:count].copy(), stop[:count].copy(), step[:count].copy()
    home = _join(first, start, stop, step)
    homes = np.flatnonzero(home == np.arange(count))
    homes = homes[np.argsort(step[homes], kind="stable")]
    number = np.zeros(count, np.int32)
    number[homes] = np.arange(len(homes))
    shape = number[home]
    area = np.bincount(shape, stop - start, len(homes)).astype(np.int64)
    return Runs(first, start, stop, step, shape, step[homes], area)


def painted(runs: Runs, colour: NDArray[Any], picture: NDArray[Any]) -> NDArray[Any]:
    """``picture`` (h, w) with every run painted over in the ``colour`` (k,) of its shape."""
    _paint(runs.first, runs.start, runs.stop, colour[runs.shape], picture)
    return picture


def areas_inside(runs: Runs, mask: Bools) -> NDArray[np.int64]:
    """Of each shape how many pixels lie inside ``mask`` (h, w) bool, (k,)."""
    areas = np.zeros(len(runs.area_px), np.int64)
    _count(runs.first, runs.start, runs.stop, runs.shape, mask, areas)
    return areas


def borders(runs: Runs) -> tuple[Ints, Ints, NDArray[np.int64]]:
    """Pairs of shapes that touch, the smaller number first, and how many pixel sides they share; (p,) each, sorted."""
    count = len(runs.area_px)
    pairs, sides = np.zeros((2, 4 * len(runs.start)), np.int64)
    found = _touch(runs.first, runs.start, runs.stop, runs.shape, count, pairs, sides)
    pair, inverse = np.unique(pairs[:found], return_inverse=True)
    shared = np.bincount(inverse, sides[:found], len(pair)).astype(np.int64)
    return (pair // max(count, 1)).astype(np.int32), (pair % max(count, 1)).astype(np.int32), shared


@njit(cache=True, nogil=True)
def _cut(steps: Any, mask: Any, masked: bool, first: Any, start: Any, stop: Any, step: Any) -> int:
    count = 0
    h, w = steps.shape
    for y in range(h):
        first[y] = count
        x = 0
        while x < w:
            if masked and not mask[y, x]:
                x += 1
                continue
            start[count], step[count] = x, steps[y, x]
            x += 1
            while x < w and steps[y, x] == step[count] and (not masked or mask[y, x]):
                x += 1
            stop[count] = x
            count += 1
    first[h] = count
    return count


@njit(cache=True, nogil=True)
def _join(first: Any, start: Any, stop: Any, step: Any) -> Any:
    """For each run the first run of its connected area."""
    home = np.arange(len(start))
    for y in range(1, len(first) - 1):
        above = first[y - 1]
        for run in range(first[y], first[y + 1]):
            while above < first[y] and stop[above] <= start[run]:
                above += 1
            over = above
            while over < first[y] and start[over] < stop[run]:
                if step[over] == step[run]:
                    a, b = over, run
                    while home[a] != a:
                        home[a] = home[home[a]]
                        a = home[a]
                    while home[b] != b:
                        home[b] = home[home[b]]
                        b = home[b]
                    home[max(a, b)] = min(a, b)
                over += 1
    for run in range(len(home)):
        home[run] = home[home[run]]  # those before already stand at the end of their chain
    return home


@njit(cache=True, nogil=True)
def _touch(first: Any, start: Any, stop: Any, shape: Any, count: int, pairs: Any, sides: Any) -> int:
    """Fill in the pairs of shapes, as one number each, where runs touch, and the sides shared there; count them.

    Runs of a row that follow each other share one side; two rows overlap in fewer places than they have runs.
    """
    found = 0
    for y in range(len(first) - 1):
        above = first[max(y - 1, 0)]
        for run in range(first[y], first[y + 1]):
            here = shape[run]
            if run + 1 < first[y + 1] and stop[run] == start[run + 1] and shape[run + 1] != here:
                pairs[found], sides[found] = min(here, shape[run + 1]) * count + max(here, shape[run + 1]), 1
                found += 1
            if y == 0:
                continue
            while above < first[y] and stop[above] <= start[run]:
                above += 1
            over = above
            while over < first[y] and start[over] < stop[run]:
                if shape[over] != here:
                    pairs[found] = min(here, shape[over]) * count + max(here, shape[over])
                    sides[found] = min(stop[over], stop[run]) - max(start[over], start[run])
                    found += 1
                over += 1
    return found


@njit(cache=True, nogil=True)
def _paint(first: Any, start: Any, stop: Any, colour: Any, picture: Any) -> None:
    for y in range(len(first) - 1):
        for run in range(first[y], first[y + 1]):
            for x in range(start[run], stop[run]):
                picture[y, x] = colour[run]


@njit(cache=True, nogil=True)
def _count(first: Any, start: Any, stop: Any, shape: Any, mask: Any, areas: Any) -> None:
    for y in range(len(first) - 1):
        for run in range(first[y], first[y + 1]):
            inside = 0
            for x in range(start[run], stop[run]):
                inside += mask[y, x]
            areas[shape[run]] += inside
