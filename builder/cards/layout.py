"""Laying cards on pages: in their order, several to a page where they fit, in tiles where they are larger."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from builder.cards.flat import Flat, tiles

BESIDE_MM = 4.0
"""Between cards on a page: room for the scissors."""
LAP_MM = 10.0


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """A card on a page, its top left corner at (x, y) of the drawing area, mm."""

    flat: Flat
    x: float
    y: float


def laid_out(flats: Sequence[Flat], width_mm: float, height_mm: float) -> tuple[tuple[Placed, ...], ...]:
    """The pages of a drawing area of that size, each with what stands on it. Cards are turned where that saves room."""
    pages: list[list[Placed]] = []
    x = y = row = 0.0
    shut = True
    for whole in flats:
        for piece in tiles(_lying(whole, width_mm, height_mm), width_mm, height_mm, LAP_MM):
            if not shut and x + piece.width_mm > width_mm + 1e-6:
                x, y, row = 0.0, y + row + BESIDE_MM, 0.0
            if shut or piece.alone or y + piece.height_mm > height_mm + 1e-6:
                pages.append([])
                x = y = row = 0.0
            pages[-1].append(Placed(piece, x, y))
            x, row = x + piece.width_mm + BESIDE_MM, max(row, piece.height_mm)
            shut = piece.alone
    return tuple(tuple(page) for page in pages)


def _lying(card: Flat, width_mm: float, height_mm: float) -> Flat:
    """The card the way round in which it takes fewer tiles; the way it stands where that is the same."""
    turned = card.turned()

    def count(one: Flat) -> int:
        return len(tiles(one, width_mm, height_mm, LAP_MM))

    return turned if count(turned) < count(card) else card
