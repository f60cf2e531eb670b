"""Outer cards: the form cut out of the card, to be held against the clay from outside.

A level template in one piece could not be brought round a form that is wider elsewhere, so each contour is two halves
that meet in the profile's plane and are pushed in from the left and from the right. The profile is two templates that
stand on the board, one pushed in from the front, one from the back. Where the form would bar the way, or a hollow is
too narrow for a card that holds, the card is cut back, and what it then cannot reach is told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, box

from builder.cards.card import Card, Side, Unreached
from builder.cards.inner import BASE_MM, centre_lines, end_marks
from builder.cards.stands import lap, stands_for
from builder.cards.strength import sturdy
from builder.cards.undercut import shadow
from builder.sections.sliced import Body, level, polygons, upright
from builder.study.description import CardChoice

FRAME_MM = 20.0
"""Width of card round the form, at least; common practice, no source."""
HOLLOW_MM = 1.0
"""A hollow less deep than this is filled by the thumb."""
FAR_MM = 1e4
SIDES: tuple[Side, ...] = ("left", "right")


@dataclass(frozen=True, slots=True, eq=False)
class OuterCards:
    """The footprint, the two profile templates, the stands and the halves of the contours from below; and what they
    miss.
    """

    footprint: Card
    profiles: tuple[Card, ...]
    stands: tuple[Card, ...]
    contours: tuple[Card, ...]
    unreached: tuple[Unreached, ...]


def outer_cards(body: Body, heights_mm: Sequence[float], x_mm: float, choice: CardChoice) -> OuterCards:
    """The cards of a body (mm of the clay model, base at z = 0) with contours at the heights, the profile at x."""
    frame = max(FRAME_MM, lap(choice.bridge_mm) + choice.bridge_mm + 2.0)
    forms = [
        polygons(shapely.union(level(body, height), level(body, height - choice.card_mm))) for height in heights_mm
    ]
    x0, y0, x1, y1 = shapely.total_bounds(np.array(forms))
    ends = float(y0) - frame, float(y1) + frame
    edges = {"left": max(float(x1), x_mm) + frame, "right": min(float(x0), x_mm) - frame}
    held = {side: stands_for(side, edges[side], ends, heights_mm, choice) for side in SIDES}
    contours: list[Card] = []
    missed: list[Unreached] = []
    for number, (height, form) in enumerate(zip(heights_mm, forms, strict=True), 1):
        for side in SIDES:
            name = f"{number}{side[0].upper()}"
            half, deep = _half(form, x_mm, side, edges[side], ends, choice.bridge_mm)
            contours.append(Card("contour", name, "level", height, half, held[side].slots))
            if deep >= HOLLOW_MM:
                missed.append(Unreached(name, side, round(deep, 1)))
    profiles, hollows = _profiles(body, heights_mm, x_mm, choice, frame)
    base = level(body, BASE_MM)
    stands = (*held["left"].cards, *held["right"].cards)
    return OuterCards(_footprint(base, x_mm), profiles, stands, tuple(contours), (*hollows, *missed))


def _half(
    form: MultiPolygon, x_mm: float, side: Side, edge_mm: float, ends_mm: tuple[float, float], bridge_mm: float
) -> tuple[MultiPolygon, float]:
    """The half of a template on one side, and how deep the hollows are that it cannot enter, mm."""
    low, high = sorted((x_mm, edge_mm))
    half = shapely.difference(box(low, ends_mm[0], high, ends_mm[1]), form)
    barred = shapely.intersection(half, shadow(form, (-FAR_MM if side == "left" else FAR_MM, 0.0)))
    return _cut_back(half, barred, 0, bridge_mm)


def _cut_back(
    card: shapely.Geometry, barred: shapely.Geometry, axis: int, bridge_mm: float
) -> tuple[MultiPolygon, float]:
    """The card without what is barred or weak, the largest piece of it, and the greatest depth lost along an axis."""
    hollows = shapely.buffer(shapely.buffer(barred, -0.05), 0.05)
    left = sturdy(polygons(shapely.difference(card, shapely.buffer(hollows, 0.02))), bridge_mm)
    largest = MultiPolygon(list(left.geoms)[:1])
    lost = polygons(shapely.buffer(shapely.buffer(shapely.difference(card, largest), -0.05), 0.05))
    deep = max((part.bounds[axis + 2] - part.bounds[axis] for part in lost.geoms), default=0.0)
    return largest, float(deep)


def _profiles(
    body: Body, heights_mm: Sequence[float], x_mm: float, choice: CardChoice, frame: float
) -> tuple[tuple[Card, ...], tuple[Unreached, ...]]:
    """The templates for front and back, which meet over the section's highest place, with the contours' heights."""
    half = choice.card_mm / 2
    form = polygons(shapely.union_all([upright(body, x_mm + off) for off in (-half, 0.0, half)]))
    y0, _, y1, top = form.bounds
    over = max(top + frame, max(heights_mm) + choice.bridge_mm)
    highest = shapely.intersection(form, box(y0, top - 0.5, y1, top + 1)).centroid.x
    cards, missed = [], []
    ways: tuple[tuple[Side, str, float, float, float], ...] = (
        ("front", "PF", y0 - frame, highest, FAR_MM),
        ("back", "PB", highest, y1 + frame, -FAR_MM),
    )
    for side, name, low, high, way in ways:
        whole = shapely.difference(box(low, 0.0, high, over), form)
        barred = shapely.intersection(whole, shadow(form, (way, 0.0)))
        card, deep = _cut_back(whole, barred, 0, choice.bridge_mm)
        edge = low if side == "front" else high
        inward = 4.0 if side == "front" else -4.0
        ticks = tuple(LineString([(edge, height), (edge + inward, height)]) for height in heights_mm)
        at = edge + 1.5 * inward
        notes = tuple((at, height, str(number)) for number, height in enumerate(heights_mm, 1))
        cards.append(Card("profile", name, "upright", x_mm, card, guides=ticks, notes=notes))
        if deep >= HOLLOW_MM:
            missed.append(Unreached(name, side, round(deep, 1)))
    return tuple(cards), tuple(missed)


def _footprint(base: MultiPolygon, x_mm: float) -> Card:
    _, y0, _, y1 = base.bounds
    return Card("footprint", "F", "level", 0.0, base, guides=(*centre_lines(base, x_mm), *end_marks(x_mm, y0, y1)))
