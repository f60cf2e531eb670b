"""Straight lines in place of a contour: few of them, with corners where the form turns.

Of all ways to cut a ring into so many stretches, the one is taken in which straight lines fitted to the stretches lie
nearest to it (least squares; dynamic programming, Perez and Vidal 1994, from memory). Corners then stand where
neighbouring lines meet.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from builder.arrays import Floats

_PLACES = 480
"""Places of equal distance along the ring at which it is looked at."""
_SHORTEST = 6
"""Places in the shortest stretch that is given a line of its own."""
_SLIDE = 4
"""Places by which a cut may move at a time once lines are added beside it."""
_TRIES = 6
"""Places at which the search for the first lines may begin; and how often lines are added anew."""
_HOLD = 1e-3
"""Weight, against that of a place of the ring, that holds a corner to its place on it: felt only where two lines are
so nearly one that they meet nowhere near."""
_REACH = 0.01
"""A corner stands no farther from its place on the ring than this share of the ring's girth, unless it cannot be held:
lines that leave out the foot of a gap would meet deep inside the form. Chosen by eye."""
_HOLDS, _ROUNDS = 16, 4
"""How often corners are held more firmly, and lines fitted anew to the corners before."""

Cuts = NDArray[np.int64]


def straight_rings(ring: Floats, counts: tuple[int, ...], near_px: float) -> list[Floats]:
    """A ring (n, 2), px, as straight lines: for each of the rising ``counts`` corners (k, 2), k at most that number.

    There are no more lines than it takes to leave no place of the ring farther than ``near_px`` from its line. Later
    rings split the stretches of earlier ones, so that a corner once set stays, to the little by which it moves as the
    lines beside it are fitted anew. No ring crosses itself.
    """
    places = even_places(ring, _PLACES)
    cost = _costs(places)
    cuts = _first_cuts(cost, places, counts[0], near_px)
    rings: list[Floats] = []
    for count in counts:
        for _ in range(_TRIES):  # lines that turn out not to be needed are free to go elsewhere
            before = len(cuts)
            cuts = _settled(cost, places, _split(cost, places, cuts, count, near_px), near_px)
            if len(cuts) <= before:
                break
        rings.append(_corners(places, cuts))
    return rings


def even_places(ring: Floats, count: int) -> Floats:
    """``count`` places along a ring (n, 2) at equal distances, the first of them its first point."""
    around = np.append(ring, ring[:1], axis=0).astype(np.float64)
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(around, axis=0).T)))
    wanted = np.arange(count) * (along[-1] / count)
    return np.stack([np.interp(wanted, along, around[:, k]) for k in (0, 1)], axis=1)


def crosses_itself(ring: Floats) -> bool:
    """Whether two sides of a ring (k, 2) that are not neighbours touch."""
    count = len(ring)
    a, b = ring, np.roll(ring, -1, axis=0)
    one, other = np.triu_indices(count, 2)
    apart = (one > 0) | (other < count - 1)
    one, other = one[apart], other[apart]
    sides = [
        np.sign(_turn(p[i], q[i], r[j]))
        for i, j in ((one, other), (other, one))
        for p, q, r in ((a, b, a), (a, b, b))
    ]  # fmt: skip
    return bool(((sides[0] * sides[1] <= 0) & (sides[2] * sides[3] <= 0)).any())


def _turn(p: Floats, q: Floats, r: Floats) -> Floats:
    turn: Floats = (q[:, 0] - p[:, 0]) * (r[:, 1] - p[:, 1]) - (q[:, 1] - p[:, 1]) * (r[:, 0] - p[:, 0])
    return turn


def _costs(places: Floats) -> Floats:
    """What it costs to draw a line for the stretch of length m + 1 that starts at place i, (n, n) at [i, m].

    The squares of its places off the line that fits them best, px2.
    """
    costs = np.zeros((len(places), len(places)))
    x, y = np.tile(places - places.mean(axis=0), (2, 1)).T
    terms = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=1)
    sums = np.append(np.zeros((1, 6)), np.cumsum(terms, axis=0), axis=0)
    _fill_costs(sums, costs)
    return costs


@njit(cache=True, nogil=True)
def _fill_costs(sums: Any, costs: Any) -> None:
    n = len(costs)
    for i in range(n):
        for m in range(n):
            before, after = sums[i], sums[i + m + 1]
            count = after[0] - before[0]
            x, y = after[1] - before[1], after[2] - before[2]
            xx = after[3] - before[3] - x * x / count
            xy = after[4] - before[4] - x * y / count
            yy = after[5] - before[5] - y * y / count
            costs[i, m] = max(0.0, 0.5 * (xx + yy - np.sqrt((xx - yy) ** 2 + 4.0 * xy * xy)))


def _first_cuts(cost: Floats, places: Floats, most: int, near_px: float) -> Cuts:
    """Places at which the stretches start, at most ``most``: as few as keep all of the ring near, if that can be.

    A ring has no start of its own. The search begins at the place farthest out, where a ring of straight sides has a
    corner, and again at the cut of what it found that lies farthest from there.
    """
    n = len(places)
    start = int(np.argmax(np.hypot(*(places - places.mean(axis=0)).T)))
    best, least = np.zeros(0, np.int64), (most + 1, np.inf)
    for _ in range(_TRIES):
        found, costs = _open_cuts(cost, start, n, most)
        for sides in range(3, most + 1):
            cuts = np.sort(found[sides, :sides] % n)
            if sides == most or _off_lines(places, cuts).max() <= near_px:
                break
        if not (sides, costs[sides]) < least:
            break
        best, least = cuts, (sides, float(costs[sides]))
        start = int(best[np.argmin(np.abs(np.mod(best - start, n) - n // 2))])
    return best


def _open_cuts(cost: Floats, start: int, length: int, most: int) -> tuple[Cuts, Floats]:
    """For each number of stretches up to ``most`` the best starts (most + 1, most) of stretches of the ``length``
    places from ``start`` on, and what they cost (most + 1,), infinite where there is no room for so many.
    """
    cuts = np.zeros((most + 1, most), np.int64)
    least = np.full(most + 1, np.inf)
    _cut(cost, start, length, _SHORTEST, cuts, least)
    return cuts, least


@njit(cache=True, nogil=True)
def _cut(cost: Any, start: int, length: int, shortest: int, cuts: Any, least: Any) -> None:
    most, n = len(least) - 1, len(cost)
    table = np.full((length + 1, most + 1), np.inf)
    before = np.zeros((length + 1, most + 1), np.int64)
    table[0, 0] = 0.0
    for j in range(shortest, length + 1):
        for i in range(0, j - shortest + 1):
            here = cost[(start + i) % n, j - i - 1]
            for k in range(1, most + 1):
                if table[i, k - 1] + here < table[j, k]:
                    table[j, k], before[j, k] = table[i, k - 1] + here, i
    for k in range(1, most + 1):
        least[k] = table[length, k]
        if np.isfinite(least[k]):
            at = length
            for place in range(k, 0, -1):
                at = before[at, place]
                cuts[k, place - 1] = start + at


def _split(cost: Floats, places: Floats, cuts: Cuts, count: int, near_px: float) -> Cuts:
    """``cuts`` with more between them, at most ``count`` in all: no stretch has more than keep it near, and of what is
    to be had each further line goes where it saves most.
    """
    n, most = len(places), count - len(cuts) + 1
    ways = []
    for start, stop in zip(cuts.tolist(), [*cuts[1:].tolist(), int(cuts[0]) + n], strict=True):
        own = np.arange(start, stop) % n
        starts, costs = _open_cuts(cost, start, stop - start, most)
        for parts in range(1, most + 1):
            if np.isfinite(costs[parts]):
                tried = np.sort(np.append(starts[parts, :parts], stop) % n)
                if _off_lines(places, tried)[own].max() <= near_px:
                    costs[parts + 1 :] = np.inf
                    break
        ways.append((starts, costs))
    cheapest = np.append(0.0, np.full(count, np.inf))  # of the stretches so far, by the lines they have in all
    taken = np.zeros((len(ways), count + 1), np.int64)
    for row, (_, costs) in zip(taken, ways, strict=True):
        before = cheapest
        cheapest = np.full(count + 1, np.inf)
        for parts in range(1, most + 1):
            reached = np.append(np.full(parts, np.inf), before[:-parts] + costs[parts])
            better = reached < cheapest
            cheapest[better], row[better] = reached[better], parts
    left = int(np.flatnonzero(np.isfinite(cheapest))[-1])
    found = []
    for (starts, _), row in zip(ways[::-1], taken[::-1], strict=True):
        parts = int(row[left])
        found.append(starts[parts, :parts])
        left -= parts
    return np.sort(np.concatenate(found) % n)


def _settled(cost: Floats, places: Floats, cuts: Cuts, near_px: float) -> Cuts:
    """``cuts`` moved a little, each to where its two lines fit best, without those between lines that are as well one:
    a cut of fewer lines stands where it was best for them.
    """
    moved = cuts.copy()
    _slide(cost, moved, _SLIDE, _SHORTEST)
    kept = np.sort(moved % len(places))
    while len(kept) > 3:
        removed = [np.delete(kept, index) for index in range(len(kept))]
        off = [
            _off_lines(places, fewer)[_stretch(kept, index, len(places))].max() for index, fewer in enumerate(removed)
        ]
        if min(off) > near_px:
            break
        kept = removed[int(np.argmin(off))]
    return kept


def _stretch(cuts: Cuts, index: int, n: int) -> Cuts:
    """The places from the cut before that of ``index`` to before the cut after it."""
    start, stop = int(cuts[index - 1]), int(cuts[(index + 1) % len(cuts)])
    return np.arange(start, stop if stop > start else stop + n) % n


@njit(cache=True, nogil=True)
def _slide(cost: Any, cuts: Any, reach: int, shortest: int) -> None:
    n, k = len(cost), len(cuts)
    for _ in range(k * reach):
        changed = False
        for index in range(k):
            start = cuts[index - 1] % n
            before = (cuts[index] - start) % n
            whole = (cuts[(index + 1) % k] - start) % n
            best, least = before, cost[start, before - 1] + cost[(start + before) % n, whole - before - 1]
            for tried in range(max(before - reach, shortest), min(before + reach, whole - shortest) + 1):
                here = cost[start, tried - 1] + cost[(start + tried) % n, whole - tried - 1]
                if here < least - 1e-9:
                    best, least = tried, here
            if best != before:
                cuts[index] = (start + best) % n
                changed = True
        if not changed:
            break


def _off_lines(places: Floats, cuts: Cuts) -> Floats:
    """Distance of each place from the line fitted to its stretch, (n,), px."""
    normal, middle, owner = _lines(places, cuts)
    off: Floats = np.abs(((places - middle[owner]) * normal[owner]).sum(axis=1))
    return off


def _lines(places: Floats, cuts: Cuts) -> tuple[Floats, Floats, Cuts]:
    """Of each stretch the unit normal and a point of its line, (k, 2); and the stretch of each place (n,)."""
    count = len(cuts)
    owner = np.mod(np.searchsorted(cuts, np.arange(len(places)), side="right") - 1, count)
    held = np.bincount(owner, minlength=count)
    middle = np.stack([np.bincount(owner, places[:, k], count) / held for k in (0, 1)], axis=1)
    x, y = (places - middle[owner]).T
    xx, xy, yy = (np.bincount(owner, term, count) for term in (x * x, x * y, y * y))
    angle = 0.5 * np.arctan2(2 * xy, xx - yy) + np.pi / 2
    return np.stack([np.cos(angle), np.sin(angle)], axis=1), middle, owner


def _corners(places: Floats, cuts: Cuts) -> Floats:
    """Corners (k, 2) between the stretches, the first where the first starts, so that the lines lie nearest to all.

    A corner that would stand far from its place on the ring, or any while the ring crosses itself, is held to it by as
    much as it takes.
    """
    on_ring = (places[cuts] + places[cuts - 1]) / 2
    step = places - np.roll(places, 1, axis=0)
    reach = _REACH * float(np.hypot(step[:, 0], step[:, 1]).sum())
    hold = np.full(len(cuts), _HOLD)
    for _ in range(_HOLDS):
        corners = _fitted(places, cuts, on_ring, hold)
        far = np.hypot(*(corners - on_ring).T) > reach
        if crosses_itself(corners):
            far[:] = True
        if not far.any():
            return corners
        hold[far] *= 4.0
    return corners if not crosses_itself(corners) else on_ring


def _fitted(places: Floats, cuts: Cuts, on_ring: Floats, hold: Floats) -> Floats:
    """Corners by least squares over the distances of all places from their lines; each is held to its place ``on_ring``
    (k, 2) with the weight ``hold`` (k,).
    """
    normal, _, owner = _lines(places, cuts)
    k = len(cuts)
    after = np.roll(np.arange(k), -1)
    corners: Floats = on_ring
    for _ in range(_ROUNDS):
        start, stop = corners[owner], corners[after[owner]]
        square_px2 = np.maximum(((stop - start) ** 2).sum(axis=1), _HOLD)
        along = np.clip(((places - start) * (stop - start)).sum(axis=1) / square_px2, 0.0, 1.0)
        reach = (places * normal[owner]).sum(axis=1)
        near, both, away, at_start, at_stop = (
            np.bincount(owner, weight, k)
            for weight in ((1 - along) ** 2, along * (1 - along), along**2, (1 - along) * reach, along * reach)
        )
        across = normal[:, :, None] * normal[:, None, :]
        square = np.zeros((k, 2, k, 2))
        wanted = hold[:, None] * on_ring + at_start[:, None] * normal
        wanted[after] += at_stop[:, None] * normal
        one = np.arange(k)
        square[one, :, one, :] = near[:, None, None] * across + hold[:, None, None] * np.eye(2)
        square[after, :, after, :] += away[:, None, None] * across
        square[one, :, after, :] += both[:, None, None] * across
        square[after, :, one, :] += both[:, None, None] * across
        corners = np.asarray(np.linalg.solve(square.reshape(2 * k, 2 * k), wanted.ravel()).reshape(k, 2), np.float64)
        side = corners[after] - corners
        length = np.maximum(np.hypot(side[:, 0], side[:, 1]), _HOLD)
        normal = np.stack([-side[:, 1], side[:, 0]], axis=1) / length[:, None]
    return corners
