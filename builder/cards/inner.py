"""Inner cards: the form's own sections, slotted together into the frame that the clay is built on.

The profile stands upright on the board; each contour is pushed onto it from the back. At every crossing the profile is
slotted from the back and the contour from the front, each to the same depth, so that the profile's front edge and the
contours' back edges stay whole. What is too narrow for a card is left to the clay.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon, box

from builder.arrays import Floats
from builder.cards.card import Card, Left, Loose, Slot
from builder.cards.feet import feet_for
from builder.cards.seats import Crossing, Part, crossed, without_weak
from builder.cards.strength import left_of, sturdy
from builder.sections.sliced import Body, level, polygons, upright
from builder.study.description import CardChoice

BASE_MM = 0.05
"""The footprint is cut this far above the base, where a flat underside is sure to be met."""
MOST_PROFILES = 4
"""Upright cards at most: more would leave no room for the clay. Common practice, no source."""
BETWEEN_MM = 12.0
"""Upright cards stand at least so far apart."""
FINE_MM = 0.005
"""Outlines are simplified to this: finer than any knife."""


@dataclass(frozen=True, slots=True, eq=False)
class InnerCards:
    """The footprint, the profiles, their feet and the contours from below; the places of the board (n, 2) on which they
    stand; with what nothing holds, and what is left to the clay.
    """

    footprint: Card
    profiles: tuple[Card, ...]
    feet: tuple[Card, ...]
    contours: tuple[Card, ...]
    rests: Floats
    loose: tuple[Loose, ...]
    left: tuple[Left, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Upright:
    """An upright card at x: the form's own section there, and what of it is wide enough and stands."""

    x_mm: float
    wanted: MultiPolygon
    standing: MultiPolygon


@dataclass(frozen=True, slots=True, eq=False)
class _Frame:
    """Contours on upright cards: the parts of each contour, the slots of each upright card, parts on none."""

    parts: tuple[tuple[Part, ...], ...]
    slots: tuple[tuple[Slot, ...], ...]
    loose: tuple[tuple[float, float], ...]
    """Middles of the parts on none, x and y."""


_Known = dict[tuple[float, float, bytes, tuple[Slot, ...], tuple[Slot, ...]], Crossing]
"""Crossings by height, the upright card's x, the part with its slots, and the upright card's slots."""


def inner_cards(body: Body, heights_mm: Sequence[float], x_mm: float, choice: CardChoice) -> InnerCards:
    """The cards of a body (mm of the clay model, base at z = 0) with contours at the heights, the profile at x.

    Parts that the profile does not meet, such as another of several bodies, get profiles of their own beside it. A
    height at which the form is too narrow for a card has none.
    """
    wanted = [_contour(body, height, choice) for height in heights_mm]
    levels = [sturdy(material, choice.bridge_mm) for material in wanted]
    places = [_upright(body, x_mm, choice, first=True)]
    known: _Known = {}
    frame = _frame(levels, heights_mm, places, choice, known)
    while frame.loose and len(places) < MOST_PROFILES:
        better = []
        for x in sorted({round(at[0], 1) for at in frame.loose}):
            if all(abs(x - other.x_mm) >= BETWEEN_MM for other in places):
                tried = [*places, _upright(body, x, choice, first=False)]
                better.append((_frame(levels, heights_mm, tried, choice, known), tried))
        if not better or min(len(one.loose) for one, _ in better) >= len(frame.loose):
            break
        frame, places = min(better, key=lambda one: (len(one[0].loose), one[1][-1].x_mm))
    contours = tuple(
        Card(
            "contour",
            str(number),
            "level",
            height,
            _together(parts),
            tuple(slot for one in parts for slot in one.slots),
        )
        for number, (height, parts) in enumerate(zip(heights_mm, frame.parts, strict=True), 1)
        if parts
    )
    left = [place for card in contours for place in left_of(card.name, wanted[int(card.name) - 1], card.whole)]
    loose = [piece for card in contours for piece in _loose(card)]
    base = level(body, BASE_MM)
    profiles: list[Card] = []
    feet: list[Card] = []
    guides: list[LineString] = []
    rests: list[Floats] = [np.zeros((0, 2))]
    lowest = contours[0] if contours else None
    under = (lowest.place_mm if lowest else float(heights_mm[0])) - choice.card_mm
    for number, (place, own) in enumerate(zip(places, frame.slots, strict=True), 1):
        name = "P" if number == 1 else f"P{number}"
        first = lowest.whole if lowest else MultiPolygon()
        others = [other.x_mm for other in places if other is not place]
        on = feet_for(place.standing, base, first, place.x_mm, under, choice, name, others)
        slots = (*own, *on.slots)
        profile = Card("profile", name, "upright", place.x_mm, _held(on.profile, slots, choice), slots, on.folds)
        profiles.append(profile)
        feet += on.cards
        left += left_of(name, place.wanted, profile.whole)
        prints = [*_marks(place.standing, place.x_mm), *(LineString(np.array(ring)) for ring in on.prints)]
        rests += [shapely.get_coordinates(one) for one in (*prints[:1], *prints[3:])]
        guides += prints
    footprint = Card("footprint", "F", "level", 0.0, base, guides=(*centre_lines(base, x_mm), *guides))
    on_board = np.concatenate(rests)
    return InnerCards(footprint, tuple(profiles), tuple(feet), contours, on_board, tuple(loose), tuple(left))


def _frame(
    levels: Sequence[MultiPolygon],
    heights_mm: Sequence[float],
    places: Sequence[_Upright],
    choice: CardChoice,
    known: _Known,
) -> _Frame:
    """The contours slotted for the upright cards. A part on none of them stays only if it is two bridges wide.

    ``known`` keeps crossings from one try to the next, which differ in the last upright card alone.
    """
    slots: list[list[Slot]] = [[] for _ in places]
    parts: list[tuple[Part, ...]] = []
    loose: list[tuple[float, float]] = []
    for material, height in zip(levels, heights_mm, strict=True):
        z = height - choice.card_mm / 2
        own: list[Part] = []
        for outline in material.geoms:
            part: Part | None = Part(outline)
            cuts: list[tuple[int, Slot]] = []
            for place, at in enumerate(places):
                if part is not None:
                    key = (z, at.x_mm, part.whole.wkb, part.slots, tuple(slots[place]))
                    if key not in known:
                        known[key] = crossed(part, at.standing, slots[place], at.x_mm, z, choice)
                    found = known[key]
                    part = found.part
                    cuts += [] if found.slot is None else [(place, found.slot)]
            seated = part is not None and bool(cuts)
            wide = not shapely.buffer(outline, -choice.bridge_mm).is_empty
            if seated:
                for place, slot in cuts:
                    slots[place].append(slot)
            elif wide:
                loose.append(_middle(outline))
            if part is not None and (seated or wide):
                own.append(part)
        parts.append(tuple(own))
    return _Frame(tuple(parts), tuple(tuple(one) for one in slots), tuple(loose))


def _together(parts: Sequence[Part]) -> MultiPolygon:
    return polygons(MultiPolygon([part.whole for part in parts]))


def _held(profile: MultiPolygon, slots: tuple[Slot, ...], choice: CardChoice) -> MultiPolygon:
    """The upright card without what its slots make weak."""
    held = []
    for part in profile.geoms:
        own = tuple(slot for slot in slots if slot.area.intersects(part))
        whole = without_weak(part, own, choice.bridge_mm, all_end=False) if own else part
        held.append(part if whole is None else whole)
    return polygons(MultiPolygon(held))


def _contour(body: Body, height: float, choice: CardChoice) -> MultiPolygon:
    """What a card with its upper face at the height may take: within the form at both faces, under the clay's cover."""
    both = shapely.intersection(level(body, height), level(body, height - choice.card_mm))
    return polygons(shapely.simplify(shapely.buffer(both, -choice.cover_mm) if choice.cover_mm else both, FINE_MM))


def _profile(body: Body, x_mm: float, choice: CardChoice) -> MultiPolygon:
    """What an upright card may take: within the form at both faces, standing on the board."""
    half = choice.card_mm / 2
    both: shapely.Geometry = upright(body, x_mm)
    for side in (x_mm - half, x_mm + half):
        both = shapely.intersection(both, upright(body, side))
    whole = polygons(shapely.simplify(both, FINE_MM))
    if choice.cover_mm and not whole.is_empty:
        # the base is not covered: it stands on the board
        below = [box(low, -4 * choice.cover_mm, high, 0.01) for low, high in spans(whole, 1, 0.0, BASE_MM)]
        deep = shapely.union_all([whole, *below])
        y0, _, y1, z1 = whole.bounds
        whole = polygons(shapely.intersection(shapely.buffer(deep, -choice.cover_mm), box(y0, 0, y1, z1)))
    return whole


def _upright(body: Body, x_mm: float, choice: CardChoice, *, first: bool) -> _Upright:
    """The upright card at x: its pieces that are wide enough and stand on the board, or the largest where none does.

    One that only helps the first is its largest piece alone; the rest is another card's matter.
    """
    wanted = _profile(body, x_mm, choice)
    wide = sturdy(wanted, choice.bridge_mm)
    stands = [part for part in wide.geoms if part.bounds[1] < 2 * BASE_MM] or list(wide.geoms)[:1]
    standing = MultiPolygon(stands if first else stands[:1])
    return _Upright(x_mm, wanted if first else standing, standing)


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
    """Parts of a contour in which no slot ends."""
    return [
        Loose(card.name, letter(n), _middle(part))
        for n, part in enumerate(card.whole.geoms)
        if not any(part.buffer(0.01).intersects(shapely.Point(slot.end)) for slot in card.slots)
    ]


def letter(n: int) -> str:
    """The letter of the n-th part of a card, from 0."""
    return "abcdefghijklmnopqrstuvwxyz"[n % 26]


def _middle(part: Polygon) -> tuple[float, float]:
    point = part.representative_point()
    return round(float(point.x), 1), round(float(point.y), 1)


def _marks(standing: MultiPolygon, x_mm: float) -> list[LineString]:
    """The profile's line on the board, and the two marks between which it stands."""
    ends = spans(standing, 1, 0.0, 2 * BASE_MM)
    if not ends:
        return []
    y0, y1 = ends[0][0], ends[-1][1]
    return [LineString([(x_mm, y0), (x_mm, y1)]), *end_marks(x_mm, y0, y1)]


def end_marks(x_mm: float, y0_mm: float, y1_mm: float) -> list[LineString]:
    """Arrow heads at both ends of a profile's line, from within."""
    ways = ((y0_mm, 4.0), (y1_mm, -4.0))
    return [LineString([(x_mm - 3.0, y + way), (x_mm, y), (x_mm + 3.0, y + way)]) for y, way in ways]


def centre_lines(base: MultiPolygon, x_mm: float) -> list[LineString]:
    """The line of the profile and the middle of the depth, running out over the footprint."""
    x0, y0, x1, y1 = base.bounds
    across = (y0 + y1) / 2
    return [
        LineString([(x_mm, y0 - 8.0), (x_mm, y1 + 8.0)]),
        LineString([(x0 - 8.0, across), (x1 + 8.0, across)]),
    ]
