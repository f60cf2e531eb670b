"""Straight lines for the largest edges inside the form: where a slab holds a face, the face is what must be placed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Floats
from builder.form.rings import distance_px

_STEP_PX = 4.0
"""Distance between the places of a line that are looked at."""
_BESIDE = 2.5
"""A line that lies for more than half of its length within so many tolerances of others drawn before is left out."""


def straight_inner(
    lines: Iterable[Floats], before: Sequence[Floats], shortest_px: float, most: int, tolerance_px: float
) -> tuple[Floats, ...]:
    """The longest of open ``lines`` (n, 2), px, as straight pieces with corners on them, (k, 2) each.

    At most ``most`` of them, none shorter than ``shortest_px``, and none that only runs along another or along the
    closed rings ``before``. Every piece stays within ``tolerance_px`` of its line, and there are as few as can be.
    """
    start = list(before)
    stop = [np.roll(ring, -1, axis=0) for ring in before]
    by_length = sorted(((_length_px(line), index, line) for index, line in enumerate(lines)), key=lambda one: -one[0])
    chosen: list[Floats] = []
    for length, _, line in by_length:
        if length < shortest_px or len(chosen) == most:
            break
        places = _even(line)
        near = distance_px(np.concatenate(start), np.concatenate(stop), places) < _BESIDE * tolerance_px
        if near.mean() > 0.5:
            continue
        few = places[_fewest(places, tolerance_px)]
        chosen.append(few)
        start.append(line[:-1])
        stop.append(line[1:])
    return tuple(chosen)


def _length_px(line: Floats) -> float:
    return float(np.hypot(*np.diff(line, axis=0).T).sum())


def _even(line: Floats) -> Floats:
    """Places along a line at about equal distances, its two ends among them."""
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(line, axis=0).T)))
    wanted = np.linspace(0.0, along[-1], max(3, round(along[-1] / _STEP_PX)))
    return np.stack([np.interp(wanted, along, line[:, k]) for k in (0, 1)], axis=1)


def _fewest(places: Floats, tolerance_px: float) -> np.ndarray:
    """The places (k,) between which straight pieces stay within the tolerance: the fewest, of those the nearest to the
    line (Imai, Iri 1988, from memory).
    """
    before = np.zeros(len(places), np.int64)
    _shorten(np.ascontiguousarray(places), tolerance_px**2, before)
    chosen = [len(places) - 1]
    while chosen[-1] > 0:
        chosen.append(int(before[chosen[-1]]))
    return np.array(chosen[::-1])


@njit(cache=True, nogil=True)
def _shorten(places: Any, tolerance: float, before: Any) -> None:
    n = len(places)
    pieces = np.full(n, n)
    squares = np.full(n, np.inf)
    pieces[0], squares[0] = 0, 0.0
    for j in range(1, n):
        for i in range(j):
            if pieces[i] + 1 > pieces[j]:
                continue
            dx, dy = places[j, 0] - places[i, 0], places[j, 1] - places[i, 1]
            length = dx * dx + dy * dy
            total, kept = 0.0, True
            for m in range(i + 1, j):
                px, py = places[m, 0] - places[i, 0], places[m, 1] - places[i, 1]
                part = min(max((px * dx + py * dy) / length, 0.0), 1.0) if length > 0.0 else 0.0
                off = (px - part * dx) ** 2 + (py - part * dy) ** 2
                if off > tolerance:
                    kept = False
                    break
                total += off
            if kept and (pieces[i] + 1 < pieces[j] or squares[i] + total < squares[j]):
                pieces[j], squares[j], before[j] = pieces[i] + 1, squares[i] + total, i
