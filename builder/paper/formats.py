"""Sizes of paper."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet of paper standing upright, mm."""

    name: str
    title: str
    width_mm: float
    height_mm: float


FORMATS = {
    paper.name: paper
    for paper in (
        Paper("a4", "A4", 210.0, 297.0),
        Paper("a3", "A3", 297.0, 420.0),
        Paper("letter", "Letter", 215.9, 279.4),
    )
}
"""By name. A4 and A3: ISO 216:2007; Letter: 8.5 x 11 inches."""
