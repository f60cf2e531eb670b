"""Shapes of a picture in steps: connected areas of one step, and the merging of those too small to draw."""

from __future__ import annotations

import heapq
from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy import ndimage

from builder.arrays import Bools, Bytes, Ints, Singles


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
    shape = np.full(steps.shape, -1, np.int32)
    step_of_shape: list[int] = []
    inside = steps if mask is None else steps[mask]
    for step in np.flatnonzero(np.bincount(inside.ravel(), minlength=1)):
        here = steps == step if mask is None else (steps == step) & mask
        numbered, count = ndimage.label(here, output=np.int32)
        np.copyto(shape, numbered + np.int32(len(step_of_shape) - 1), where=here)
        step_of_shape += [int(step)] * count
    area = np.bincount(shape.ravel() + 1, minlength=len(step_of_shape) + 1)[1:]
    return Shapes(shape, np.array(step_of_shape, np.uint8), area)


def merge_islands(steps: Bytes, limit_px: float) -> Bytes:
    """``steps`` (h, w) uint8 with every shape smaller than ``limit_px`` given the step of a neighbour, (h, w) uint8.

    The smallest shape goes first and takes the step of the neighbour with which it shares the longest border; of equals
    the nearest step, then the largest. What it touches of that step becomes one shape with it. No shape under the limit
    is left unless it is the whole picture, and merging again changes nothing.
    """
    found = find_shapes(steps)
    if len(found.area_px) < 2 or found.area_px.min() >= limit_px:
        return steps.copy()
    step = _merged_steps(_borders(found), found.area_px.tolist(), found.step.tolist(), limit_px)
    return np.asarray(np.array(step, np.uint8)[found.shape])


def _borders(found: Shapes) -> list[dict[int, int]]:
    """For each shape the shapes it touches, with the number of pixel sides they share."""
    count = len(found.area_px)
    shape = found.shape
    touching = []
    for one, other in ((shape[:, :-1], shape[:, 1:]), (shape[:-1], shape[1:])):
        apart = one != other
        a, b = one[apart].astype(np.int64), other[apart].astype(np.int64)
        touching.append(np.minimum(a, b) * count + np.maximum(a, b))
    pairs, sides = np.unique(np.concatenate(touching), return_counts=True)
    borders: list[dict[int, int]] = [{} for _ in range(count)]
    for a, b, length in zip((pairs // count).tolist(), (pairs % count).tolist(), sides.tolist(), strict=True):
        borders[a][b] = length
        borders[b][a] = length
    return borders


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


def without_hairlines(steps: Bytes, luminance: Singles) -> Bytes:
    """``steps`` (h, w) uint8 without lines less than three pixels wide, (h, w) uint8.

    Such lines are no shapes: most are rims of pixels half on one thing and half on another, whose luminance (h, w)
    float32 belongs to neither. A pixel in no 3 x 3 square of one step takes the step of that neighbour whose luminance
    is nearest to its own (for a rim: the side that covers more of it), working inwards from the wide shapes; it waits
    for a neighbour not yet given a step, if that one is nearer. A picture without any such square is returned as it is.
    """
    lowest, highest = ndimage.minimum_filter(steps, 3), ndimage.maximum_filter(steps, 3)
    core = lowest == highest
    core[[0, -1], :] = core[:, [0, -1]] = False  # a square lies wholly inside the picture
    wide = ndimage.maximum_filter(core, 3, mode="constant", cval=False)
    settled = steps.copy()
    if wide.any():
        _settle(np.ascontiguousarray(luminance, np.float32), settled, wide)
    return settled


@njit(cache=True, nogil=True)
def _settle(luminance: Any, steps: Any, settled: Any) -> None:
    """Give every pixel not yet ``settled`` the step of a settled neighbour, ring after ring."""
    h, w = steps.shape
    waiting = np.flatnonzero(~settled)
    patient = True
    while len(waiting) > 0:
        taken = np.full(len(waiting), -1, np.int16)
        for i in range(len(waiting)):
            y, x = waiting[i] // w, waiting[i] % w
            nearest, unsettled = np.float32(np.inf), np.float32(np.inf)
            for dy, dx in ((-1, 0), (0, -1), (0, 1), (1, 0)):
                if not (0 <= y + dy < h and 0 <= x + dx < w):
                    continue
                apart = abs(luminance[y + dy, x + dx] - luminance[y, x])
                if not settled[y + dy, x + dx]:
                    unsettled = min(unsettled, apart)
                elif apart < nearest:
                    nearest = apart
                    taken[i] = steps[y + dy, x + dx]
            if patient and unsettled < nearest:
                taken[i] = -1
        for i in range(len(waiting)):
            if taken[i] >= 0:
                steps[waiting[i] // w, waiting[i] % w] = taken[i]
                settled[waiting[i] // w, waiting[i] % w] = True
        left = waiting[taken < 0]
        # Where everyone waits for another, all take what they can, once.
        patient = len(left) < len(waiting)
        waiting = left
