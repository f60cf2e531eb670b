"""Lines that show a measure: plumb and level lines, spans with their ends, points."""

from __future__ import annotations

import numpy as np

from builder.form.stroke import Mark, Stroke

KIND = "measure"
"""The kind of a measure's lines before the measures of a view are numbered."""
THIN, THICK = 0.6, 1.6
"""Weights of a line of thought and of a length that is measured."""
Place = tuple[float, float]


def line(one: Place, two: Place, weight: float = 1.0, dashed: bool = False) -> Stroke:
    """A straight stroke."""
    return Stroke(np.array([one, two]), KIND, weight, dashed=dashed)


def level(y: float, left: float, right: float, weight: float = THIN) -> Stroke:
    """A dashed level line."""
    return line((left, y), (right, y), weight, dashed=True)


def plumb(x: float, top: float, bottom: float, weight: float = THIN) -> Stroke:
    """A dashed plumb line."""
    return line((x, top), (x, bottom), weight, dashed=True)


def through(one: Place, two: Place, beyond: float, weight: float = 1.0, dashed: bool = False) -> Stroke:
    """The line through two places, running on past both by ``beyond`` px; the places differ."""
    a, b = np.array(one), np.array(two)
    step = (b - a) * (beyond / np.hypot(*(b - a)))
    return Stroke(np.stack([a - step, b + step]), KIND, weight, dashed=dashed)


def span(one: Place, two: Place, tick: float, weight: float = THICK) -> tuple[Stroke, ...]:
    """A length from place to place with a tick across at each end, ``tick`` px long; the places differ."""
    return line(one, two, weight), *(_across(one, two, at, tick) for at in (one, two))


def ticks(one: Place, two: Place, step: float, tick: float) -> tuple[Stroke, ...]:
    """Ticks across a line every ``step`` px from its first place on, the first place too."""
    a, b = np.array(one), np.array(two)
    length = float(np.hypot(*(b - a)))
    count = int(length / step + 1e-9)
    places = [a + (b - a) * (k * step / length) for k in range(count + 1)]
    return tuple(_across(one, two, (float(x), float(y)), tick) for x, y in places)


def point(at: Place, size: float) -> Stroke:
    """A small upright square round a place."""
    x, y = at
    corners = [(x - size, y - size), (x + size, y - size), (x + size, y + size), (x - size, y + size)]
    return Stroke(np.array(corners), KIND, 1.0, closed=True)


def cross(at: Place, size: float) -> tuple[Stroke, Stroke]:
    """A small leaning cross at a place that is not seen."""
    x, y = at
    return (
        line((x - size, y - size), (x + size, y + size), THIN),
        line((x - size, y + size), (x + size, y - size), THIN),
    )


def mark(x: float, y: float, text: str = "", anchor: str = "middle") -> Mark:
    """Letters at a place; without text, the measure's number."""
    assert anchor in ("start", "middle", "end")
    return Mark(x, y, text, KIND, anchor)  # type: ignore[arg-type]


def _across(one: Place, two: Place, at: Place, tick: float) -> Stroke:
    a, b = np.array(one), np.array(two)
    x, y = (b - a) / np.hypot(*(b - a)) * (tick / 2)
    return line((at[0] - y, at[1] + x), (at[0] + y, at[1] - x))
