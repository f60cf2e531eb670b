"""Laying cards on pages: packed close in their order, turned where that saves room, in tiles where they are larger."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from builder.cards.flat import Flat, tiles

BESIDE_MM = 4.0
"""Between cards on a page: room for the scissors."""
LAP_MM = 10.0
LOOK_BACK = 3
"""A card goes on one of this many last pages if there is room: numbers that belong together stay together."""


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """A card on a page, its top left corner at (x, y) of the drawing area, mm."""

    flat: Flat
    x: float
    y: float


def laid_out(flats: Sequence[Flat], width_mm: float, height_mm: float) -> tuple[tuple[Placed, ...], ...]:
    """The pages of a drawing area of that size, each with what stands on it, in reading order.

    Each card goes, in its order, to the highest free place at the left edge or against one that lies already
    (bottom-left packing: Baker, Coffman, Rivest, Orthogonal packings in two dimensions, 1980), on the first of the last
    pages with room, the way round that ends higher up the page.
    """
    pages: list[list[Placed]] = []
    shut = 0
    for whole in flats:
        pieces = tiles(_lying(whole, width_mm, height_mm), width_mm, height_mm, LAP_MM)
        for piece in pieces:
            if piece.alone:
                pages.append([Placed(piece, 0.0, 0.0)])
                shut = len(pages)
                continue
            ways = [whole, whole.turned()] if len(pieces) == 1 else [piece]
            for number in range(max(shut, len(pages) - LOOK_BACK), len(pages) + 1):
                if number == len(pages):
                    pages.append([])
                found = [put for way in ways if (put := _put(way, pages[number], width_mm, height_mm)) is not None]
                if found:
                    pages[number].append(min(found, key=lambda one: one.y + one.flat.height_mm))
                    break
    return tuple(tuple(sorted(page, key=lambda one: (round(one.y), one.x))) for page in pages)


def _put(piece: Flat, page: Sequence[Placed], width_mm: float, height_mm: float) -> Placed | None:
    """The piece in the highest and then leftmost free place of a page."""
    rights = [0.0, *(one.x + one.flat.width_mm + BESIDE_MM for one in page)]
    downs = [0.0, *(one.y + one.flat.height_mm + BESIDE_MM for one in page)]
    for y in sorted(downs):
        for x in sorted(rights):
            if x + piece.width_mm > width_mm + 1e-6 or y + piece.height_mm > height_mm + 1e-6:
                continue
            if all(
                x + piece.width_mm + BESIDE_MM <= one.x + 1e-6
                or one.x + one.flat.width_mm + BESIDE_MM <= x + 1e-6
                or y + piece.height_mm + BESIDE_MM <= one.y + 1e-6
                or one.y + one.flat.height_mm + BESIDE_MM <= y + 1e-6
                for one in page
            ):
                return Placed(piece, x, y)
    return None


def _lying(card: Flat, width_mm: float, height_mm: float) -> Flat:
    """The card the way round in which it takes fewer tiles; the way it stands where that is the same."""
    turned = card.turned()

    def count(one: Flat) -> int:
        return len(tiles(one, width_mm, height_mm, LAP_MM))

    return turned if count(turned) < count(card) else card
