"""Measures that every view has: width and height, halves, the widest level, the eye's own height."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

import numpy as np

from builder.form.horizon import horizon_px
from builder.form.measure import Measure
from builder.form.measure_lines import KIND, level, line, mark, plumb, span
from builder.form.stroke import Mark, Stroke
from builder.form.survey import Survey

ON_SHARE, NEAR_SHARE = 0.01, 0.05
"""A landmark lies on a line within this share of the silhouette's height; beside it within that."""
WIDEST_FROM, WIDEST_OVER = 0.99, 0.25
"""Levels this near to the greatest width count as widest; when they take more than this share of the height, the form
is no wider at one level than at another."""
EVEN_SHARE = 0.02
"""A place is in the middle of the width within this share of it."""


def outline_measures(view: Survey) -> Iterator[Measure]:
    """The silhouette as a whole, before anything inside it."""
    left, top, right, bottom = view.box
    pad, tick = 0.02 * view.height, 0.02 * view.height
    upright = view.height >= view.width
    more, less = max(view.height, view.width), min(view.height, view.width)
    yield Measure(
        0,
        "width-height" if upright else "height-width",
        {"ratio": more / less},
        (
            *span((right + pad, top), (right + pad, bottom), tick, 1.0),
            *span((left, bottom + pad), (right, bottom + pad), tick, 1.0),
        ),
        (mark(right + 2 * pad, bottom),),
    )
    yield _middle_height(view)
    yield _middle_width(view)
    widest = _widest(view)
    if widest is not None:
        y, ends = widest
        share = (bottom - y) / view.height
        yield Measure(0, "widest", {"share": share}, span((ends[0], y), (ends[1], y), tick, 1.0), (mark(ends[1], y),))


def horizon_measure(view: Survey) -> Measure:
    """How high the eye is: where the horizon falls."""
    eye = view.looked.eye
    _, top, _, bottom = view.box
    y = horizon_px(eye)
    if y is None:
        down = eye.world_from_camera[2, 2] > 0
        return Measure(0, "horizon-none-down" if down else "horizon-none-up", {})
    inside_picture = 0 <= y <= eye.height_px
    strokes: tuple[Stroke, ...] = ()
    marks: tuple[Mark, ...] = ()
    if inside_picture:
        strokes = (Stroke(np.array([[0.0, y], [eye.width_px, y]]), KIND, 1.0, dashed=True),)
        marks = (mark(0.99 * eye.width_px, y - 0.008 * eye.height_px, anchor="end"),)
    if top <= y <= bottom:
        return Measure(0, "horizon-inside", {"share": (bottom - y) / view.height}, strokes, marks)
    where = "above" if y < top else "below"
    beyond = (top - y if y < top else y - bottom) / view.height
    return Measure(0, f"horizon-{where}{'' if inside_picture else '-outside'}", {"heights": beyond}, strokes, marks)


def nearest_to_middle(view: Survey, axis: Literal[0, 1]) -> tuple[str, float] | None:
    """The seen landmark nearest to the middle plumb line (``axis`` 0) or level line (1) of the silhouette, and how far
    it lies to the right of it or below it, as a share of the height; None when none is within :data:`NEAR_SHARE`.
    """
    middle = (view.box[axis] + view.box[axis + 2]) / 2
    near = [((at.place[axis] - middle) / view.height, at.name) for at in view.seen]
    off, name = min(near, key=lambda entry: (abs(entry[0]), entry[1]), default=(np.inf, ""))
    return (name, off) if abs(off) <= NEAR_SHARE else None


def _middle_height(view: Survey) -> Measure:
    left, top, right, bottom = view.box
    pad, y = 0.03 * view.height, (top + bottom) / 2
    strokes, marks = (level(y, left - pad, right + pad, 1.0),), (mark(left - pad, y - 0.3 * pad, anchor="end"),)
    near = nearest_to_middle(view, 1)
    if near is None:
        row = np.flatnonzero(view.looked.subject[int(y)])
        width = (row[-1] + 1 - row[0]) / view.width if len(row) else 0.0
        return Measure(0, "middle-height-outline", {"share": width}, strokes, marks)
    name, off = near
    where = "on" if abs(off) <= ON_SHARE else "over" if off > 0 else "under"
    return Measure(0, f"middle-height-{where}", {"name": name}, strokes, marks)


def _middle_width(view: Survey) -> Measure:
    left, top, right, bottom = view.box
    pad, x = 0.03 * view.height, (left + right) / 2
    strokes, marks = (plumb(x, top - pad, bottom + pad, 1.0),), (mark(x, top - 1.3 * pad),)
    near = nearest_to_middle(view, 0)
    if near is not None:
        name, off = near
        where = "on" if abs(off) <= ON_SHARE else "left" if off > 0 else "right"
        return Measure(0, f"middle-width-{where}", {"name": name}, strokes, marks)
    highest = np.flatnonzero(view.looked.subject[int(top)])
    at = float(highest[0] + highest[-1] + 1) / 2
    off = (at - x) / view.width
    where = "on" if abs(off) <= EVEN_SHARE else "left" if off < 0 else "right"
    return Measure(0, f"top-{where}", {"share": abs(off)}, (*strokes, line((at, top - pad), (at, top))), marks)


def _widest(view: Survey) -> tuple[float, tuple[float, float]] | None:
    """The level at which the silhouette is widest, px, and where it begins and ends there."""
    x, y, right, bottom = (int(edge) for edge in view.box)
    inside = view.looked.subject[y:bottom, x:right]
    begins = inside.argmax(axis=1)
    ends = inside.shape[1] - inside[:, ::-1].argmax(axis=1)
    width = np.where(inside[np.arange(len(inside)), begins], ends - begins, 0)
    rows = np.flatnonzero(width >= WIDEST_FROM * width.max())
    if rows[-1] + 1 - rows[0] > WIDEST_OVER * view.height:
        return None
    middle = int(rows[len(rows) // 2])
    return y + middle + 0.5, (float(x + begins[middle]), float(x + ends[middle]))
