"""Two frames of one size on a sheet: what is drawn from, and the empty place to draw in.

Side by side where they fit, else one over the other, else on two pages that lie side by side.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from builder.paper.formats import Paper

MARGIN_MM = 10.0
"""Round everything; office printers leave about 6 mm white (from memory)."""
HEAD_MM, FOOT_MM = 15.0, 15.0
"""What title, check bar and running foot take at the top and bottom."""
LETTERS_MM = 5.0
"""Left of each frame and above it, for what its squares are called."""
GAP_MM = 8.0
ROUND_MM = 5.0
"""A height that nobody chose is a whole number of these."""


@dataclass(frozen=True, slots=True)
class Spread:
    """Where the two frames lie: their top left corners, mm, on pages of ``width_mm`` x ``height_mm``.

    ``pages`` is 1 where both lie on one page, else 2: the empty one on the second.
    """

    way: Literal["beside", "over", "facing"]
    width_mm: float
    height_mm: float
    frame_width_mm: float
    frame_height_mm: float
    full: tuple[float, float]
    empty: tuple[float, float]

    @property
    def pages(self) -> int:
        """How many pages the two frames take."""
        return 2 if self.way == "facing" else 1


def spread(paper: Paper, ratio: float, height_mm: float | None = None) -> Spread | None:
    """The frames ``height_mm`` high and ``ratio`` times as wide, or ``None`` where one does not fit on the paper.

    Without a height: the highest that two frames of on one page can have, in whole steps of :data:`ROUND_MM`.
    """
    if height_mm is None:
        best = max(_most(way, paper, upright, ratio) for way, upright in _ways() if way != "facing")
        height_mm = math.floor(best / ROUND_MM + 1e-9) * ROUND_MM or best
    for way, upright in _ways():
        if height_mm <= _most(way, paper, upright, ratio) + 1e-9:
            return _laid(way, paper, upright, height_mm * ratio, height_mm)
    return None


def greatest_height_mm(paper: Paper, ratio: float) -> float:
    """The highest that a frame ``ratio`` times as wide can be on the paper, mm, rounded down to whole ones."""
    return math.floor(max(_most(way, paper, upright, ratio) for way, upright in _ways()))


def _ways() -> Iterator[tuple[Literal["beside", "over", "facing"], bool]]:
    yield "beside", False
    yield "over", True
    yield "facing", True
    yield "facing", False


def _size(paper: Paper, upright: bool) -> tuple[float, float]:
    return (paper.width_mm, paper.height_mm) if upright else (paper.height_mm, paper.width_mm)


def _most(way: str, paper: Paper, upright: bool, ratio: float) -> float:
    width, height = _size(paper, upright)
    wide, high = width - 2 * MARGIN_MM, height - 2 * MARGIN_MM - HEAD_MM - FOOT_MM
    if way == "beside":
        wide = (wide - GAP_MM) / 2
    if way == "over":
        high = (high - GAP_MM) / 2
    return min((wide - LETTERS_MM) / ratio, high - LETTERS_MM)


def _laid(way: Literal["beside", "over", "facing"], paper: Paper, upright: bool, wide: float, high: float) -> Spread:
    width, height = _size(paper, upright)
    left, top = MARGIN_MM, MARGIN_MM + HEAD_MM
    room_x = width - 2 * MARGIN_MM - (2 if way == "beside" else 1) * (LETTERS_MM + wide)
    room_x -= GAP_MM if way == "beside" else 0.0
    x, y = left + LETTERS_MM + room_x / 2, top + LETTERS_MM
    empty = {
        "beside": (x + wide + GAP_MM + LETTERS_MM, y),
        "over": (x, y + high + GAP_MM + LETTERS_MM),
        "facing": (x, y),
    }[way]
    return Spread(way, width, height, wide, high, (x, y), empty)
