"""Smooth edges by vote: every pixel takes the step, or the label, that most pixels round about it have."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bytes


def median_steps(steps: Bytes, reach_px: int) -> Bytes:
    """Median of ``steps`` (h, w) uint8 over a square that reaches ``reach_px`` beyond each pixel, (h, w) uint8.

    Every border between lighter and darker is moved by majority alone, so that straight edges stay, stairs and fuzz
    even out, and lone lines and spurs narrower than half the square go (the median filter: Tukey 1977, Huang 1979).
    Beyond the picture its outermost pixels go on. A square holds at most 65,535 pixels.
    """
    first, last = int(steps.min()), int(steps.max())
    median = np.full(steps.shape, first, np.uint8)
    _pass_levels(np.ascontiguousarray(steps), np.arange(first + 1, last + 1, dtype=np.uint8), reach_px, median)
    return median


def commonest_labels(labels: Bytes, reach_px: int) -> Bytes:
    """The label that is commonest in the square that reaches ``reach_px`` beyond each pixel, (h, w) uint8.

    ``labels`` (h, w) uint8 have no order; of labels as common, a pixel keeps its own, or takes the smallest. Beyond the
    picture its outermost pixels go on.
    """
    commonest: Bytes = np.array(labels, order="C")
    _take_commonest(np.ascontiguousarray(labels), reach_px, commonest)
    return commonest


@njit(cache=True, nogil=True)
def _pass_levels(steps: Any, levels: Any, reach: int, median: Any) -> None:
    h, w = steps.shape
    half = np.uint16((2 * reach + 1) ** 2 // 2)
    column, total = np.zeros(w, np.uint16), np.zeros(w, np.uint16)
    room, spare = np.zeros(w + 2 * reach, np.uint16), np.zeros(w + 2 * reach, np.uint16)
    for level in levels:
        column[:] = 0
        for y in range(-reach, h + reach):
            _enter_at_least(steps[min(max(y, 0), h - 1)], level, column)
            if y >= reach:
                _sum_windows(column, reach, room, spare, total)
                _pass_majority(total, half, median[y - reach])
                _leave_at_least(steps[max(y - 2 * reach, 0)], level, column)


@njit(cache=True, nogil=True)
def _take_commonest(labels: Any, reach: int, commonest: Any) -> None:
    h, w = labels.shape
    seen = np.zeros(256, np.bool_)
    for label in labels.flat:
        seen[label] = True
    every = np.flatnonzero(seen).astype(np.uint8)
    columns = np.zeros((len(every), w), np.uint16)
    most, total = np.zeros(w, np.uint16), np.zeros(w, np.uint16)
    room, spare = np.zeros(w + 2 * reach, np.uint16), np.zeros(w + 2 * reach, np.uint16)
    for y in range(-reach, h + reach):
        for i in range(len(every)):
            _enter_same(labels[min(max(y, 0), h - 1)], every[i], columns[i])
        if y < reach:
            continue
        here, taken = labels[y - reach], commonest[y - reach]
        most[:] = 0
        for i in range(len(every)):
            _sum_windows(columns[i], reach, room, spare, total)
            _take_if_more(total, every[i], here, most, taken)
            _leave_same(labels[max(y - 2 * reach, 0)], every[i], columns[i])


# The loops below run over whole rows at once in the processor: each is one plain line over arrays that do not overlap.


@njit(cache=True, nogil=True)
def _enter_at_least(row: Any, level: Any, column: Any) -> None:
    for x in range(len(column)):
        column[x] += np.uint16(row[x] >= level)


@njit(cache=True, nogil=True)
def _leave_at_least(row: Any, level: Any, column: Any) -> None:
    for x in range(len(column)):
        column[x] -= np.uint16(row[x] >= level)


@njit(cache=True, nogil=True)
def _enter_same(row: Any, label: Any, column: Any) -> None:
    for x in range(len(column)):
        column[x] += np.uint16(row[x] == label)


@njit(cache=True, nogil=True)
def _leave_same(row: Any, label: Any, column: Any) -> None:
    for x in range(len(column)):
        column[x] -= np.uint16(row[x] == label)


@njit(cache=True, nogil=True)
def _pass_majority(total: Any, half: Any, row: Any) -> None:
    for x in range(len(row)):
        row[x] += np.uint8(total[x] > half)


@njit(cache=True, nogil=True)
def _take_if_more(total: Any, label: Any, here: Any, most: Any, taken: Any) -> None:
    for x in range(len(taken)):
        if total[x] > most[x] or (total[x] == most[x] and here[x] == label):
            most[x], taken[x] = total[x], label


@njit(cache=True, nogil=True)
def _add(total: Any, more: Any) -> None:
    for x in range(len(total)):
        total[x] += more[x]


@njit(cache=True, nogil=True)
def _add_two(first: Any, second: Any, total: Any) -> None:
    for x in range(len(total)):
        total[x] = first[x] + second[x]


@njit(cache=True, nogil=True)
def _sum_windows(column: Any, reach: int, room: Any, spare: Any, total: Any) -> None:
    """Sum of ``column`` over the 2 reach + 1 places round each, its ends going on beyond it."""
    w = len(column)
    room[:reach] = column[0]
    room[reach : reach + w] = column
    room[reach + w :] = column[w - 1]
    total[:] = 0
    size, power, done = 2 * reach + 1, 1, 0
    while power <= size:  # sums of 1, 2, 4, ... places make up any number of places
        if size & power:
            _add(total, room[done : done + w])
            done += power
        left = len(room) - power
        if 2 * power <= size:
            _add_two(room[:left], room[power:], spare[:left])
            room, spare = spare[:left], room
        power *= 2
