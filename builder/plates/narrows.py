"""Narrow parts of a picture in steps, and the giving of them to the shapes around."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bytes, Singles
from builder.plates.squares import in_squares


def reach_px(width_px: int) -> int:
    """How far, in steps from pixel to pixel, a part narrower than ``width_px`` may stand out from a wide one."""
    return 2 * (width_px - 1)


def without_narrows(steps: Bytes, luminance: Singles, width_px: int) -> Bytes:
    """``steps`` (h, w) uint8 without necks, spurs, lines and rims narrower than ``width_px``, (h, w) uint8.

    Squares of ``width_px`` of one step stay as they are. Every other pixel takes the step of one of the four squares
    up, down, left and right of it: of another step than its own, unless its own is the nearest, and of those the
    nearest in luminance (h, w) float32, then in place. So a rim half on one thing and half on another goes to the side
    that covers more of it, a band between two steps is shared out, and the strongest edge stays where it is.

    What is still in no square then goes to the nearest of them, counted in steps from pixel to pixel; of two as near to
    the one of its own step, then to the nearer in luminance. Where none is as near as :func:`reach_px`, as in a picture
    that is all grain, a square is made. So every pixel is reached from a square of its own step in at most
    ``reach_px(width_px)`` steps through pixels of that step. A picture with a side shorter than ``width_px`` is
    returned as it is.
    """
    cleaned: Bytes = np.array(steps, order="C")
    if min(steps.shape) < width_px:
        return cleaned
    light = np.ascontiguousarray(luminance, np.float32)
    squares = in_squares(steps, width_px)
    _retone(light, steps, squares, np.flatnonzero(~squares), reach_px(width_px), cleaned)
    squares = in_squares(cleaned, width_px)
    retoned = cleaned.copy()
    far = _settle(light, cleaned, squares.copy(), np.flatnonzero(~squares), reach_px(width_px))
    if len(far) > 0:
        cleaned[...] = retoned
        _make_squares(cleaned, squares, far, width_px, reach_px(width_px))
        _settle(light, cleaned, squares.copy(), np.flatnonzero(~squares), reach_px(width_px))
    return cleaned


@njit(cache=True, nogil=True)
def _retone(luminance: Any, steps: Any, squares: Any, waiting: Any, reach: int, retoned: Any) -> None:
    """Give each pixel that is ``waiting`` the step of a square up, down, left or right of it."""
    h, w = steps.shape
    for i in range(len(waiting)):
        y, x = waiting[i] // w, waiting[i] % w
        own, other, chosen, nearest = reach + 1, reach + 1, reach + 1, np.float32(np.inf)
        for dy, dx in ((-1, 0), (0, -1), (0, 1), (1, 0)):
            b, a = y, x
            for distance in range(1, reach + 1):
                b, a = b + dy, a + dx
                if not (0 <= b < h and 0 <= a < w):
                    break
                if not squares[b, a]:
                    continue
                if steps[b, a] == steps[y, x]:
                    own = min(own, distance)
                else:
                    other = min(other, distance)
                    apart = abs(luminance[b, a] - luminance[y, x])
                    if apart < nearest or (apart == nearest and distance < chosen):
                        chosen, nearest = distance, apart
                        retoned[y, x] = steps[b, a]
                break
        if own <= other:
            retoned[y, x] = steps[y, x]


@njit(cache=True, nogil=True)
def _settle(luminance: Any, steps: Any, settled: Any, waiting: Any, rings: int) -> Any:
    """Give pixels that are ``waiting`` the step of a settled neighbour, ring after ring; those left after ``rings``."""
    h, w = steps.shape
    for _ in range(rings):
        if len(waiting) == 0:
            break
        taken = np.full(len(waiting), -1, np.int16)
        for i in range(len(waiting)):
            y, x = waiting[i] // w, waiting[i] % w
            nearest = np.float32(np.inf)
            for dy, dx in ((-1, 0), (0, -1), (0, 1), (1, 0)):
                if not (0 <= y + dy < h and 0 <= x + dx < w) or not settled[y + dy, x + dx]:
                    continue
                apart = abs(luminance[y + dy, x + dx] - luminance[y, x])
                if steps[y + dy, x + dx] == steps[y, x]:
                    apart = np.float32(-1.0)
                if apart < nearest:
                    nearest = apart
                    taken[i] = steps[y + dy, x + dx]
        left = 0
        for i in range(len(waiting)):
            if taken[i] >= 0:
                steps[waiting[i] // w, waiting[i] % w] = taken[i]
                settled[waiting[i] // w, waiting[i] % w] = True
            else:
                waiting[left] = waiting[i]
                left += 1
        waiting = waiting[:left]
    return waiting


@njit(cache=True, nogil=True)
def _make_squares(steps: Any, squares: Any, far: Any, width: int, reach: int) -> None:
    """Paint a square of one step over each pixel of ``far`` that has no square within reach, and mark it."""
    h, w = steps.shape
    for i in range(len(far)):
        y, x = far[i] // w, far[i] % w
        near = False
        for b in range(max(y - reach, 0), min(y + reach + 1, h)):
            across = reach - abs(b - y)
            for a in range(max(x - across, 0), min(x + across + 1, w)):
                near = near or squares[b, a]
            if near:
                break
        if near:
            continue
        # No pixel of this square is further off than the reach, so that it covers no other square.
        top, left = min(max(y - width // 2, 0), h - width), min(max(x - width // 2, 0), w - width)
        steps[top : top + width, left : left + width] = steps[y, x]
        squares[top : top + width, left : left + width] = True
