"""At which heights the contours stand, so that the form between them is missed by as little as can be.

What a hand does between two cards is taken to be straight: the clay is drawn off from edge to edge. The miss is how far
the true surface lies from that. On a ball of radius R, cards h apart miss h^2 / 8R at the widest place (sagitta of a
chord, CHECKS.md section 5).

Counted is what is missed by more than :data:`MISS_MM`: the least sum of that over all places. The share of places
within it, or the 95th percentile, made as good as can be would give up one place for all others: on the demo mask both
leave 9 to 13 mm somewhere, for 2 places of 100 more within it; the greatest miss made least takes 3 of 100 from it.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numba import njit
from numpy.typing import NDArray
from scipy.spatial import KDTree
from shapely import MultiPolygon

from builder.arrays import Floats

LEAST_LEVELS, EACH_LEVELS, MANY_LEVELS, EACH_AT_LEAST = 48, 7, 105, 3
"""Heights that are looked at, evenly from base to top: seven for each card, but no fewer than 48; where that is more
than 105, three for each card are enough.
"""
MISS_MM = 1.0
"""More than this is a miss that counts."""
SMALL = 1e-3
"""What a square mm of any miss counts beside a mm too much: it settles where cards stand once nothing is too much."""
WIDEST = 2.5
"""No gap is wider than this many even gaps."""
STEP_SHARE = 0.01
"""From point to point along an outline that is compared with others, in heights of the form."""
NEAR_STEP = 0.05
"""Outlines are filled to this share of that step where distances are taken from them."""
NEARLY = 0.03
"""Distances are right to this share."""
ENDS = 0.002
"""The lowest and the highest level lie this share of the height within the form."""


@dataclass(frozen=True, slots=True)
class Gap:
    """The form between a card and the next, mm: the footprint stands below card 1, the top above the last.

    ``most_mm``: the greatest miss; ``p95_mm``: the miss that 95 of 100 places keep; ``at_mm``: where the greatest is
    (x, y, z).
    """

    below: int
    low_mm: float
    high_mm: float
    most_mm: float
    p95_mm: float
    at_mm: tuple[float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Levels:
    """The form at many heights, evenly: what the cards are chosen from. ``heights_mm`` (n,)."""

    heights_mm: Floats
    material: tuple[MultiPolygon, ...]

    def step_mm(self) -> float:
        """From one level to the next."""
        return float(self.heights_mm[1] - self.heights_mm[0])


def level_heights(height_mm: float, count: int, least_mm: float = 0.0) -> Floats:
    """Heights (n,) to look at for ``count`` cards on a form ``height_mm`` high, none closer than ``least_mm``: so close
    that a whole number of steps, no more than need be, is that least.
    """
    wanted = max(LEAST_LEVELS, min(EACH_LEVELS * count, MANY_LEVELS), EACH_AT_LEAST * count)
    inside = ENDS * height_mm
    span = height_mm - 2 * inside
    if 0.0 < least_mm < span / 2:
        wanted = max(wanted, int(np.ceil(least_mm * wanted / span - 1e-9) * span / least_mm))
    heights: Floats = np.linspace(inside, height_mm - inside, wanted + 1)
    return heights


@dataclass(frozen=True, slots=True)
class Enough:
    """With ``cards`` contours, ``share`` (0 to 1) of all places of the form are missed by no more than is good."""

    cards: int
    share: float


@dataclass(frozen=True, slots=True, eq=False)
class Spacing:
    """The best places for any number of cards, among levels. Made by :func:`spaced`."""

    measured: _Misses
    cost: Floats
    best: Floats
    before: NDArray[np.int64]

    def without(self, barred: Sequence[int]) -> Spacing:
        """The best places where no card stands at the levels ``barred``."""
        cost = self.cost.copy()
        cost[list(barred), :], cost[:, list(barred)] = np.inf, np.inf
        return _solved(self.measured, cost, len(self.best))

    def chosen(self, count: int) -> tuple[tuple[int, ...], tuple[Gap, ...]] | None:
        """Which levels ``count`` cards take, and the gaps below, between and above them; ``None`` for no room."""
        picked = self._picked(count)
        return None if picked is None else (picked[1:-1], self.gaps(picked[1:-1]))

    def gaps(self, picked: Sequence[int]) -> tuple[Gap, ...]:
        """The gaps below, between and above cards at these levels."""
        ends = (0, *picked, self.best.shape[1] - 1)
        pairs = enumerate(itertools.pairwise(ends))
        return tuple(self.measured.gap(number, low, high) for number, (low, high) in pairs)

    def share(self, picked: Sequence[int], miss_mm: float) -> float:
        """The share of all places that cards at these levels miss by no more than ``miss_mm``."""
        pairs = itertools.pairwise((0, *picked, self.best.shape[1] - 1))
        misses = np.concatenate([self.measured.misses(low, high) for low, high in pairs])
        return float((misses <= miss_mm).mean()) if len(misses) else 1.0

    def tried(self, miss_mm: float) -> tuple[Enough, ...]:
        """For every number of cards that there is room for, the share of places missed by no more than ``miss_mm``."""
        found = []
        for count in range(1, len(self.best) - 1):
            picked = self._picked(count)
            if picked is not None:
                found.append(Enough(count, self.share(picked[1:-1], miss_mm)))
        return tuple(found)

    def _picked(self, count: int) -> tuple[int, ...] | None:
        last = self.best.shape[1] - 1
        if count + 1 >= len(self.best) or not np.isfinite(self.best[count + 1, last]):
            return None
        picked = [last]
        for card in range(count + 1, 0, -1):
            picked.append(int(self.before[card, picked[-1]]))
        return tuple(reversed(picked))


def fewest(tried: Sequence[Enough], share: float) -> int | None:
    """The fewest cards that keep a share of all places, and go on keeping it with every card more; ``None`` for none.

    ``tried`` by rising number.
    """
    found = None
    for one in reversed(tried):
        if one.share < share:
            break
        found = one.cards
    return found


def spaced(
    levels: Levels,
    count: int,
    least_mm: float = 0.0,
    first_mm: float = 0.0,
    may: Sequence[bool] | None = None,
    most: int | None = None,
) -> Spacing:
    """The best places for 1 to ``most`` cards (``count`` if not given), with gaps no wider than ``count`` cards need.

    Of all choices the one with the least sum of misses beyond what is good is found by going through the levels in
    order (dynamic programming). No two cards are closer than ``least_mm``, the first is no lower than ``first_mm``, and
    none stands where it ``may`` not. The footprint and the form's top count as known.
    """
    last = len(levels.heights_mm) - 1
    assert 1 <= count < last
    allowed = np.ones(last + 1, bool) if may is None else np.array(may, bool)
    allowed[[0, last]] = True
    reach = int(np.ceil(WIDEST * last / (count + 1)))
    stops = np.flatnonzero(allowed)
    first = int(np.searchsorted(levels.heights_mm, first_mm))
    reach = min(last, max(reach, first + 1, int(np.diff(stops).max()) + 2))
    closest = max(1, int(np.ceil(least_mm / levels.step_mm() - 1e-9)))
    low = levels.heights_mm < first_mm
    measured = _Misses(levels, reach)
    cost = measured.costs(reach, closest)
    cost[~allowed, :], cost[:, ~allowed] = np.inf, np.inf
    cost[0, low] = np.inf
    return _solved(measured, cost, max(count, most or 0) + 2)


def _solved(measured: _Misses, cost: Floats, rows: int) -> Spacing:
    last = len(cost) - 1
    best = np.full((rows, last + 1), np.inf)
    before = np.zeros((rows, last + 1), np.int64)
    best[0, 0] = 0.0
    for card in range(1, rows):
        sums = best[card - 1][:, None] + cost
        before[card] = np.argmin(sums, axis=0)
        best[card] = sums[before[card], np.arange(last + 1)]
    return Spacing(measured, cost, best, before)


class _Misses:
    """Misses of every gap from a level to another.

    The points of all levels stand in one row, (p,); ``off`` (n, p) is their signed distance from each level's outline,
    positive outside, as far as the reach goes.
    """

    def __init__(self, levels: Levels, reach: int) -> None:
        self.heights = levels.heights_mm
        step = STEP_SHARE * float(self.heights[-1] - self.heights[0])
        rows = [_along(material, step) for material in levels.material]
        self.first = np.concatenate([[0], np.cumsum([len(row) for row in rows])])
        self.points = np.concatenate(rows)
        self.off = self._offs(levels.material, NEAR_STEP * step, reach)

    def _offs(self, materials: tuple[MultiPolygon, ...], step_mm: float, reach: int) -> Floats:
        far = float(self.heights[-1] - self.heights[0])
        last = len(self.heights) - 1
        off = np.full((last + 1, len(self.points)), far)
        for i, material in enumerate(materials):
            near = slice(self.first[max(0, i - reach)], self.first[min(last, i + reach) + 1])
            if material.is_empty:
                continue
            points = self.points[near]
            away = KDTree(_along(material, step_mm)).query(points, eps=NEARLY)[0]
            shapely.prepare(material)
            away[shapely.contains_xy(material, points)] *= -1.0
            off[i, near] = away
        return off

    def misses(self, low: int, high: int) -> Floats:
        """Distance, mm, of every point of the levels between from the straight surface from ``low`` to ``high``."""
        out = np.zeros(self.first[high] - self.first[low + 1])
        _fill(self.off, self.heights, self.first, low, high, out)
        return out

    def costs(self, reach: int, closest: int) -> Floats:
        """(n, n) the sum of every gap from a lower level to a higher one within reach; elsewhere infinite."""
        levels = len(self.heights)
        costs = np.full((levels, levels), np.inf)
        for low in range(levels):
            for high in range(low + closest, min(levels, low + reach + 1)):
                costs[low, high] = cost_of(self.misses(low, high))
        return costs

    def gap(self, number: int, low: int, high: int) -> Gap:
        """What is reported of a gap."""
        misses = self.misses(low, high)
        ends = float(self.heights[low]), float(self.heights[high])
        if len(misses) == 0:
            return Gap(number, *ends, 0.0, 0.0, (0.0, 0.0, ends[0]))
        worst = int(np.argmax(misses)) + int(self.first[low + 1])
        x, y = (float(value) for value in self.points[worst])
        z = float(self.heights[np.searchsorted(self.first, worst, side="right") - 1])
        return Gap(number, *ends, float(misses.max()), float(np.quantile(misses, 0.95)), (x, y, z))


def cost_of(misses: Floats) -> float:
    """What misses (n,), mm, count against a choice."""
    return float(np.maximum(misses - MISS_MM, 0.0).sum() + SMALL * np.square(misses).sum())


@njit(cache=True, nogil=True)
def _fill(off: Any, heights: Any, first: Any, low: int, high: int, out: Any) -> None:
    start = first[low + 1]
    for k in range(low + 1, high):
        part = (heights[k] - heights[low]) / (heights[high] - heights[low])
        room = min(heights[k] - heights[low], heights[high] - heights[k])
        across = heights[k + 1] - heights[k - 1]
        for p in range(first[k], first[k + 1]):
            level = (1.0 - part) * off[low, p] + part * off[high, p]
            # a surface that leans is nearer than a level measure says
            rise = (off[k + 1, p] - off[k - 1, p]) / across
            # and nothing lies farther from a card's edge than the height between
            out[p - start] = min(abs(level) / np.sqrt(1.0 + rise * rise), room)


def _along(material: MultiPolygon, step_mm: float) -> Floats:
    """Points (n, 2) along every outline, no farther than a step from one to the next."""
    if material.is_empty:
        return np.zeros((0, 2))
    points: Floats = shapely.get_coordinates(shapely.segmentize(material.simplify(step_mm / 20), step_mm))
    return points
