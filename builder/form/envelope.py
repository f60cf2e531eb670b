"""The envelope: a few straight sides, at most seven, that hold a whole silhouette and waste least on what is round it.

Every side lies against the silhouette, so that it is told by the direction in which it faces. Between neighbouring
sides there is a corner of waste, the area outside the convex hull. The envelope is the ring of sides that waste least
together: found by dynamic programming over a set of directions, then turned side by side until no turn saves more.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from scipy.spatial import ConvexHull

from builder.arrays import Floats, frozen

FEWEST_SIDES, MOST_SIDES = 3, 7
WORTH_SHARE = 0.005
"""A side is worth drawing when it saves this share of the hull's area. Chosen by eye."""
_STEP_DEG = 4.0
"""Between the directions tried first."""
_FINE_DEG = 0.125
"""Between the directions a side is turned to at last: one that is off by half of it wastes less than a millionth."""
_LONG_SHARE = 0.01
"""A side of the hull as long as this share of its girth gives a direction of its own."""
_LEAST_DEG, _MOST_DEG = 0.5, 179.9
"""Turn from one side to the next: less is one side, more would meet too far away."""
_SAME_PX = 1e-6
"""Corners nearer than this are one: where the form ends in a needle, a side may have no length."""


def envelope(points: Floats) -> Floats:
    """Corners (k, 2) of the envelope of ``points`` (n, 2), px; 3 <= k <= 7, clockwise as the picture is seen.

    As many sides as are worth drawing (:data:`WORTH_SHARE`). The points must not lie on one line.
    """
    hull = _hull(points)
    around = np.append(hull.corners, hull.corners[:1], axis=0)
    length = np.hypot(*np.diff(around, axis=0).T)
    own = hull.facing[length >= _LONG_SHARE * length.sum()]
    worth = WORTH_SHARE * hull.area_px2

    def price(ring: Floats) -> float:
        return float(hull.waste(ring, np.roll(ring, -1)).sum()) + worth * len(ring)

    rings = _best_rings(hull, _directions(own, _STEP_DEG))
    least = min(price(ring) for ring in rings)
    fine = _directions(hull.facing, _FINE_DEG)
    turned = [_turned(hull, ring, fine) for ring in rings if price(ring) <= least + worth]
    chosen = min(turned, key=price)
    corners = hull.meeting(np.roll(chosen, 1), chosen)
    apart: Floats = corners[np.hypot(*(corners - np.roll(corners, 1, axis=0)).T) > _SAME_PX]
    return apart


@dataclass(frozen=True, slots=True, eq=False)
class _Hull:
    """A convex ring clockwise as seen. corners (m, 2); facing (m,): the angle, rising from below pi to less than a
    whole turn more, of the outward normal of the side from each corner to the next; swept (2 m + 1,): twice the area
    swept by the sides before each corner, seen from the first, over two rounds.
    """

    corners: Floats
    facing: Floats
    swept: Floats

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "corners", frozen(self.corners, "f8", (None, 2)))
        object.__setattr__(self, "facing", frozen(self.facing, "f8", (None,)))
        object.__setattr__(self, "swept", frozen(self.swept, "f8", (None,)))

    @property
    def area_px2(self) -> float:
        return float(self.swept[len(self.corners)]) / 2

    def touched(self, facing: Floats) -> np.ndarray:
        """The corner that a side facing so leans on: that which starts the first side of the hull facing beyond it."""
        turn = np.mod(facing - self.facing[0], 2 * np.pi)
        return np.asarray(np.searchsorted(self.facing - self.facing[0], turn, side="left") % len(self.corners))

    def meeting(self, one: Floats, other: Floats) -> Floats:
        """Where sides that face ``one`` and ``other``, angles of any equal shape, meet, (..., 2)."""
        a, b = (np.stack([np.cos(angle), np.sin(angle)], axis=-1) for angle in (one, other))
        reach_a = (a * self.corners[self.touched(one)]).sum(axis=-1)
        reach_b = (b * self.corners[self.touched(other)]).sum(axis=-1)
        sine = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
        x = reach_a * b[..., 1] - reach_b * a[..., 1]
        y = reach_b * a[..., 0] - reach_a * b[..., 0]
        place: Floats = np.stack([x, y], axis=-1) / np.where(sine == 0.0, np.nan, sine)[..., None]
        return place

    def waste(self, one: Floats, other: Floats) -> Floats:
        """Area between the hull and its sides that face ``one`` and next ``other``; infinite if these do not meet."""
        turn = np.mod(other - one, 2 * np.pi)
        meet = (turn >= np.radians(_LEAST_DEG)) & (turn <= np.radians(_MOST_DEG))
        start, stop = self.touched(one), self.touched(other)
        stop = np.where(stop < start, stop + len(self.corners), stop)
        p, q = self.corners[start], self.corners[stop % len(self.corners)]
        corner = self.meeting(one, other)
        outside = _cross(corner - p, q - p)
        origin = self.corners[0]
        inside = self.swept[stop] - self.swept[start] - _cross(p - origin, q - origin)
        return np.where(meet, np.maximum((outside - inside) / 2, 0.0), np.inf)


def _hull(points: Floats) -> _Hull:
    found = ConvexHull(points)
    corners = np.asarray(points, np.float64)[found.vertices]  # in the plane they come anticlockwise with y upwards
    after = np.roll(corners, -1, axis=0)
    edge = after - corners
    facing = np.unwrap(np.arctan2(-edge[:, 0], edge[:, 1]))
    crossed = _cross(corners - corners[0], after - corners[0])
    return _Hull(corners, facing, np.append(0.0, np.cumsum(np.tile(crossed, 2))))


def _cross(a: Floats, b: Floats) -> Floats:
    crossed: Floats = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return crossed


def _directions(own: Floats, step_deg: float) -> Floats:
    """Angles 0 up to a whole turn, rising: even steps and those given."""
    even = np.radians(np.arange(0.0, 360.0, step_deg))
    return np.unique(np.mod(np.concatenate([even, own]), 2 * np.pi))


def _best_rings(hull: _Hull, directions: Floats) -> list[Floats]:
    """For each number of sides the ring of directions of least waste, if there is one."""
    count = len(directions)
    waste = hull.waste(*np.broadcast_arrays(directions[:, None], directions[None, :]))
    chosen = np.zeros((MOST_SIDES + 1, MOST_SIDES), np.int64)
    least = np.full(MOST_SIDES + 1, np.inf)
    _choose(waste, count, chosen, least)
    return [directions[chosen[k, :k]] for k in range(FEWEST_SIDES, MOST_SIDES + 1) if np.isfinite(least[k])]


@njit(cache=True, nogil=True)
def _choose(waste: Any, count: int, chosen: Any, least: Any) -> None:
    """Of every first side the cheapest ways on, by number of sides; all later sides come after it."""
    sides = len(least) - 1
    cost = np.zeros((sides + 1, count))
    before = np.zeros((sides + 1, count), np.int64)
    for first in range(count):
        cost[:] = np.inf
        cost[1, first] = 0.0
        for k in range(2, sides + 1):
            for j in range(first + 1, count):
                for i in range(first, j):
                    reached = cost[k - 1, i] + waste[i, j]
                    if reached < cost[k, j]:
                        cost[k, j], before[k, j] = reached, i
        for k in range(3, sides + 1):
            for j in range(first + 1, count):
                if cost[k, j] + waste[j, first] < least[k]:
                    least[k] = cost[k, j] + waste[j, first]
                    at = j
                    for place in range(k, 0, -1):
                        chosen[k, place - 1] = at
                        at = before[place, at]


def _turned(hull: _Hull, ring: Floats, fine: Floats) -> Floats:
    """A ring with its sides turned, one by one, to the directions near them that waste least, until none saves more."""
    ring = ring.copy()
    reach = np.radians(_STEP_DEG)
    for _ in range(8 * len(ring)):
        changed = False
        for k in range(len(ring)):
            before, after = ring[k - 1], ring[(k + 1) % len(ring)]
            near = fine[np.abs(np.mod(fine - ring[k] + np.pi, 2 * np.pi) - np.pi) <= reach]
            tried = np.append(ring[k], near)
            full = np.full(len(tried), 1.0)
            cost = hull.waste(before * full, tried) + hull.waste(tried, after * full)
            best = int(np.argmin(cost))
            if cost[best] < cost[0] - 1e-9 * hull.area_px2:
                ring[k], changed = tried[best], True
        if not changed:
            break
    return ring
