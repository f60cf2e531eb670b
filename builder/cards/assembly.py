"""Whether the cards go together: each crossing worked out as solids, exactly, since all cards lie square to others."""

from __future__ import annotations

import itertools

from builder.cards.card import Card, Fit
from builder.cards.inner import spans


def crossing(one: Card, other: Card, thick_mm: float) -> Fit | None:
    """How a level or across card meets an upright one, or a level card an across one; ``None`` where they do not meet.

    The two solids share a box: one's band of the other's thickness. Along the third axis each takes some runs of it;
    where runs of both lie over each other, card is inside card.
    """
    assert (one.plane, other.plane) in {("level", "upright"), ("level", "across"), ("across", "upright")}
    half = thick_mm / 2
    band = (
        (one.place_mm - thick_mm, one.place_mm) if one.plane == "level" else (one.place_mm - half, one.place_mm + half)
    )
    # runs along y where a level card crosses an upright one, along x an across one; along z where those two cross
    own = 0 if other.plane == "upright" else 1
    first = spans(one.shape, own, other.place_mm - half, other.place_mm + half)
    axis = 1 if one.plane == "level" else 0
    second = spans(other.shape, axis, *band)
    whole = _common(
        spans(one.whole, own, other.place_mm - half, other.place_mm + half), spans(other.whole, axis, *band)
    )
    if not whole:
        return None
    clash = sum(end - start for start, end in _common(first, second))
    widths = [slot.width_mm - thick_mm for slot in one.slots]
    gap = max([*widths, *(_longest_gap(run, first + second) for run in whole)])
    return Fit(one.name, other.name, round(clash, 6), round(gap, 3))


def apart(cards: tuple[Card, ...], thick_mm: float) -> bool:
    """Whether no two level cards of the set touch."""
    tops = sorted(card.place_mm for card in cards if card.plane == "level" and card.role == "contour")
    return all(above - below > thick_mm for below, above in itertools.pairwise(tops))


def _common(one: list[tuple[float, float]], other: list[tuple[float, float]]) -> list[tuple[float, float]]:
    return [(max(a, c), min(b, d)) for a, b in one for c, d in other if min(b, d) - max(a, c) > 1e-9]


def _longest_gap(run: tuple[float, float], taken: list[tuple[float, float]]) -> float:
    """The longest part of a run that neither card takes."""
    at, longest = run[0], 0.0
    for start, end in sorted(taken):
        if start > at:
            longest = max(longest, min(start, run[1]) - at)
        at = max(at, end)
        if at >= run[1]:
            break
    return max(longest, run[1] - at if at < run[1] else 0.0)
