"""The block-in as drawings, one a stage, and what is measured of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from builder.form.block_in import BlockIn
from builder.form.sides import Side, numbered, sides
from builder.form.stroke import Drawing, Mark, Stroke
from builder.form.stroke_svg import mark_size_px

Row = tuple[float, ...]
ENVELOPE, LINE, INNER, UNDER = 1.6, 1.6, 1.0, 0.6
"""Weights of the envelope, of the stage's straight lines, of those inside the form, and of what lies under them."""
_ROOM = 0.75
"""Radius of the circle in a negative shape, in heights of a letter, from which its letter is written there."""


def envelope_drawing(made: BlockIn) -> Drawing:
    """The first stage: the envelope with its sides numbered, the contour thin in it, the negative shapes lettered."""
    strokes = (
        *(Stroke(ring, "contour", UNDER, True) for ring in made.contour),
        Stroke(made.envelope, "envelope", ENVELOPE, True),
    )
    drawing = _drawing("Envelope", made, strokes)
    size = mark_size_px(drawing)
    letters = tuple(
        Mark(float(shape.place[0]), float(shape.place[1]) + 0.36 * size, letter, "negative-letter")
        for letter, shape in zip("ABCDEFGHIJKLMNOPQRSTUVWXYZ", made.negative, strict=False)
        if shape.room_px >= _ROOM * size
    )
    return _with_numbers(replace(drawing, marks=letters), made.envelope)


def few_lines_drawing(made: BlockIn) -> Drawing:
    """The second stage: the silhouette in few straight lines, numbered, with the envelope dashed round it and the
    greatest edges inside.
    """
    strokes = (
        Stroke(made.envelope, "envelope", UNDER, True, dashed=True),
        *(Stroke(line, "straight-inner", INNER) for line in made.few_inner),
        *(Stroke(ring, "straight", LINE, True) for ring in (made.few, *made.few_rings)),
    )
    return _with_numbers(_drawing("Few straight lines", made, strokes), made.few)


def more_lines_drawing(made: BlockIn) -> Drawing:
    """The third stage: the silhouette in more straight lines, and more of the edges inside."""
    strokes = (
        *(Stroke(line, "straight-inner", INNER) for line in made.many_inner),
        *(Stroke(ring, "straight", LINE, True) for ring in (made.many, *made.many_rings)),
    )
    return _with_numbers(_drawing("More straight lines", made, strokes), made.many)


def block_in_rows(made: BlockIn) -> dict[str, tuple[Side, ...]]:
    """The sides of the envelope, of the few lines and of the many, as tables: by "envelope", "few", "many"."""
    rings = {"envelope": made.envelope, "few": made.few, "many": made.many}
    return {name: sides(ring, made.height_px) for name, ring in rings.items()}


def block_in_facts(made: BlockIn) -> dict[str, float | int | str | Row]:
    """What is measured of a block-in.

    ``envelope_sides``, ``envelope_lengths`` in heights of the silhouette, ``envelope_off_plumb_deg``; the same with
    ``few_`` and ``many_``; ``longest_side_length`` and ``longest_side_off_plumb_deg`` of the envelope; and of the
    negative shapes ``negative_shapes``, ``negative_areas`` as shares of the silhouette, ``largest_negative_side``.
    """
    facts: dict[str, float | int | str | Row] = {}
    rows = block_in_rows(made)
    for name, row in rows.items():
        facts[f"{name}_sides"] = len(row)
        facts[f"{name}_lengths"] = tuple(side.length for side in row)
        facts[f"{name}_off_plumb_deg"] = tuple(side.off_plumb_deg for side in row)
    longest = max(rows["envelope"], key=lambda side: side.length)
    facts["longest_side_length"] = longest.length
    facts["longest_side_off_plumb_deg"] = longest.off_plumb_deg
    facts["negative_shapes"] = len(made.negative)
    if made.negative:
        facts["negative_areas"] = tuple(shape.area_share for shape in made.negative)
        facts["largest_negative_side"] = made.negative[0].where
    return facts


def _drawing(title: str, made: BlockIn, strokes: tuple[Stroke, ...]) -> Drawing:
    return Drawing(title, made.width_px, made.picture_height_px, strokes)


def _with_numbers(drawing: Drawing, ring: np.ndarray) -> Drawing:
    return replace(drawing, marks=(*drawing.marks, *numbered(ring, drawing)))
