"""A fact: one thing that is measured of a view under a lighting, as a number with its unit."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from builder.plates.plate import FactValue

DIGITS = 6
"""Significant digits of a published number: finer than a pixel of the widest picture, coarser than rounding errors."""

Shape = Literal["number", "whole", "word", "text", "yes-no", "shares", "row"]
Unit = Literal["mm", "mm/px", "px", "deg", "stops", "share", "value", "ratio", "count", "none"]


@dataclass(frozen=True, slots=True)
class Fact:
    """What is known of a fact before anything is measured.

    ``shape`` is a number, a whole number, one of a few words, a text such as a landmark's name, yes or no, a row of
    shares from dark to light that sum to 1, or a row of one number or more. ``low`` and ``high`` bound a number and
    each one of a row; ``words`` lists what a word may be (empty: any); ``parts`` is the number of shares. ``meaning``
    says what it is in the student's words, without the unit, and ``missing`` when a view does not have it (empty: every
    view has it). ``specimen`` is a believable value.
    """

    name: str
    unit: Unit
    shape: Shape
    meaning: str
    specimen: FactValue
    low: float = 0.0
    high: float = 1.0
    words: tuple[str, ...] = ()
    parts: int = 0
    missing: str = ""

    @property
    def optional(self) -> bool:
        """Whether some views do not have it."""
        return self.missing != ""

    def takes(self, value: FactValue) -> bool:
        """Whether this can be a value of the fact: of its type and, as published, within its bounds."""
        if self.shape == "shares":
            row = value if isinstance(value, tuple) else ()
            return len(row) == self.parts and all(map(self._bounds, row)) and math.isclose(sum(row), 1.0, rel_tol=1e-6)
        if self.shape == "row":
            return isinstance(value, tuple) and value != () and all(map(self._bounds, value))
        if self.shape == "text":
            return isinstance(value, str) and value != ""
        if self.shape == "word":
            return isinstance(value, str) and value in (self.words or (value,)) and value != ""
        if self.shape == "yes-no":
            return isinstance(value, bool)
        return self._bounds(value) and (self.shape == "number" or isinstance(value, int))

    def _bounds(self, value: FactValue) -> bool:
        number = published(value)
        return isinstance(number, int | float) and not isinstance(number, bool) and self.low <= number <= self.high


def published(value: FactValue) -> FactValue:
    """A value as it is written for others to read: fractions to :data:`DIGITS` significant digits, and no -0."""
    if isinstance(value, tuple):
        return tuple(_rounded(part) for part in value)
    return _rounded(value) if isinstance(value, float) else value


def _rounded(number: float) -> float:
    # adding nothing turns -0.0 into 0.0
    return float(f"{number:.{DIGITS}g}") + 0.0
