"""Rows set in columns, page after page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from builder.paper.page import Page

Row = TypeVar("Row")


@dataclass(frozen=True, slots=True)
class Placed(Generic[Row]):
    """A row, and where its top left corner lies on which page."""

    row: Row
    page: int
    x: float
    y: float


def in_columns(
    rows: Sequence[tuple[Row, float, bool]], lefts: Sequence[float], top: float, bottom: float
) -> tuple[Placed[Row], ...]:
    """Where each row goes: down a column, on to the next one, on to the next page.

    A row comes with its height, mm, and whether it must stay with the row after it, as a heading does. ``lefts`` are
    where the columns of each page begin.
    """
    placed = []
    page, column, y = 0, 0, top
    for index, (row, height, held) in enumerate(rows):
        need = height + (rows[index + 1][1] if held and index + 1 < len(rows) else 0.0)
        if y + need > bottom + 1e-6 and y > top:
            column, y = column + 1, top
            if column == len(lefts):
                page, column = page + 1, 0
        placed.append(Placed(row, page, lefts[column], y))
        y += height
    return tuple(placed)


def pages_of(placed: Sequence[Placed[Row]], new_page: Callable[[], Page]) -> tuple[Page, ...]:
    """As many new pages as the rows take."""
    return tuple(new_page() for _ in range(1 + max((each.page for each in placed), default=-1)))
