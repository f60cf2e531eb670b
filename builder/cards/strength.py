"""Places where a card is weaker than the bridge."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import MultiPolygon

from builder.cards.card import Weak
from builder.sections.sliced import polygons

ROUND = 0.5
"""Points of a narrow place beyond this many bridges from the rest are a fin; corners lose less than that."""


def weak_places(card: str, shape: MultiPolygon, bridge_mm: float) -> tuple[Weak, ...]:
    """Necks and fins of a card narrower than ``bridge_mm``, the widest parts being found by an opening.

    What is left of the card after it has been worn off by half a bridge all round and grown again has no narrow place;
    what is missing is narrow. Corners, which lose a little too, are left out.
    """
    half = bridge_mm / 2.0
    worn = shapely.buffer(shape, -half)
    opened = polygons(shapely.buffer(worn, half * 1.02))
    narrow = polygons(shapely.difference(shape, opened))
    kept = list(opened.geoms)
    weak = []
    for piece in narrow.geoms:
        touched = sum(1 for part in kept if part.distance(piece) < 0.01)
        far = max((shapely.Point(at).distance(opened) for at in piece.exterior.coords), default=0.0)
        if touched < 2 and (far < ROUND * bridge_mm or piece.area < bridge_mm**2 / 3):
            continue
        length = float(max(_sides(piece)))
        middle = piece.representative_point()
        wide = min(piece.area / length if length else 0.0, bridge_mm)
        weak.append(Weak(card, round(wide, 1), round(length, 1), (round(middle.x, 1), round(middle.y, 1))))
    return tuple(sorted(weak, key=lambda place: (place.wide_mm, place.at_mm)))


def _sides(piece: shapely.Polygon) -> tuple[float, float]:
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(piece))
    if len(corners) < 3:
        return 0.0, 0.0
    one, other = np.linalg.norm(corners[1] - corners[0]), np.linalg.norm(corners[2] - corners[1])
    return float(one), float(other)
