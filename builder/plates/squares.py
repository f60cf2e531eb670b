"""Squares of one step in a picture in steps: where a shape is wide."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Bytes


def in_squares(steps: Bytes, side_px: int) -> Bools:
    """Pixels in some square of ``side_px`` (1 to 255) of one step that lies wholly inside the picture, (h, w) bool."""
    found = np.zeros(steps.shape, np.uint8)
    if min(steps.shape) >= side_px:
        _mark(np.ascontiguousarray(steps), side_px, found)
    return found.view(np.bool_)


@njit(cache=True, nogil=True)
def _mark(steps: Any, side: int, found: Any) -> None:
    h, w = steps.shape
    room, spare = np.zeros(w, np.uint8), np.zeros(w, np.uint8)
    height = np.zeros(w, np.uint8)  # pixels of one step that end here, upwards; at most side
    for y in range(h):
        _grow(steps[y], steps[max(y - 1, 0)], np.uint8(side), height)
        if y < side - 1:
            continue
        _full(height, np.uint8(side), room)
        # Both hold where a stretch starts, or ends: of 1, 2, 4, ... and at last of side pixels.
        length = 1
        while length < side:
            more = min(length, side - length)
            row, left = steps[y], w - more
            _both(room[:left], room[more:], row[:left], row[more:], spare[:left])
            spare[left:] = 0
            room, spare = spare, room
            length += more
        length = 1
        while length < side:
            more = min(length, side - length)
            spare[:more] = room[:more]
            _either(room[more:], room[: w - more], spare[more:])
            room, spare = spare, room
            length += more
        found[y] = room
    height[:] = 0
    for y in range(h - 1, -1, -1):
        _hang(found[y], np.uint8(side), height)


@njit(cache=True, nogil=True)
def _grow(row: Any, above: Any, full: Any, height: Any) -> None:
    for x in range(len(height)):
        taller = min(np.uint8(height[x] + np.uint8(1)), full)
        height[x] = taller if row[x] == above[x] else np.uint8(1)


@njit(cache=True, nogil=True)
def _full(height: Any, full: Any, room: Any) -> None:
    for x in range(len(room)):
        room[x] = np.uint8(height[x] == full)


@njit(cache=True, nogil=True)
def _both(first: Any, second: Any, step: Any, other: Any, out: Any) -> None:
    for x in range(len(out)):
        out[x] = first[x] & second[x] & np.uint8(step[x] == other[x])


@njit(cache=True, nogil=True)
def _either(first: Any, second: Any, out: Any) -> None:
    for x in range(len(out)):
        out[x] = first[x] | second[x]


@njit(cache=True, nogil=True)
def _hang(row: Any, full: Any, height: Any) -> None:
    """Spread the marks of a square's lowest row upwards: ``height`` rows are still to be marked."""
    for x in range(len(row)):
        fewer = np.uint8(max(height[x], np.uint8(1)) - np.uint8(1))
        height[x] = full if row[x] > np.uint8(0) else fewer
        row[x] = np.uint8(height[x] > np.uint8(0))
