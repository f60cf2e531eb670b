"""The sides of a ring of straight lines as a draughtsman takes them: how long, how far off plumb, with a number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from builder.arrays import Floats
from builder.form.rings import distance_px, inside_ring
from builder.form.stroke import Drawing, Mark
from builder.form.stroke_svg import mark_size_px

_LEVEL = 0.01
"""Corners whose heights differ by no more than this share of the ring's height are level."""
_ALONG = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
"""Where along a side its number is tried, the best place first."""
_OFF = (0.9, 1.3, 1.8, 2.4)
"""How far off the side, in heights of the number."""
_GAP = 0.3
"""Between two numbers, in heights: nearer they read as one."""
_WIDE, _HIGH = 0.6, 0.74
"""Width and height of a figure against the size it is written in."""


@dataclass(frozen=True, slots=True)
class Side:
    """A straight line of the block-in: length in heights of the silhouette; angle off plumb in degrees, above -90 to
    90, positive where it leans to the right at its top.
    """

    number: int
    length: float
    off_plumb_deg: float


def from_the_top(ring: Floats) -> Floats:
    """A ring of corners (k, 2) that starts from its highest; of those about level with it, from that farthest left."""
    high = ring[:, 1] - ring[:, 1].min() <= _LEVEL * np.ptp(ring[:, 1])
    return np.roll(ring, -int(np.argmin(np.where(high, ring[:, 0], np.inf))), axis=0)


def sides(ring: Floats, height_px: float) -> tuple[Side, ...]:
    """The sides of a ring of corners (k, 2), numbered from 1 on in its order; ``height_px``: of the silhouette."""
    along = np.roll(ring, -1, axis=0) - ring
    upwards = np.where((along[:, 1] > 0) | ((along[:, 1] == 0) & (along[:, 0] < 0)), -1.0, 1.0)
    off = np.degrees(np.arctan2(along[:, 0] * upwards, -along[:, 1] * upwards))
    length = np.hypot(along[:, 0], along[:, 1]) / height_px
    return tuple(
        Side(number, one, other)
        for number, (one, other) in enumerate(zip(length.tolist(), off.tolist(), strict=True), 1)
    )


def numbered(ring: Floats, drawing: Drawing, kind: str = "side-number") -> tuple[Mark, ...]:
    """Numbers 1, 2 .. beside the sides of a ring (k, 2) that runs clockwise as seen: outside it, clear of the strokes
    of ``drawing``, of its marks and of each other, within the picture. A side without such a place goes without.
    """
    size = mark_size_px(drawing)
    start, stop = _pieces(drawing)
    taken = [np.array(_box(mark.text, mark.x, mark.y, size)) for mark in drawing.marks]
    marks = []
    for index, (a, b) in enumerate(zip(ring, np.roll(ring, -1, axis=0), strict=True)):
        text = str(index + 1)
        along = (b - a) / max(float(np.hypot(*(b - a))), 1e-9)
        outward = np.array([along[1], -along[0]])
        half = np.array([_WIDE * len(text), _HIGH]) * size / 2
        reach = float(np.abs(outward) @ half) - _HIGH * size / 2
        tried = np.array([a + t * (b - a) + outward * (d * size + reach) for d in _OFF for t in _ALONG])
        clear = ~inside_ring(ring, tried) & (distance_px(start, stop, tried) > np.hypot(*half) + 0.1 * size)
        clear &= ((tried > half) & (tried < np.array([drawing.width_px, drawing.height_px]) - half)).all(axis=1)
        for low_x, low_y, high_x, high_y in taken:
            apart = (tried + half + _GAP * size < (low_x, low_y)) | (tried - half - _GAP * size > (high_x, high_y))
            clear &= apart.any(axis=1)
        if clear.any():
            x, y = tried[int(np.argmax(clear))].tolist()
            marks.append(Mark(x, y + _HIGH * size / 2, text, kind))
            taken.append(np.array([x - half[0], y - half[1], x + half[0], y + half[1]]))
    return tuple(marks)


def _box(text: str, x: float, y: float, size: float) -> tuple[float, float, float, float]:
    """What a mark written about ``x`` on the line ``y`` covers: left, top, right, bottom."""
    half = _WIDE * len(text) * size / 2
    return x - half, y - _HIGH * size, x + half, y


def _pieces(drawing: Drawing) -> tuple[Floats, Floats]:
    """Starts and stops of all straight pieces of a drawing's strokes, (n, 2) each."""
    lines: Sequence[Floats] = [
        np.vstack([stroke.points, stroke.points[:1]]) if stroke.closed else stroke.points for stroke in drawing.strokes
    ]
    return np.concatenate([line[:-1] for line in lines]), np.concatenate([line[1:] for line in lines])
