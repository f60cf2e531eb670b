"""Marks for drawing at the size seen: where the subject begins, ends and has its half, with lengths on the sheet."""

from __future__ import annotations

import numpy as np

from builder.form.looked import Looked
from builder.form.occluding import outline_strokes
from builder.form.stroke import Drawing, Mark, Stroke
from builder.form.stroke_svg import MARK_SHARE, SHEET_WIDTH_MM

LINE, PLUMB, OUTLINE = 0.6, 0.8, 0.7
"""Weights of the marks' lines, of the plumb line through the middle of the picture, and of the outline under them."""
HALVES_APART_PX = 3.0
"""A half that lies nearer to the plumb line than this is not drawn beside it."""
QUARTERS = (0.25, 0.75)
LETTER = 0.6
"""Width of a letter against the size it is written in, from memory the mean of plain typefaces."""


def sight_size_drawing(looked: Looked, contours: tuple[Stroke, ...]) -> Drawing:
    """Level lines at top, half and foot of the subject, plumb lines at its left, half and right, ticks at the quarters.

    The lines stand on the box round the subject. The dashed plumb line stands in the middle of the picture, where the
    model's middle is. Marks beside the levels are heights over the foot, those under the plumb lines widths from the
    left, in mm on the printed sheet.
    """
    width, height = looked.eye.width_px, looked.eye.height_px
    left, top, right, bottom = looked.box_px
    size = min(width, height) * MARK_SHARE
    over, tick = 1.5 * size, 0.8 * size
    from_x, to_x = max(left - over, 0.0), min(right + over, float(width))
    from_y, to_y = max(top - over, 0.0), min(bottom + over, float(height))
    half_x, half_y = (left + right) / 2, (top + bottom) / 2
    plumbs = [left, right] if abs(half_x - width / 2) < HALVES_APART_PX else [left, half_x, right]
    strokes = [
        *outline_strokes(contours, OUTLINE),
        *(_line(from_x, y, to_x, y, "level") for y in (top, half_y, bottom)),
        *(_line(x, from_y, x, to_y, "plumb") for x in plumbs),
        Stroke(np.array([(width / 2, from_y), (width / 2, to_y)]), "plumb-middle", PLUMB, dashed=True),
    ]
    for share in QUARTERS:
        x, y = left + share * (right - left), top + share * (bottom - top)
        strokes += [_line(end - tick / 2, y, end + tick / 2, y, "quarter") for end in (left, right)]
        strokes += [_line(x, end - tick / 2, x, end + tick / 2, "quarter") for end in (top, bottom)]
    marks = (*_beside(looked, from_x, to_x, size), *_under(looked, from_y, to_y, size))
    return Drawing("Marks for sight-size", width, height, tuple(strokes), marks)


def sight_size_facts(looked: Looked) -> dict[str, float]:
    """``sight_height_sheet_mm`` and ``sight_width_sheet_mm`` of the subject on the printed sheet, and
    ``sight_eye_to_sheet_mm``, the distance from which the sheet covers as much of what one sees as the view does.
    """
    left, top, right, bottom = looked.box_px
    return {
        "sight_height_sheet_mm": (bottom - top) * sheet_mm_per_px(looked),
        "sight_width_sheet_mm": (right - left) * sheet_mm_per_px(looked),
        "sight_eye_to_sheet_mm": SHEET_WIDTH_MM / 2 / looked.eye.tan_x,
    }


def sheet_mm_per_px(looked: Looked) -> float:
    """Size of a pixel on the printed sheet."""
    return SHEET_WIDTH_MM / looked.eye.width_px


def _line(x0: float, y0: float, x1: float, y1: float, kind: str) -> Stroke:
    return Stroke(np.array([(x0, y0), (x1, y1)]), kind, LINE)


def _lengths(looked: Looked, length_px: float) -> tuple[str, str, str]:
    """What stands at the start, the half and the end of a length."""
    length = length_px * sheet_mm_per_px(looked)
    return "0", f"1/2: {length / 2:.1f} mm", f"{length:.1f} mm"


def _beside(looked: Looked, from_x: float, to_x: float, size: float) -> tuple[Mark, ...]:
    """Heights over the foot, at the ends of the level lines on the side with more room."""
    _, top, _, bottom = looked.box_px
    texts = _lengths(looked, bottom - top)
    reach = (max(map(len, texts)) * LETTER + 0.4) * size
    right_side = looked.eye.width_px - to_x >= from_x
    x = min(to_x + 0.4 * size, looked.eye.width_px - reach) if right_side else max(from_x - 0.4 * size, reach)
    places = (bottom, (top + bottom) / 2, top)
    return _apart(
        [Mark(x, y + 0.35 * size, text, "height", "start" if right_side else "end")
         for y, text in zip(places, texts, strict=True)],
        (bottom - top) / 2 > 1.2 * size,
    )  # fmt: skip


def _under(looked: Looked, from_y: float, to_y: float, size: float) -> tuple[Mark, ...]:
    """Widths from the left, at the lower ends of the plumb lines, or the upper where there is no room below."""
    left, _, right, _ = looked.box_px
    texts = _lengths(looked, right - left)
    fits = to_y + 1.2 * size <= looked.eye.height_px
    y = to_y + size if fits else max(from_y - 0.3 * size, size)
    places = (left, (left + right) / 2, right)
    reach = [len(text) * LETTER * size / 2 for text in texts]
    marks = [
        Mark(min(max(x, half), looked.eye.width_px - half), y, text, "width")
        for x, text, half in zip(places, texts, reach, strict=True)
    ]
    clear = marks[2].x - marks[1].x > reach[1] + reach[2] and marks[1].x - marks[0].x > reach[0] + reach[1]
    return _apart(marks, clear)


def _apart(marks: list[Mark], clear: bool) -> tuple[Mark, ...]:
    """The marks of both ends and of the half, the half only where it is clear of them."""
    return tuple(marks) if clear else (marks[0], marks[2])
