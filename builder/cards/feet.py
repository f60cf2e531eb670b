"""What the profile stands on: tabs bent to both sides where the card is thin, cross pieces where it is thick."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, box

from builder.arrays import Floats
from builder.cards.card import Card, Slot
from builder.cards.seats import PLAY_MM
from builder.sections.sliced import polygons
from builder.study.description import CardChoice

BENDS_MM = 0.6
"""Card up to this thickness is bent; thicker breaks. Common practice, no source."""
TAB_LONG_MM, TAB_WIDE_MM = 20.0, 10.0
"""Long and in turns to both sides, so that the frame stands broad; common practice, no source."""
MOST_TABS = 6
"""On one run of the profile: more hold no better."""
FOOT_HIGH_MM, FOOT_WIDE_MM = 24.0, 70.0
SHY_MM = 1.0
"""Feet stay this far within the form."""
NAMES = "xyzuvw"
"""Of the cross pieces of one profile."""


@dataclass(frozen=True, slots=True, eq=False)
class Feet:
    """The profile with its tabs, their folds, its slots for cross pieces, these themselves, and prints on the board."""

    profile: MultiPolygon
    folds: tuple[LineString, ...] = ()
    slots: tuple[Slot, ...] = ()
    cards: tuple[Card, ...] = ()
    prints: tuple[Floats, ...] = ()


def feet_for(
    standing: MultiPolygon,
    base: MultiPolygon,
    first: MultiPolygon,
    x_mm: float,
    room_mm: float,
    choice: CardChoice,
    profile: str = "P",
    others_mm: Sequence[float] = (),
) -> Feet:
    """Feet for a profile over its base, below the first contour, whose underside lies at ``room_mm``.

    Tabs and cross pieces keep clear of other upright cards, at x ``others_mm``.
    """
    runs = [
        (part.bounds[0], part.bounds[2])
        for part in shapely.get_parts(shapely.intersection(standing, box(-1e5, -1.0, 1e5, 0.1)))
        if part.bounds[2] - part.bounds[0] > choice.bridge_mm + 2 * SHY_MM + 1.0
    ]
    if not runs:
        return Feet(standing)
    if choice.card_mm <= BENDS_MM:
        clear = min([TAB_LONG_MM, *(abs(x - x_mm) / 2 - SHY_MM for x in others_mm)])
        return _bent(standing, base, x_mm, sorted(runs), clear)
    within = polygons(shapely.intersection(base, first)) if not first.is_empty else base
    free = min([FOOT_WIDE_MM / 2, *(abs(x - x_mm) / 2 - choice.card_mm for x in others_mm)])
    return _crossed(standing, within, x_mm, sorted(runs), room_mm, free, choice, profile)


def _bent(
    standing: MultiPolygon, base: MultiPolygon, x_mm: float, runs: list[tuple[float, float]], most_mm: float
) -> Feet:
    tabs, folds, prints = [], [], []
    turn = 1.0
    for low, high in runs:
        count = max(1 if high - low < 12.0 else 2, min(MOST_TABS, round((high - low) / TAB_WIDE_MM)))
        ends = np.linspace(low + SHY_MM, high - SHY_MM, count + 1)
        for start, end in zip(ends[:-1] + 0.5, ends[1:] - 0.5, strict=True):
            for way in (turn, -turn):
                room = _clear(base, x_mm, start, end, way)
                if room >= 4.0:
                    long = min(most_mm, room)
                    tabs.append(box(start, -long, end, 0.001))
                    folds.append(LineString([(start, 0.0), (end, 0.0)]))
                    x0, x1 = sorted((x_mm, x_mm + way * long))
                    prints.append(np.array([(x0, start), (x1, start), (x1, end), (x0, end), (x0, start)]))
                    turn = -way
                    break
    return Feet(polygons(shapely.union_all([standing, *tabs])), tuple(folds), prints=tuple(prints))


def _clear(base: MultiPolygon, x_mm: float, start: float, end: float, way: float) -> float:
    """How far a tab may reach from the profile to one side and stay within the footprint."""
    for long in np.arange(TAB_LONG_MM, 3.0, -1.0):
        x0, x1 = sorted((x_mm, x_mm + way * (long + SHY_MM)))
        if shapely.area(shapely.difference(box(x0, start, x1, end), base)) < 0.02 * (end - start) * long:
            return float(long)
    return 0.0


def _crossed(
    standing: MultiPolygon,
    within: MultiPolygon,
    x_mm: float,
    runs: list[tuple[float, float]],
    room_mm: float,
    free_mm: float,
    choice: CardChoice,
    profile: str,
) -> Feet:
    tall = min(max(FOOT_HIGH_MM, foot_height(choice.bridge_mm)), room_mm - SHY_MM)
    half, wide = tall / 2, choice.card_mm + PLAY_MM
    if half - PLAY_MM / 2 < choice.bridge_mm:
        return Feet(standing)
    slots, prints = [], []
    cards: list[Card] = []
    least = choice.bridge_mm + wide
    for y in [low + share * (high - low) for low, high in runs for share in (0.25, 0.75)][: len(NAMES)]:
        line = shapely.intersection(within, LineString([(-1e5, y), (1e5, y)]))
        across = [part for part in shapely.get_parts(line) if part.distance(shapely.Point(x_mm, y)) < 0.01]
        if not across or any(abs(y - other.place_mm) < least for other in cards):
            continue
        x0 = max(across[0].bounds[0] + SHY_MM, x_mm - free_mm)
        x1 = min(across[0].bounds[2] - SHY_MM, x_mm + free_mm)
        if min(x1 - x_mm, x_mm - x0) < least:
            continue
        slots.append(Slot((y, -1.0), (y, half + PLAY_MM / 2), wide))
        own = Slot((x_mm, tall + 1.0), (x_mm, half - PLAY_MM / 2), wide)
        name = f"{profile}{NAMES[len(cards)]}"
        cards.append(Card("foot", name, "across", y, MultiPolygon([box(x0, 0.0, x1, tall)]), (own,)))
        prints.append(np.array([(x0, y), (x1, y)]))
    return Feet(standing, slots=tuple(slots), cards=tuple(cards), prints=tuple(prints))


def foot_height(bridge_mm: float) -> float:
    """The least height of a cross piece: a bridge under its slot, and as much of the profile's."""
    return 2 * (bridge_mm + PLAY_MM)
