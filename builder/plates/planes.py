"""The planes plates: every plane in one flat value, and the shadow cast on it in a second."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.light.value import codes_of_luminance
from builder.plates.plane_facts import planes_facts
from builder.plates.planes_shown import PlanesShown
from builder.plates.plate import Plate

LEVELS = ("big", "middle", "small")
"""What the levels are called in the names of kinds and facts."""


def make_planes(shown: PlanesShown, level: int) -> Plate:
    """The planes of one level in flat values, with their edges as its drawing. Rims take their samples' mean."""
    view = shown.view
    painted = shown.around.copy()
    weight = np.zeros(painted.shape, np.float32)
    _paint(view.plane, shown.state, shown.value.astype(np.float32), weight, painted)
    _paint_rim(view.plane, view.rim, view.rim_planes, shown.value.astype(np.float32), weight, shown.around, painted)
    name = LEVELS[level]
    facts = planes_facts(view.broken.planes, view.plane, view.looked.eye, name)
    return Plate(f"planes-{name}", codes_of_luminance(painted), lossless=False, facts=facts, drawing=view.lines)


@njit(cache=True, nogil=True)
def _paint(plane: Any, state: Any, value: Any, weight: Any, painted: Any) -> None:
    """Paint the pixels of the sculpture; ``weight``: how much of each lies in shadow, softened over its neighbours."""
    h, w = plane.shape
    for y in range(h):
        for x in range(w):
            k = plane[y, x]
            if k < 0:
                continue
            if 0 < y < h - 1 and 0 < x < w - 1 and _alike(state, y, x):
                weight[y, x] = state[y, x]
                painted[y, x] = value[k, state[y, x]]
                continue
            dark, count = 0, 0
            for j in range(max(y - 1, 0), min(y + 2, h)):
                for i in range(max(x - 1, 0), min(x + 2, w)):
                    if plane[j, i] == k:
                        count += 1
                        dark += state[j, i]
            # along a straight border a third of the nine lie across it: a ramp of two pixels
            part = min(max(1.5 * (dark / count - 0.5) + 0.5, 0.0), 1.0)
            weight[y, x] = part
            painted[y, x] = value[k, 0] + np.float32(part) * (value[k, 1] - value[k, 0])


@njit(cache=True, nogil=True)
def _alike(state: Any, y: int, x: int) -> Any:
    """Whether all nine pixels are in one state: of most, which need no more."""
    own = state[y, x]
    same = state[y - 1, x - 1] == own and state[y - 1, x] == own and state[y - 1, x + 1] == own
    same = same and state[y, x - 1] == own and state[y, x + 1] == own and state[y + 1, x - 1] == own
    return same and state[y + 1, x] == own and state[y + 1, x + 1] == own


@njit(cache=True, nogil=True)
def _paint_rim(plane: Any, rim: Any, rim_planes: Any, value: Any, weight: Any, around: Any, painted: Any) -> None:
    """Paint the pixels that see more than one thing with the mean of what their samples see. What a sample of another
    plane, or of what lies behind, looks like is taken from the pixels beside.
    """
    h, w = plane.shape
    for r in range(len(rim)):
        y, x = rim[r] // w, rim[r] % w
        total = np.float32(0.0)
        for s in range(rim_planes.shape[1]):
            k = rim_planes[r, s]
            if k == plane[y, x]:
                part = weight[y, x]
                total += value[k, 0] + part * (value[k, 1] - value[k, 0])
                continue
            sum_, count = np.float32(0.0), 0
            for j in range(max(y - 1, 0), min(y + 2, h)):
                for i in range(max(x - 1, 0), min(x + 2, w)):
                    if plane[j, i] == k and (j != y or i != x):
                        sum_ += around[j, i] if k < 0 else weight[j, i]
                        count += 1
            if k < 0:
                total += sum_ / np.float32(count) if count > 0 else around[y, x]
            else:
                part = sum_ / np.float32(count) if count > 0 else weight[y, x]
                total += value[k, 0] + part * (value[k, 1] - value[k, 0])
        painted[y, x] = total / np.float32(rim_planes.shape[1])
