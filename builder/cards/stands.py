"""Stands for outer cards: combs pushed onto the outer edges of the halves, which hold each at its height.

A stand is an upright card square to the outer edge. At each contour both are slotted to the same depth, the half from
its outer edge, the stand from its inner edge, so that the stand comes in last, from outside, and locks all halves at
once.
Thin card is bent to an angle along the stand's height and stands on that; thick card has a cross piece.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely import LineString, MultiPolygon, box

from builder.cards.card import Card, Slot
from builder.cards.feet import BENDS_MM, foot_height
from builder.cards.seats import BEYOND_MM, PLAY_MM
from builder.study.description import CardChoice

PLACES = (0.25, 0.75)
"""Where the two stands of a side are, as shares of the outer edge from front to back."""
ANGLE_MM, CROSS_MM = 25.0, 80.0
"""Width of the part that is bent, and of the cross piece; common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class Stands:
    """The stands of one side with their cross pieces, and the slots that each half of that side gets."""

    cards: tuple[Card, ...]
    slots: tuple[Slot, ...]


def lap(bridge_mm: float) -> float:
    """How far a stand reaches over a half: a bridge for each, mm."""
    return 2 * bridge_mm


def stands_for(
    side: str, edge_mm: float, ends_mm: tuple[float, float], heights_mm: Sequence[float], choice: CardChoice
) -> Stands:
    """Stands for the halves of one side, whose outer edges all lie at x = ``edge_mm``, from y to y ``ends_mm``."""
    out = 1.0 if side == "left" else -1.0
    wide = choice.card_mm + PLAY_MM
    over, meet = lap(choice.bridge_mm), edge_mm - out * lap(choice.bridge_mm) / 2
    beyond = out * (choice.card_mm + BEYOND_MM)
    inner, fold = edge_mm - out * over, edge_mm + out * over
    top = max(heights_mm) + choice.bridge_mm
    cards: list[Card] = []
    own = []
    for number, share in enumerate(PLACES, 1):
        y = ends_mm[0] + share * (ends_mm[1] - ends_mm[0])
        own.append(Slot((edge_mm + beyond, y), (meet - out * PLAY_MM / 2, y), wide))
        slots = []
        for height in heights_mm:
            z = height - choice.card_mm / 2
            slots.append(Slot((inner - beyond, z), (meet + out * PLAY_MM / 2, z), wide))
        name = f"S{side[0].upper()}{number}"
        notes = tuple((inner + out * (over / 2 + 4.0), height - 1.0, str(n)) for n, height in enumerate(heights_mm, 1))
        if choice.card_mm <= BENDS_MM:
            low, high = sorted((inner, fold + out * ANGLE_MM))
            bend = (LineString([(fold, 0.0), (fold, top)]),)
            cards.append(Card("stand", name, "across", y, _area(low, 0.0, high, top), tuple(slots), bend, notes=notes))
            continue
        tall = foot_height(choice.bridge_mm)
        low, high = sorted((inner, fold + out * (choice.bridge_mm + wide)))
        slots.append(Slot((fold, -1.0), (fold, tall / 2 + PLAY_MM / 2), wide))
        cards.append(Card("stand", name, "across", y, _area(low, 0.0, high, top), tuple(slots), notes=notes))
        cut = Slot((y, tall + 1.0), (y, tall / 2 - PLAY_MM / 2), wide)
        foot = _area(y - CROSS_MM / 2, 0.0, y + CROSS_MM / 2, tall)
        cards.append(Card("foot", f"{name}x", "upright", fold, foot, (cut,)))
    return Stands(tuple(cards), tuple(own))


def _area(x0: float, y0: float, x1: float, y1: float) -> MultiPolygon:
    return MultiPolygon([box(*np.array([x0, y0, x1, y1]).tolist())])
