"""Strokes and marks: what a drawing over a view is made of, in the picture's own pixels.

Picture coordinates are pixels from the top left corner, x to the right and y down; the centre of the pixel in column i
and row j is (i + 0.5, j + 0.5), as everywhere (:mod:`builder.camera.projection`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from builder.arrays import Floats, frozen


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """A line of straight pieces.

    points (m, 2) float64, px, m >= 2; ``kind`` a slug that says what the line is and becomes its class in the SVG;
    ``weight`` its width against a plain line's; ``closed``: the last point joins the first, which is not repeated;
    ``dashed``: a line of thought (an axis, a level), not of the form.
    """

    points: Floats
    kind: str
    weight: float = 1.0
    closed: bool = False
    dashed: bool = False

    def __post_init__(self) -> None:
        """Freeze the points."""
        object.__setattr__(self, "points", frozen(self.points, "f8", (None, 2)))
        assert len(self.points) > 1, "a stroke has two points or more"


@dataclass(frozen=True, slots=True)
class Mark:
    """A few letters at a place of the picture, px; ``anchor`` says which end of them stands there."""

    x: float
    y: float
    text: str
    kind: str
    anchor: Literal["start", "middle", "end"] = "middle"


@dataclass(frozen=True, slots=True)
class Drawing:
    """What is drawn over one view: strokes in the order in which they are laid, and marks on top."""

    title: str
    width_px: int
    height_px: int
    strokes: tuple[Stroke, ...]
    marks: tuple[Mark, ...] = ()
