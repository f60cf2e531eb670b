"""The straight sides of a block-in and its negative shapes as tables, to be opened after drawing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from builder.plates.plate import FactValue
from builder.words.words import Words, number, percent

SIDES = {"block-in-1": "envelope", "block-in-2": "few", "block-in-3": "many"}
"""Plate kinds drawn with straight sides, and how the facts of their sides begin."""
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
"""What the negative shapes are called in the drawing of the envelope, the largest first; further ones are not told."""


@dataclass(frozen=True, slots=True)
class Table:
    """A table that stands beside one plate kind: its title, column heads, and rows whose first cell names the row; a
    ``note`` under it, empty for none.
    """

    kind: str
    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""


def side_tables(facts: Mapping[str, FactValue], words: Words) -> Iterator[Table]:
    """For each block-in that was measured, its sides; for the envelope also the shapes between it and the contour."""
    for kind, start in SIDES.items():
        lengths, leans = facts.get(f"{start}_lengths"), facts.get(f"{start}_off_plumb_deg")
        if isinstance(lengths, tuple) and isinstance(leans, tuple):
            sides = tuple(
                (str(index), number(length, 2), lean_words(lean, words))
                for index, (length, lean) in enumerate(zip(lengths, leans, strict=True), 1)
            )
            heads = (words("sides.side"), words("sides.length"), words("sides.lean"))
            yield Table(kind, words("sides.title"), heads, sides, words("sides.note"))
    areas = facts.get("negative_areas")
    if isinstance(areas, tuple) and areas:
        shapes = tuple((letter, percent(area)) for letter, area in zip(LETTERS, areas, strict=False))
        side = facts.get("largest_negative_side")
        inside = "sides.negative_inside" if side == "inside" else "sides.negative_largest"
        note = words(inside, side=side) if isinstance(side, str) else ""
        yield Table(
            "block-in-1",
            words("sides.negative_title"),
            (words("sides.shape"), words("sides.area")),
            shapes,
            note,
        )


def lean_words(off_plumb_deg: float, words: Words) -> str:
    """How a side leans, from -90 to 90 degrees off plumb, + to the right at its top; in whole degrees."""
    degrees = number(abs(off_plumb_deg), 0)
    if degrees in ("0", "90"):
        return words("sides.plumb" if degrees == "0" else "sides.level")
    return words("sides.lean_right" if off_plumb_deg > 0.0 else "sides.lean_left", degrees=degrees)
