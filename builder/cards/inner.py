"""Inner cards: the form's own sections, slotted together into the frame that the clay is built on.

The profile stands upright on the board; each contour is pushed onto it from the back. At every crossing the profile is
slotted from the back and the contour from the front, each to the same depth, so that the profile's front edge and the
contours' back edges stay whole.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, box

from builder.cards.card import Card, Loose, Slot
from builder.cards.feet import feet_for
from builder.sections.sliced import Body, level, polygons, upright
from builder.study.description import CardChoice

PLAY_MM = 0.1
"""A slot is wider than the card by this, and the two slots of a crossing together longer by it."""
BASE_MM = 0.05
"""The footprint is cut this far above the base, where a flat underside is sure to be met."""


MOST_PROFILES = 4
"""Upright cards at most: more would leave no room for the clay. Common practice, no source."""
BETWEEN_MM = 12.0
"""Upright cards stand at least so far apart."""


@dataclass(frozen=True, slots=True, eq=False)
class InnerCards:
    """The footprint, the profiles, their feet and the contours from below; with what nothing holds."""

    footprint: Card
    profiles: tuple[Card, ...]
    feet: tuple[Card, ...]
    contours: tuple[Card, ...]
    loose: tuple[Loose, ...]


def inner_cards(body: Body, heights_mm: Sequence[float], x_mm: float, choice: CardChoice) -> InnerCards:
    """The cards of a body (mm of the clay model, base at z = 0) with contours at the heights, the profile at x.

    Parts that the profile does not meet, such as another of several bodies, get profiles of their own beside it.
    """
    levels = [_contour(body, height, choice) for height in heights_mm]
    places = [x_mm]
    contours, slots = _seated(body, levels, heights_mm, places, choice)
    loose = [piece for card in contours for piece in _loose(card)]
    while loose and len(places) < MOST_PROFILES:
        better = []
        for x in sorted({round(piece.at_mm[0], 1) for piece in loose}):
            if all(abs(x - other) >= BETWEEN_MM for other in places):
                cards, cuts = _seated(body, levels, heights_mm, [*places, x], choice)
                better.append(([piece for card in cards for piece in _loose(card)], x, cards, cuts))
        if not better or len(min(better, key=_fewest)[0]) >= len(loose):
            break
        loose, x, contours, slots = min(better, key=_fewest)
        places.append(x)
    base = level(body, BASE_MM)
    profiles: list[Card] = []
    feet: list[Card] = []
    guides: list[LineString] = []
    for number, (x, own) in enumerate(zip(places, slots, strict=True), 1):
        standing = _standing(body, x, choice, number == 1)
        name = "P" if number == 1 else f"P{number}"
        on = feet_for(standing, base, levels[0], x, heights_mm[0] - choice.card_mm, choice, name)
        profile = Card("profile", name, "upright", x, on.profile, (*own, *on.slots), on.folds)
        profiles.append(profile)
        feet += on.cards
        guides += [*_marks(standing, x), *(LineString(np.array(ring)) for ring in on.prints)]
        loose += [Loose(name, letter(n), _middle(part)) for n, part in list(enumerate(profile.shape.geoms))[1:]]
    footprint = Card("footprint", "F", "level", 0.0, base, guides=(*centre_lines(base, x_mm), *guides))
    return InnerCards(footprint, tuple(profiles), tuple(feet), tuple(contours), tuple(loose))


def _fewest(tried: tuple[list[Loose], float, list[Card], list[list[Slot]]]) -> tuple[int, float]:
    return len(tried[0]), tried[1]


def _seated(
    body: Body, levels: Sequence[MultiPolygon], heights_mm: Sequence[float], places: Sequence[float], choice: CardChoice
) -> tuple[list[Card], list[list[Slot]]]:
    """The contours slotted for profiles at the places, and each profile's own slots."""
    thick = choice.card_mm
    standing = [_standing(body, x, choice, x == places[0]) for x in places]
    slots: list[list[Slot]] = [[] for _ in places]
    contours = []
    for number, (material, height) in enumerate(zip(levels, heights_mm, strict=True), 1):
        own: list[Slot] = []
        for place, x in enumerate(places):
            for part in material.geoms:
                seat = _crossing(standing[place], part, x, height - thick / 2, choice)
                if seat is not None:
                    own.append(seat.in_contour(x, thick))
                    slots[place].append(seat.in_profile(height - thick / 2, thick))
        contours.append(Card("contour", str(number), "level", height, material, tuple(own)))
    return contours, slots


@dataclass(frozen=True, slots=True)
class _Seat:
    """Where one part of a contour sits on the profile, depths y: its front, where the slots meet, its back, and the
    profile's free edge behind it.
    """

    front_mm: float
    middle_mm: float
    back_mm: float
    edge_mm: float

    def in_contour(self, x_mm: float, thick_mm: float) -> Slot:
        """The contour's slot, from the front of the part."""
        start = self.front_mm - thick_mm - 0.5
        return Slot((x_mm, start), (x_mm, self.middle_mm + PLAY_MM / 2), thick_mm + PLAY_MM)

    def in_profile(self, z_mm: float, thick_mm: float) -> Slot:
        """The profile's slot, from its free edge behind the part."""
        return Slot((self.edge_mm + thick_mm + 0.5, z_mm), (self.middle_mm - PLAY_MM / 2, z_mm), thick_mm + PLAY_MM)


def _contour(body: Body, height: float, choice: CardChoice) -> MultiPolygon:
    """The card with its upper face at the height: within the form at both its faces, and under the clay's cover."""
    both = shapely.intersection(level(body, height), level(body, height - choice.card_mm))
    return polygons(shapely.buffer(both, -choice.cover_mm) if choice.cover_mm else both)


def _profile(body: Body, x_mm: float, choice: CardChoice) -> MultiPolygon:
    """The upright card: within the form at both faces, standing on the board."""
    half = choice.card_mm / 2
    both: shapely.Geometry = upright(body, x_mm)
    for side in (x_mm - half, x_mm + half):
        both = shapely.intersection(both, upright(body, side))
    whole = polygons(both)
    if choice.cover_mm and not whole.is_empty:
        # the base is not covered: it stands on the board
        below = [box(low, -4 * choice.cover_mm, high, 0.01) for low, high in spans(whole, 1, 0.0, BASE_MM)]
        deep = shapely.union_all([whole, *below])
        y0, _, y1, z1 = whole.bounds
        whole = polygons(shapely.intersection(shapely.buffer(deep, -choice.cover_mm), box(y0, 0, y1, z1)))
    return whole


SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
"""How deep the contour's slot goes into the way that both cards have in common, best first."""


def _standing(body: Body, x_mm: float, choice: CardChoice, first: bool) -> MultiPolygon:
    """The upright card; of one that only helps the first, no more than its largest piece."""
    whole = _profile(body, x_mm, choice)
    return whole if first else MultiPolygon(list(whole.geoms)[:1])


def _crossing(
    standing: MultiPolygon, part: shapely.Polygon, x_mm: float, z_mm: float, choice: CardChoice
) -> _Seat | None:
    """How a part of a contour sits on the profile: the slots meet in the middle of their longest way together, or
    elsewhere where the contour would fall apart by that.
    """
    up = _runs(shapely.intersection(standing, LineString([(-1e5, z_mm), (1e5, z_mm)])), 0)
    flat = _runs(shapely.intersection(part, LineString([(x_mm, -1e5), (x_mm, 1e5)])), 1)
    both = [(max(a, c), min(b, d)) for a, b in up for c, d in flat if min(b, d) - max(a, c) > 1.0]
    if not both:
        return None
    both.sort(key=lambda run: run[0] - run[1])
    back = flat[-1][1]
    edge = max(end for start, end in up if start < back)
    seats = [
        _Seat(flat[0][0], low + share * (high - low), back, edge)
        for low, high in both
        if high - low == both[0][1] - both[0][0] or high - low >= 2 * choice.bridge_mm
        for share in SHARES
    ]
    whole = [
        seat
        for seat in seats
        if len(polygons(shapely.difference(part, seat.in_contour(x_mm, choice.card_mm).area)).geoms) == 1
    ]
    # a part that goes in from a hollow of the profile needs as much room behind it as its slot is long
    room = min((start for start, _ in up if start >= edge), default=np.inf) - edge
    fitting = [seat for seat in whole if edge - seat.middle_mm <= room]
    return (fitting or whole or seats)[0]


def _runs(lines: shapely.Geometry, axis: int) -> list[tuple[float, float]]:
    runs = []
    for line in shapely.get_parts(lines):
        if line.length > 0:
            values = shapely.get_coordinates(line)[:, axis]
            runs.append((float(values.min()), float(values.max())))
    return sorted(runs)


def spans(shape: MultiPolygon, axis: int, low: float, high: float) -> list[tuple[float, float]]:
    """What the shape takes of its other axis where coordinate ``axis`` lies in low..high: runs, joined, in order."""
    far = 1e5
    band = box(low, -far, high, far) if axis == 0 else box(-far, low, far, high)
    runs = []
    for part in shapely.get_parts(shapely.intersection(shape, band)):
        if part.area > 0:
            values = shapely.get_coordinates(part)[:, 1 - axis]
            runs.append((float(values.min()), float(values.max())))
    joined: list[tuple[float, float]] = []
    for start, end in sorted(runs):
        if joined and start <= joined[-1][1]:
            joined[-1] = joined[-1][0], max(joined[-1][1], end)
        else:
            joined.append((start, end))
    return joined


def _loose(card: Card) -> list[Loose]:
    """Parts of a contour that end no slot: behind its end a slot's part sits in the profile."""
    seated = [shapely.Point(slot.end[0], slot.end[1] + 0.3) for slot in card.slots]
    parts = enumerate(card.shape.geoms)
    return [
        Loose(card.name, letter(n), _middle(part))
        for n, part in parts
        if not any(part.intersects(seat) for seat in seated)
    ]


def letter(n: int) -> str:
    """The letter of the n-th part of a card, from 0."""
    return "abcdefghijklmnopqrstuvwxyz"[n % 26]


def _middle(part: shapely.Polygon) -> tuple[float, float]:
    point = part.representative_point()
    return round(float(point.x), 1), round(float(point.y), 1)


def _marks(standing: MultiPolygon, x_mm: float) -> list[LineString]:
    """The profile's line on the board, and the two marks between which it stands."""
    ends = spans(standing, 1, 0.0, 2 * BASE_MM)
    if not ends:
        return []
    y0, y1 = ends[0][0], ends[-1][1]
    line = LineString([(x_mm, y0), (x_mm, y1)])
    return [line, *(LineString([(x_mm - 6.0, y), (x_mm + 6.0, y)]) for y in (y0, y1))]


def centre_lines(base: MultiPolygon, x_mm: float) -> list[LineString]:
    """The line of the profile and the middle of the depth, running out over the footprint."""
    x0, y0, x1, y1 = base.bounds
    across = (y0 + y1) / 2
    return [
        LineString([(x_mm, y0 - 8.0), (x_mm, y1 + 8.0)]),
        LineString([(x0 - 8.0, across), (x1 + 8.0, across)]),
    ]
