"""Where the form stands out over what is below it, and where a template cannot be pushed in."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
import shapely.affinity
from shapely import MultiPolygon

from builder.arrays import Floats
from builder.cards.card import Side, Undercut
from builder.sections.sliced import polygons

OUT_MM = 3.0
"""A form that stands out by less before the next card needs nothing special; common practice, no source."""
SIDES: tuple[Side, ...] = ("left", "right", "front", "back")


def undercuts(cards: Sequence[MultiPolygon], between: Sequence[Sequence[MultiPolygon]]) -> tuple[Undercut, ...]:
    """By card, from 0 (the footprint), where the levels up to the next card (``between``) stand out over it.

    ``out_mm`` is the greatest distance of their outline from the card's own, by the side to which it stands out.
    """
    found = []
    for number, (card, levels) in enumerate(zip(cards, between, strict=True)):
        out = dict.fromkeys(SIDES, 0.0)
        for level in levels:
            beyond = polygons(shapely.difference(level, card))
            if beyond.is_empty or card.is_empty:
                continue
            points = shapely.points(shapely.get_coordinates(shapely.segmentize(beyond, 2.0)))
            ways = shapely.get_coordinates(shapely.shortest_line(card, points)).reshape(-1, 2, 2)
            away = ways[:, 1] - ways[:, 0]
            far = np.linalg.norm(away, axis=1)
            worst = sides_of(away)
            for side in SIDES:
                of_side = far[worst == SIDES.index(side)]
                out[side] = max(out[side], float(of_side.max()) if len(of_side) else 0.0)
        found += [Undercut(number, side, round(most, 1)) for side, most in out.items() if most >= OUT_MM]
    return tuple(found)


def sides_of(away: Floats) -> Floats:
    """(n,) number of the side (left, right, front, back) towards which each vector (n, 2), x and y, points most."""
    x, y = away.T
    across = np.abs(x) >= np.abs(y)
    sides: Floats = np.where(across, np.where(x > 0, 0, 1), np.where(y < 0, 2, 3))
    return sides


def shadow(material: MultiPolygon, way: tuple[float, float]) -> MultiPolygon:
    """All that ``material`` passes over when it is pushed along ``way`` (a vector, mm): exact, edge by edge."""
    fine = polygons(material.simplify(0.02))
    moved = shapely.affinity.translate(fine, *way)
    swept = [fine, moved]
    for part in fine.geoms:
        for ring in (part.exterior, *part.interiors):
            points = shapely.get_coordinates(ring)
            one, other = points[:-1], points[1:]
            corners = np.stack([one, other, other + way, one + way, one], axis=1)
            faces = shapely.polygons(corners)
            swept += list(faces[shapely.area(faces) > 1e-9])
    return polygons(shapely.union_all(np.array(swept)))
