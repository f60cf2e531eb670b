"""What stands on a view's sheet: plain values and files of the store, ready to be laid out."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from builder.prompts.prompt import Prompt
from builder.table.sheet import Card

Marks = Literal["grid", "sight-size", "none"]


@dataclass(frozen=True, slots=True)
class Swatch:
    """One step of a value study: its Munsell value as it is written, and its sRGB code."""

    value: str
    code: int


@dataclass(frozen=True, slots=True)
class Study:
    """A small picture to copy: of a plate, or a drawing in lines where ``file`` is an SVG."""

    kind: str
    title: str
    file: Path
    alt: str


@dataclass(frozen=True, slots=True)
class ViewSheet:
    """One view under one lighting, for paper.

    ``box_px``: left, top, right and bottom of the subject in the picture of ``size_px``; ``week`` its place in the
    course, from 1.
    """

    study: str
    number: int
    title: str
    where: str
    lighting: str
    week: int
    credit: str
    picture: Study
    lines: Study
    studies: tuple[Study, ...]
    swatches: tuple[Swatch, ...]
    task: Prompt | None
    """As it is printed, without marks of Markdown."""
    size_px: tuple[int, int]
    box_px: tuple[float, float, float, float]
    squares: int
    marks: Marks
    table: Card
    """Where eye and lamps stand at the student's own table."""

    @property
    def ratio(self) -> float:
        """Width of the picture against its height."""
        return self.size_px[0] / self.size_px[1]

    def key(self) -> dict[str, Any]:
        """All of it as plain values; files by their places in the store, which follow from what is in them."""
        plain = dataclasses.asdict(self)
        for each in (plain["picture"], plain["lines"], *plain["studies"]):
            each["file"] = [each["file"].parent.name, each["file"].name]
        return plain
