"""Whether the frame of cards, and the clay on it, stand by themselves.

A body stands as long as the middle of its weight lies over the polygon of what it rests on, and tips over the nearest
edge of that where it does not (statics, textbook). All cards are of one stock, so
that each weighs as much as it is large.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Point, box

from builder.arrays import Floats
from builder.cards.card import Card, Side
from builder.cards.undercut import SIDES, sides_of
from builder.sections.sliced import Body, polygons

STEADY_DEG = 5.0
"""What tips when the board leans by less than this is not left to itself; common practice, no source."""

FAR_MM = 1e5
WORTH_DEG = 1.0
"""A prop higher up must help by as much more."""
WAYS = (np.array([1.0, 0.0]), np.array([-1.0, 0.0]), np.array([0.0, -1.0]), np.array([0.0, 1.0]))


@dataclass(frozen=True, slots=True)
class Standing:
    """How a body stands: ``weight_mm`` the middle of its weight (x, y, z), ``within_mm`` how far over its feet that is
    from their nearest edge, negative beside them, ``side`` the way it tips.
    """

    weight_mm: tuple[float, float, float]
    within_mm: float
    side: Side

    @property
    def lean_deg(self) -> float:
        """How far the board may lean to that side before it tips; negative where it tips on a level one."""
        return float(np.degrees(np.arctan2(self.within_mm, self.weight_mm[2])))

    @property
    def steady(self) -> bool:
        """Whether it may be left to itself."""
        return self.lean_deg >= STEADY_DEG


@dataclass(frozen=True, slots=True)
class Prop:
    """A block ``high_mm`` high under a card, with its middle at (x, y): with it the frame stands."""

    card: str
    high_mm: float
    at_mm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Balance:
    """How the frame stands, if the cards are one, and the clay; and what props a frame that does not."""

    frame: Standing | None
    clay: Standing | None
    prop: Prop | None


def standing(weight_mm: Floats, rests: Floats) -> Standing | None:
    """How a body with the middle of its weight at (3,) stands on points (n, 2); ``None`` where they span no area."""
    feet = shapely.MultiPoint(rests).convex_hull
    if feet.area < 1e-6:
        return None
    foot = Point(weight_mm[:2])
    edge = shapely.get_coordinates(shapely.shortest_line(foot, feet.exterior))[1]
    inside = bool(feet.covers(foot))
    away = (edge - weight_mm[:2]) if inside else (weight_mm[:2] - edge)
    side = SIDES[int(sides_of(away[None])[0])]
    off = float(np.linalg.norm(away))
    return Standing((float(weight_mm[0]), float(weight_mm[1]), float(weight_mm[2])), off if inside else -off, side)


def balance_of(
    cards: Sequence[Card], rests: Floats, clay: Body, base: shapely.MultiPolygon, thick_mm: float
) -> Balance:
    """The balance of a frame of cards that rests on points (n, 2), none for templates, and of the clay on its base."""
    clay_stands = standing(centre_of_volume(clay), shapely.get_coordinates(base))
    if len(rests) == 0:
        return Balance(None, clay_stands, None)
    frame = standing(centre_of_cards(cards, thick_mm), rests)
    prop = None if frame is None or frame.steady else _prop(frame, rests, cards, thick_mm)
    return Balance(frame, clay_stands, prop)


def centre_of_cards(cards: Sequence[Card], thick_mm: float) -> Floats:
    """(3,) the middle of the weight of the cards that stand up, without their tabs, which lie on the board."""
    sums = np.zeros(4)
    for card in cards:
        if card.role == "footprint":
            continue
        above: shapely.Geometry = card.shape
        if card.plane != "level":
            above = shapely.intersection(above, box(-FAR_MM, 0.0, FAR_MM, FAR_MM))
        one, other = shapely.get_coordinates(shapely.centroid(above))[0]
        places = {
            "level": (one, other, card.place_mm - thick_mm / 2),
            "upright": (card.place_mm, one, other),
            "across": (one, card.place_mm, other),
        }
        sums += above.area * np.array([*places[card.plane], 1.0])
    return np.asarray(sums[:3] / sums[3], np.float64)


def centre_of_volume(body: Body) -> Floats:
    """(3,) the middle of what a closed surface encloses: the tetrahedra from the origin to its triangles, summed."""
    corners = body.vertices[body.faces]
    volumes = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6.0
    middles = corners.sum(axis=1) / 4.0
    return np.asarray((volumes[:, None] * middles).sum(axis=0) / volumes.sum(), np.float64)


def _prop(frame: Standing, rests: Floats, cards: Sequence[Card], thick_mm: float) -> Prop | None:
    """A block under a contour with which the frame stands firmest, under the lowest of those that serve alike."""
    weight = np.array(frame.weight_mm)
    best, found = frame.lean_deg + WORTH_DEG, None
    for card in (card for card in cards if card.role == "contour"):
        for way in WAYS:
            beyond = float((shapely.get_coordinates(card.shape) @ way).max() - weight[:2] @ way)
            # under the outer half of what lies beyond the middle of the weight
            outer = polygons(shapely.intersection(card.shape, _beyond(weight[:2] + way * max(beyond, 0.0) / 2, way)))
            if outer.is_empty:
                continue
            # straight before the weight where the card reaches so far
            aim = Point(weight[:2] + way * max(beyond, 0.0) * 0.75)
            place = shapely.get_coordinates(shapely.shortest_line(outer, aim))[0]
            held = standing(weight, np.concatenate([rests, place[None]]))
            if held is not None and held.lean_deg > best:
                best = held.lean_deg + WORTH_DEG
                at = round(float(place[0])) + 0.0, round(float(place[1])) + 0.0
                found = Prop(card.name, round(card.place_mm - thick_mm, 1), at)
    return found


def _beyond(at: Floats, way: Floats) -> shapely.Polygon:
    """All that lies beyond a place, seen along a way."""
    across, far = np.array([-way[1], way[0]]) * FAR_MM, FAR_MM * way
    return shapely.Polygon([at - across, at + across, at + across + far, at - across + far])
