"""Curves: arcs along pixel sides as a pencil would draw them, without stairs and with few points."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from builder.arrays import Bools, Singles
from builder.plates.arcs import Arcs

SHIFT_PX = 0.6
"""A curve passes the middle of every pixel side of its arc at most this far off. The stairs of a straight edge lie up
to half a pixel off it."""
CHANGE_PX = 0.45
"""A longer reach is taken where the curve differs from that of the shorter by no more: beyond, it cuts a bend."""
BEND_PX = 0.25
"""Points are left out as long as the curve stays this near to them."""
TIP_PX = 0.9
"""Nor is any corner of the arc farther from the curve, so that with the rounding to tenths it stays within a pixel."""
_REACHES = (2, 4, 8, 16, 32)
"""Pixel sides to each side of a place over which a piece of parabola is fitted, the longest that fits being taken."""


def curves(arcs: Arcs, straight: Bools) -> tuple[Singles, NDArray[np.int64]]:
    """Every arc as a smooth line: points (n, 2) float32, px, and the index of each one's first point (k + 1,) int64.

    Ends stay at their corners; a closed arc ends in the point it starts from. An arc that is ``straight`` (k,) bool, as
    along the picture's edge, is its two ends.

    At every place a parabola is fitted to the middles of the pixel sides round it (Savitzky, Golay 1964: it flattens
    no bend, so that areas stay), over the longest reach at which it stays within ``SHIFT_PX`` of the middle there and
    within ``CHANGE_PX`` of what the shorter reach gives. Long reaches make straight edges straight; corners keep the
    short ones. Points are then left out (Douglas, Peucker 1973), and those kept moved so that the area on either side
    stays: chords of a bend would all lie inside it.
    """
    points = np.zeros((len(arcs.corner) + len(arcs.closed), 2), np.float32)
    first = np.zeros(len(arcs.first), np.int64)
    weights = np.zeros((len(_REACHES), _REACHES[-1] + 1))
    for row, reach in zip(weights, _REACHES, strict=True):
        row[: reach + 1] = _weights(reach)
    _draw(arcs.corner, arcs.first, arcs.closed, straight, np.array(_REACHES), weights, points, first)
    return points[: first[-1]].copy(), first


def _weights(reach: int) -> NDArray[np.float64]:
    """Weights of the places 0, 1 .. reach off, either way, that give a least-squares parabola's middle."""
    off = np.arange(-reach, reach + 1)
    middle: NDArray[np.float64] = np.linalg.pinv(np.stack([np.ones_like(off), off, off**2], axis=1).astype(float))[0]
    return middle[reach:]


@njit(cache=True, nogil=True)
def _draw(
    corner: Any, first: Any, closed: Any, straight: Any, reaches: Any, weights: Any, points: Any, starts: Any
) -> None:  # fmt: skip
    filled = 0
    for arc in range(len(closed)):
        walked = corner[first[arc] : first[arc + 1]]
        if straight[arc]:
            points[filled], points[filled + 1] = walked[0], walked[-1]
            filled += 2
        else:
            middles, tips = _middles(walked, closed[arc])
            smooth = _smooth(middles, tips, closed[arc], reaches, weights)
            few = _balanced(smooth, tips, np.flatnonzero(_needed(smooth, tips)), closed[arc])
            points[filled : filled + len(few)] = few
            filled += len(few)
        starts[arc + 1] = filled


@njit(cache=True, nogil=True)
def _middles(walked: Any, closed: bool) -> Any:
    """Middles of the pixel sides (n, 2): of a closed arc the first again at the end, of another between its ends; and
    the corner between each and the next (n - 1, 2).
    """
    sides = len(walked) - 1
    middles = np.zeros((sides + (1 if closed else 2), 2))
    shift = 0 if closed else 1
    for i in range(sides):
        for c in range(2):
            middles[i + shift, c] = 0.5 * (walked[i, c] + walked[i + 1, c])
    for c in range(2):
        middles[-1, c] = middles[0, c] if closed else walked[sides, c]
        if not closed:
            middles[0, c] = walked[0, c]
    tips = np.zeros((len(middles) - 1, 2))
    for i in range(len(tips)):
        for c in range(2):
            tips[i, c] = walked[i + 1 - shift, c]
    return middles, tips


@njit(cache=True, nogil=True)
def _smooth(middles: Any, tips: Any, closed: bool, reaches: Any, weights: Any) -> Any:
    n = len(middles)
    most = (n - 1) // 6 if closed else n - 1  # a parabola follows a sixth of a closed curve each way, not half of it
    smooth = middles.copy()
    for scale in range(len(reaches)):
        reach = reaches[scale]
        if reach > most:
            break
        wide = _prolonged(middles, closed, reach)
        fitted = np.zeros((2, n))
        for c in range(2):
            for off in range(reach + 1):
                _weigh(wide[c, reach - off :], wide[c, reach + off :], weights[scale, off], off == 0, fitted[c])
        for i in range(n):
            moved = np.hypot(fitted[0, i] - middles[i, 0], fitted[1, i] - middles[i, 1])
            changed = np.hypot(fitted[0, i] - smooth[i, 0], fitted[1, i] - smooth[i, 1])
            if moved <= SHIFT_PX and changed <= CHANGE_PX:
                smooth[i, 0], smooth[i, 1] = fitted[0, i], fitted[1, i]
    smooth = _evened(smooth, middles, closed)
    for _ in range(4):  # each time half way back to the middles, off which no tip lies farther than 0.36 px
        for i in range(n - 1):
            if _off(tips[i], smooth[i], smooth[i + 1]) > (TIP_PX - BEND_PX / 2) ** 2:
                for k in (i, i + 1):
                    for c in range(2):
                        smooth[k, c] = 0.5 * (smooth[k, c] + middles[k, c])
        if closed:
            first_is_nearer = _off(middles[0], smooth[0], smooth[0]) < _off(middles[0], smooth[n - 1], smooth[n - 1])
            smooth[0] = smooth[n - 1] = smooth[0] if first_is_nearer else smooth[n - 1]
    return smooth


@njit(cache=True, nogil=True)
def _off(place: Any, start: Any, stop: Any) -> float:
    """Square of the distance of a place from a chord."""
    px, py = place[0] - start[0], place[1] - start[1]
    dx, dy = stop[0] - start[0], stop[1] - start[1]
    length = dx * dx + dy * dy
    part = min(max((px * dx + py * dy) / length, 0.0), 1.0) if length > 0 else 0.0
    return float((px - part * dx) ** 2 + (py - part * dy) ** 2)


@njit(cache=True, nogil=True)
def _weigh(before: Any, after: Any, weight: float, once: bool, fitted: Any) -> None:
    factor = 0.5 * weight if once else weight
    for i in range(len(fitted)):
        fitted[i] += factor * (before[i] + after[i])


@njit(cache=True, nogil=True)
def _prolonged(middles: Any, closed: bool, reach: int) -> Any:
    """All x and all y (2, n + 2 reach): a closed curve goes on round, an open one is turned about its ends."""
    n = len(middles)
    wide = np.zeros((2, n + 2 * reach))
    for c in range(2):
        for i in range(n):
            wide[c, reach + i] = middles[i, c]
        for off in range(1, reach + 1):
            if closed:
                wide[c, reach - off] = middles[n - 1 - off, c]
                wide[c, reach + n - 1 + off] = middles[off, c]
            else:
                wide[c, reach - off] = 2 * middles[0, c] - middles[off, c]
                wide[c, reach + n - 1 + off] = 2 * middles[n - 1, c] - middles[n - 1 - off, c]
    return wide


@njit(cache=True, nogil=True)
def _evened(smooth: Any, middles: Any, closed: bool) -> Any:
    """The curve with the joints between places of different reach evened out, nowhere beyond the shift allowed."""
    n = len(smooth)
    evened = smooth.copy()
    for i in range(n - 1) if closed else range(1, n - 1):
        before = i - 1 if i > 0 else n - 2
        for c in range(2):
            evened[i, c] = 0.25 * (smooth[before, c] + smooth[i + 1, c]) + 0.5 * smooth[i, c]
        off = np.hypot(evened[i, 0] - middles[i, 0], evened[i, 1] - middles[i, 1])
        if off > SHIFT_PX:
            for c in range(2):
                evened[i, c] = middles[i, c] + (evened[i, c] - middles[i, c]) * SHIFT_PX / off
    if closed:
        evened[n - 1] = evened[0]
    return evened


@njit(cache=True, nogil=True)
def _needed(smooth: Any, tips: Any) -> Any:
    """Which points of a line are needed to stay within ``BEND_PX`` of all, and ``TIP_PX`` of all tips, (n,) bool."""
    n = len(smooth)
    needed = np.zeros(n, np.bool_)
    needed[0] = needed[n - 1] = True
    sharp = np.zeros(n - 1, np.bool_)  # tips that points within the bend allowed do not keep near enough
    for i in range(n - 1):
        sharp[i] = _off(tips[i], smooth[i], smooth[i + 1]) > (TIP_PX - BEND_PX) ** 2
    waiting = [(0, n - 1)]
    while len(waiting) > 0:
        start, stop = waiting.pop()
        worst, farthest = 1.0, -1
        for i in range(start, stop if stop > start + 1 else start):
            off = _off(smooth[i], smooth[start], smooth[stop]) / BEND_PX**2
            if sharp[i]:
                off = max(off, _off(tips[i], smooth[start], smooth[stop]) / TIP_PX**2)
            if off > worst:
                worst, farthest = off, max(i, start + 1)
        if farthest >= 0:
            needed[farthest] = True
            waiting.append((start, farthest))
            waiting.append((farthest, stop))
    return needed


@njit(cache=True, nogil=True)
def _balanced(smooth: Any, tips: Any, kept: Any, closed: bool) -> Any:
    """The points ``kept`` of a line, each moved sideways by the mean of what its two chords cut off, if the tips stay
    near enough.
    """
    few = smooth[kept]
    last = len(kept) - 1
    for k in range(0 if closed else 1, last):
        before = last - 1 if k == 0 else k - 1
        here = last if k == 0 else k  # where the first is the last as well, what comes before it ends there
        cut = _cut_off(smooth, kept[before], kept[here]) + _cut_off(smooth, kept[k], kept[k + 1])
        one, other, point = smooth[kept[before]], smooth[kept[k + 1]], smooth[kept[k]]
        length = np.hypot(point[0] - one[0], point[1] - one[1]) + np.hypot(other[0] - point[0], other[1] - point[1])
        dx, dy = other[0] - one[0], other[1] - one[1]
        across = np.hypot(dx, dy)
        if across == 0:
            continue
        move = min(max(cut / length, -BEND_PX), BEND_PX) / across
        moved = np.array([point[0] + move * dy, point[1] - move * dx])
        off = _farthest(tips[kept[before] : kept[here]], few[before], moved)
        if max(off, _farthest(tips[kept[k] : kept[k + 1]], moved, few[k + 1])) <= TIP_PX**2:
            few[k] = moved
            if k == 0:
                few[last] = moved
    return few


@njit(cache=True, nogil=True)
def _farthest(tips: Any, start: Any, stop: Any) -> float:
    """Square of the distance of the tip farthest from a chord."""
    farthest = 0.0
    for i in range(len(tips)):
        farthest = max(farthest, _off(tips[i], start, stop))
    return farthest


@njit(cache=True, nogil=True)
def _cut_off(smooth: Any, start: int, stop: int) -> float:
    """Area between a chord and the curve, positive where the curve lies on the chord's left, y running down."""
    area = 0.0
    for i in range(start, stop):
        ax, ay = smooth[i, 0] - smooth[start, 0], smooth[i, 1] - smooth[start, 1]
        bx, by = smooth[i + 1, 0] - smooth[start, 0], smooth[i + 1, 1] - smooth[start, 1]
        area += ax * by - bx * ay
    return 0.5 * area
