"""Cutting away what is narrower than the bridge, so that no card is weaker than that anywhere."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from builder.cards.card import Left
from builder.sections.sliced import polygons

ROUND_SEGMENTS = 16
"""Of a quarter circle: a disc of 6 mm is true to 0.004 mm."""
NOISE_MM = 0.02
"""Outlines that are worn off and grown again come back to this."""
CRACK_MM = 1e-6
APART_MM = 0.4
"""What falls off is cut clear of the rest by this: about a slot's width."""
TOLD_MM = 1.0
"""Clay that stands out less than this over a card is not told."""


def sturdy(shape: MultiPolygon, bridge_mm: float) -> MultiPolygon:
    """The shape without anything narrower than ``bridge_mm``; what hangs on a neck becomes a part of its own.

    Each part is what a disc of the bridge's width sweeps on one unbroken way of its middle (morphological opening,
    Serra, Image Analysis and Mathematical Morphology, 1982), and the corners beyond that which reach no farther than
    half a bridge: those are sixty degrees or blunter. So a cut through a part that is shorter than the bridge takes off
    nothing that reaches farther from the cut than a bridge does.
    """
    half = bridge_mm / 2.0
    kept: list[Polygon] = []
    rest = shape
    while True:
        ways = polygons(shapely.buffer(rest, -half, quad_segs=ROUND_SEGMENTS))
        if ways.is_empty:
            return polygons(shapely.union_all(np.array(kept))) if kept else MultiPolygon()
        part = _regrown(ways.geoms[0], rest, half)
        if part is not None:
            kept.append(part)
        taken = shapely.buffer(ways.geoms[0] if part is None else part, APART_MM)
        rest = polygons(shapely.difference(rest, taken))


def _regrown(way: Polygon, shape: MultiPolygon, half_mm: float) -> Polygon | None:
    """What a disc sweeps along a way, with its blunt corners."""
    grown = polygons(shapely.intersection(shapely.buffer(way, half_mm + NOISE_MM, quad_segs=ROUND_SEGMENTS), shape))
    grown = MultiPolygon([part for part in grown.geoms if part.intersects(way)][:1])
    if grown.is_empty:
        return None
    edge = shapely.boundary(grown)
    beyond = polygons(shapely.difference(shape, grown))
    corners = [piece for piece in beyond.geoms if _is_corner(piece, edge, half_mm)]
    return max(polygons(closed(shapely.union_all([grown, *corners]))).geoms, key=lambda part: part.area)


def closed(shape: shapely.Geometry) -> shapely.Geometry:
    """The same without cracks from rounding."""
    return shapely.buffer(shapely.buffer(shape, CRACK_MM, join_style="mitre"), -CRACK_MM, join_style="mitre")


def _is_corner(piece: Polygon, edge: shapely.Geometry, half_mm: float) -> bool:
    """Whether a piece hangs on the edge in one place and reaches no farther from there than half a bridge."""
    contact = shapely.intersection(edge, shapely.buffer(piece, NOISE_MM))
    merged = shapely.line_merge(contact) if contact.geom_type == "MultiLineString" else contact
    lines = [line for line in shapely.get_parts(merged) if line.length > 2 * NOISE_MM]
    # not from the edge as a whole, which may lie close by beyond a slot
    return len(lines) == 1 and reach(piece, lines[0]) <= half_mm


def reach(piece: shapely.Geometry, kept: shapely.Geometry) -> float:
    """How far a piece reaches beyond what is kept, mm."""
    return float(shapely.distance(shapely.points(shapely.get_coordinates(piece)), kept).max(initial=0.0))


def left_of(card: str, wanted: MultiPolygon, kept: MultiPolygon) -> tuple[Left, ...]:
    """What the card as kept lacks of the form's section: place by place, how far the clay stands out there."""
    if kept.is_empty:
        return ()
    left = []
    for piece in polygons(shapely.difference(wanted, kept)).geoms:
        out = reach(piece, kept)
        if out >= TOLD_MM:
            middle = piece.representative_point()
            left.append(Left(card, round(out, 1), (round(middle.x, 1), round(middle.y, 1))))
    return tuple(sorted(left, key=lambda place: (-place.out_mm, place.at_mm)))
