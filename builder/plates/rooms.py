"""Rooms: the largest circle that fits into each shape, where its number goes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Floats, Ints
from builder.plates.rings import Rings
from builder.plates.runs import Runs

_GRID_PX = 4
"""The search starts from every fourth pixel of every fourth row: a circle of radius 3 px has one in it."""
_EXACT_SHARE, _EXACT_PX = 0.1, 0.25
"""The circle found is smaller than the largest by at most this part of it, or this much."""
_HALF_DIAGONAL = 0.5**0.5
"""Of a square of side 1."""


@dataclass(frozen=True, slots=True, eq=False)
class Rooms:
    """Of every shape a circle inside it: centre (s, 2) float64, (x, y) px, and radius_px (s,) float64, 0 where none."""

    centre: Floats
    radius_px: Floats


def find_rooms(runs: Runs, rings: Rings) -> Rooms:
    """The circle round the place farthest from each shape's edge (its pole of inaccessibility).

    It is smaller than the largest that fits by no more than a tenth, or a quarter of a pixel; where that one is smaller
    than 3 px there may be none. ``rings`` are those of the same picture as ``runs``.
    """
    grid = _shape_grid(runs.first, runs.start, runs.stop, runs.shape)
    depth = _depths(grid)
    count = len(runs.area_px)
    ring_bounds = np.searchsorted(rings.shape, np.arange(count + 1))
    centre, radius = np.zeros((count, 2)), np.zeros(count)
    _search(rings.points, rings.first, ring_bounds, grid, depth, centre, radius)
    return Rooms(centre, radius)


@njit(cache=True, nogil=True)
def _shape_grid(first: Any, start: Any, stop: Any, shape: Any) -> Ints:
    """The shape at every fourth pixel of every fourth row, -1 where there is none."""
    h, w = len(first) - 1, stop[first[1] - 1]
    half = _GRID_PX // 2
    grid = np.full(((h - half - 1) // _GRID_PX + 1, (w - half - 1) // _GRID_PX + 1), -1, np.int32)
    for row in range(grid.shape[0]):
        run = first[row * _GRID_PX + half]
        for column in range(grid.shape[1]):
            while stop[run] <= column * _GRID_PX + half:
                run += 1
            grid[row, column] = shape[run]
    return grid


@njit(cache=True, nogil=True)
def _depths(grid: Any) -> Ints:
    """How deep in its shape each place lies, three to a step (chamfer distance: Borgefors 1986)."""
    h, w = grid.shape
    depth = np.full(grid.shape, 3 * (h + w), np.int32)
    for again in range(2):
        for i in range(h * w):
            place = h * w - 1 - i if again else i
            y, x = place // w, place % w
            sign = -1 if again else 1
            for dy, dx, cost in ((-1, -1, 4), (-1, 0, 3), (-1, 1, 4), (0, -1, 3)):
                b, a = y + sign * dy, x + sign * dx
                there = 0
                if 0 <= b < h and 0 <= a < w and grid[b, a] == grid[y, x]:
                    there = depth[b, a]
                depth[y, x] = min(depth[y, x], there + cost)
    return depth


@njit(cache=True, nogil=True)
def _search(points: Any, first: Any, ring_bounds: Any, grid: Any, depth: Any, centre: Any, radius: Any) -> None:
    """Look round the deepest place of every shape, then round all others that may have more room."""
    deepest = np.zeros(len(radius), np.int32)
    for y in range(grid.shape[0]):
        for x in range(grid.shape[1]):
            if grid[y, x] >= 0:
                deepest[grid[y, x]] = max(deepest[grid[y, x]], depth[y, x])
    for deepest_first in (True, False):
        for y in range(grid.shape[0]):
            for x in range(grid.shape[1]):
                shape = grid[y, x]
                if shape < 0 or (deepest_first and depth[y, x] < deepest[shape]):
                    continue
                # Three are never worth more than 1.07 times a step of the grid (their error: Borgefors 1986).
                if (1.07 / 3 * depth[y, x] + _HALF_DIAGONAL) * _GRID_PX > _worth(radius[shape]):
                    rings = first[ring_bounds[shape] : ring_bounds[shape + 1] + 1]
                    _look_round(points, rings, shape, x, y, centre, radius)


@njit(cache=True, nogil=True)
def _look_round(points: Any, rings: Any, shape: int, x: int, y: int, centre: Any, radius: Any) -> None:
    """Cut the square round a place of the grid in four, and again, where a larger circle may have its middle.

    Nowhere in it is there more room than at its own middle and half its diagonal together.
    """
    middle = _GRID_PX // 2 + 0.5
    waiting = [(x * _GRID_PX + middle, y * _GRID_PX + middle, float(_GRID_PX))]
    while len(waiting) > 0:
        a, b, side = waiting.pop()
        room = _room(points, rings, a, b)
        if room > radius[shape]:
            centre[shape, 0], centre[shape, 1], radius[shape] = a, b, room
        if room + _HALF_DIAGONAL * side > _worth(radius[shape]):
            for way in range(4):
                waiting.append((a + (way % 2 - 0.5) * side / 2, b + (way // 2 - 0.5) * side / 2, side / 2))


@njit(cache=True, nogil=True)
def _worth(radius: float) -> float:
    """Room above which a circle is worth looking for once one of this radius is found."""
    return max(radius + _EXACT_PX, radius / (1.0 - _EXACT_SHARE))


@njit(cache=True, nogil=True)
def _room(points: Any, rings: Any, x: float, y: float) -> float:
    """Distance from a place to the nearest ring, negative outside by the even-odd rule.

    The rings start at the indices ``rings``, whose last is their end.
    """
    nearest, inside = np.inf, False
    for ring in range(len(rings) - 1):
        ax, ay = points[rings[ring + 1] - 1, 0] - x, points[rings[ring + 1] - 1, 1] - y
        for i in range(rings[ring], rings[ring + 1]):
            bx, by = points[i, 0] - x, points[i, 1] - y
            dx, dy = bx - ax, by - ay
            length = dx * dx + dy * dy
            part = min(max(-(ax * dx + ay * dy) / length, 0.0), 1.0) if length > 0 else 0.0
            nearest = min(nearest, (ax + part * dx) ** 2 + (ay + part * dy) ** 2)
            if (ay > 0) != (by > 0) and (ax * by - bx * ay > 0) == (by > ay):
                inside = not inside
            ax, ay = bx, by
    return float(np.sqrt(nearest)) if inside else -float(np.sqrt(nearest))
