"""The drawing of a family of cross-contours, every fifth one heavier and level ones marked with their height."""

from __future__ import annotations

import numpy as np

from builder.arrays import Singles
from builder.form.looked import Looked
from builder.form.occluding import outline_strokes
from builder.form.sections import Family, Section, sections, spacing_mm
from builder.form.stroke import Drawing, Mark, Stroke
from builder.form.stroke_svg import MARK_SHARE

TITLES: dict[Family, str] = {
    "level": "Level sections",
    "upright": "Upright sections",
    "oblique": "Slanting sections",
}
EVERY = 5
"""One section in so many is heavier, so that they can be counted."""
PLAIN, HEAVY, OUTLINE = 0.6, 1.1, 0.4
"""Weights of a section, of one in ``EVERY``, and of the outline."""
LETTER = 0.6
"""Width of a letter against the size it is written in, from memory the mean of plain typefaces."""


def sections_drawing(looked: Looked, family: Family, contours: tuple[Stroke, ...], depth: Singles) -> Drawing:
    """The seen sections of a family, the sculpture's outline, of its ``contours``, underneath."""
    found = sections(looked, family, depth)
    strokes = tuple(
        Stroke(
            part.points, "section-fifth" if _fifth(part) else "section", HEAVY if _fifth(part) else PLAIN, part.closed
        )
        for part in found
    )
    marks = _height_marks(looked, found) if family == "level" else ()
    return Drawing(
        TITLES[family],
        looked.eye.width_px,
        looked.eye.height_px,
        (*outline_strokes(contours, OUTLINE), *strokes),
        marks,
    )


def _fifth(part: Section) -> bool:
    return part.number % EVERY == 0


def _height_marks(looked: Looked, found: tuple[Section, ...]) -> tuple[Mark, ...]:
    """The height of every fifth section over the base, beside the end of its line, on the side with more room.

    A mark that would lie on the one above it is left out, and so is one that would leave the picture.
    """
    width, height = looked.eye.width_px, looked.eye.height_px
    size = min(width, height) * MARK_SHARE
    left, _, right, _ = looked.box_px
    side = 1 if width - right >= left else -1
    ends = []
    for number in sorted({part.number for part in found if _fifth(part)}):
        points = np.vstack([part.points for part in found if part.number == number])
        ends.append((float(points[np.argmax(side * points[:, 0]), 1]), number))
    marks: list[Mark] = []
    for y, number in sorted(ends):
        text = f"{number * spacing_mm(looked):g} mm"
        base = y + 0.35 * size
        if base < size or base > height - 0.3 * size or (marks and base - marks[-1].y < 1.2 * size):
            continue
        rows = looked.subject[max(int(y - size), 0) : int(y + size) + 1]
        columns = np.flatnonzero(rows.any(axis=0))
        beside = (columns[-1] + 1 if side > 0 else columns[0]) + side * 0.6 * size
        reach = LETTER * size * len(text)
        x = min(beside, width - reach) if side > 0 else max(beside, reach)
        marks.append(Mark(float(x), base, text, "height", "start" if side > 0 else "end"))
    return tuple(marks)
