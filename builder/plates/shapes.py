"""Shapes of a picture in steps: connected areas of one step, and the merging of those too small to draw."""

from __future__ import annotations

import heapq
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from builder.arrays import Bools, Bytes, Ints
from builder.plates.runs import Runs, borders, find_runs, painted


@dataclass(frozen=True, slots=True, eq=False)
class Shapes:
    """Connected areas of a picture in steps; pixels that share a side belong together.

    shape (h, w) int32, number of the shape a pixel lies in, counted by step, then by row and column of the first pixel;
    -1 outside the mask. step (k,) uint8 and area_px (k,) int64 per shape.
    """

    shape: Ints
    step: Bytes
    area_px: NDArray[np.int64]


def find_shapes(steps: Bytes, mask: Bools | None = None) -> Shapes:
    """Every connected area of ``steps`` (h, w) uint8, inside ``mask`` (h, w) bool when given."""
    runs = find_runs(steps, mask)
    numbers = np.arange(len(runs.area_px), dtype=np.int32)
    shape: Ints = painted(runs, numbers, np.full(steps.shape, -1, np.int32))
    return Shapes(shape, runs.step_of_shape, runs.area_px)


def merge_islands(steps: Bytes, limit_px: float) -> Bytes:
    """``steps`` (h, w) uint8 with every shape smaller than ``limit_px`` given the step of a neighbour, (h, w) uint8.

    The smallest shape goes first and takes the step of the neighbour with which it shares the longest border; of equals
    the nearest step, then the largest. What it touches of that step becomes one shape with it. No shape under the limit
    is left unless it is the whole picture, and merging again changes nothing.
    """
    runs = find_runs(steps)
    if len(runs.area_px) < 2 or runs.area_px.min() >= limit_px:
        return steps.copy()
    step = _merged_steps(_borders(runs), runs.area_px.tolist(), runs.step_of_shape.tolist(), limit_px)
    merged: Bytes = painted(runs, np.array(step, np.uint8), np.zeros_like(steps))
    return merged


def _borders(runs: Runs) -> list[dict[int, int]]:
    """For each shape the shapes it touches, with the number of pixel sides they share."""
    touched: list[dict[int, int]] = [{} for _ in runs.area_px]
    for a, b, length in zip(*(column.tolist() for column in borders(runs)), strict=True):
        touched[a][b] = length
        touched[b][a] = length
    return touched


def _merged_steps(borders: list[dict[int, int]], area: list[int], step: list[int], limit_px: float) -> list[int]:
    """The step of every shape once the islands are merged; ``borders`` and ``area`` are used up."""
    home = list(range(len(area)))
    waiting = [(size, shape) for shape, size in enumerate(area) if size < limit_px]
    heapq.heapify(waiting)
    while waiting:
        size, island = heapq.heappop(waiting)
        if home[island] != island or area[island] != size or not borders[island]:
            continue
        touched = borders[island]
        taken = max(touched, key=lambda n: (touched[n], -abs(step[n] - step[island]), area[n], -n))
        joined = [n for n in touched if step[n] == step[taken]]
        # The one with the most neighbours absorbs the rest, so that each border is moved few times.
        keeper = max([island, *joined], key=lambda n: (len(borders[n]), -n))
        step[keeper] = step[taken]
        for shape in [island, *joined]:
            if shape != keeper:
                _absorb(borders, keeper, shape)
                home[shape] = keeper
                area[keeper] += area[shape]
        if area[keeper] < limit_px:
            heapq.heappush(waiting, (area[keeper], keeper))
    return [step[_root(home, shape)] for shape in range(len(home))]


def _absorb(borders: list[dict[int, int]], keeper: int, shape: int) -> None:
    for other, length in borders[shape].items():
        del borders[other][shape]
        if other != keeper:
            borders[keeper][other] = borders[other][keeper] = borders[keeper].get(other, 0) + length
    borders[shape] = {}


def _root(home: list[int], shape: int) -> int:
    while home[shape] != shape:
        home[shape] = home[home[shape]]
        shape = home[shape]
    return shape
