"""A model given by its contours, as the tutor describes it: plain values with their lines, nothing measured yet."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

FormKind = Literal["closed", "relief"]
ContourUnit = Literal["mm", "cm", "in"]
Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class ContourRow:
    """One contour as written, in mm: x to the model's left, y to its back. ``line`` is where it stands."""

    number: int
    height_mm: float
    rings: tuple[Points, ...]
    line: int


@dataclass(frozen=True, slots=True)
class ContourSource:
    """Contours in place of a mesh, all in mm.

    ``where`` is the study's file as the tutor knows it. ``rows`` as written, empty where ``svg`` draws them;
    ``heights_mm`` those of the drawing's contours by number. ``back_mm`` is the depth of a relief's back plane.
    ``profile``: depth and height from the base up, in the upright plane x = ``profile_x_mm``; empty for none.
    """

    where: str
    line: int
    kind: FormKind
    back_mm: float | None
    profile: Points
    profile_line: int
    profile_x_mm: float
    rows: tuple[ContourRow, ...]
    svg: Path | None
    svg_line: int
    heights_mm: tuple[float, ...]
    heights_line: int
