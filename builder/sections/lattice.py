"""The points in space at which a form is told to be inside or outside: an even grid in x and y, layers over height."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from builder.arrays import Floats
from builder.sections.sections import Sections

STEPS = 300
"""Steps along the greatest extent: 1 mm on a form of 300 mm."""
ROUND_IT = 3
"""Steps of grid beyond the contours on every side."""
SHIFT = 0.137
"""The grid starts this share of a step aside, so that no line of it lies on a contour drawn in whole millimetres."""
COARSER = 3
"""Steps to one of the coarse grid; as many layers, or a multiple, lie between neighbouring contours."""
TIP_LAYERS = 24
"""Layers beyond the last contour, at least, closer together towards the tip."""


@dataclass(frozen=True, slots=True, eq=False)
class Lattice:
    """``x_mm`` (a,), ``y_mm`` (b,) evenly by ``step_mm``; ``layers_mm`` (c,) rising, the contours' heights among them.

    ``at`` (k,): which layer each contour is. Layers before the first and after the last contour are there where the
    profile goes on. With ``is_relief`` the last of ``y_mm`` is the flat back.
    """

    x_mm: Floats
    y_mm: Floats
    step_mm: float
    layers_mm: Floats
    at: NDArray[np.int64]
    is_relief: bool = False

    @property
    def points(self) -> Floats:
        """(b, a, 2) x and y of every point of a layer."""
        return np.stack(np.meshgrid(self.x_mm, self.y_mm), axis=2)


def step_of(sections: Sections, steps: int = STEPS) -> float:
    """The grid's step in mm: the greatest extent in ``steps``. What is narrower may be lost between its points."""
    low, high = _box(sections)
    return float((high - low).max()) / steps


def lattice_of(sections: Sections, steps: int = STEPS) -> Lattice:
    """The grid round contours and profile, and its layers no farther apart than its step."""
    low, high = _box(sections)
    step = step_of(sections, steps)
    x, y = (
        low[k] - (ROUND_IT - SHIFT) * step + step * np.arange(int(np.ceil((high[k] - low[k]) / step)) + 2 * ROUND_IT)
        for k in (0, 1)
    )
    if sections.back_mm is not None:
        y = sections.back_mm - step * np.arange(int(np.ceil((sections.back_mm - y[0]) / step)) + 1)[::-1]
    heights = np.array([contour.height_mm for contour in sections.contours])
    layers = [
        np.linspace(one, other, COARSER * max(2, int(np.ceil((other - one) / (COARSER * step)))) + 1)[:-1]
        for one, other in pairwise(heights)
    ]
    counts = np.cumsum([0, *(len(part) for part in layers)])
    under, over = _beyond(heights[0], low[2], step), _beyond(heights[-1], high[2], step)
    return Lattice(
        x,
        y,
        step,
        np.concatenate([under[::-1], *layers, heights[-1:], over]),
        counts + len(under),
        sections.back_mm is not None,
    )


def _box(sections: Sections) -> tuple[Floats, Floats]:
    """Least and greatest x, y, z of all that is given."""
    parts = [
        np.column_stack([ring, np.full(len(ring), contour.height_mm)])
        for contour in sections.contours
        for ring in contour.rings
    ]
    if sections.profile is not None:
        y, z = sections.profile.T
        parts.append(np.column_stack([np.full(len(y), sections.profile_x_mm), y, z]))
    points = np.concatenate(parts)
    return points.min(axis=0), points.max(axis=0)


def _beyond(height: float, end: float, step: float) -> Floats:
    """Layers from beyond a height to just short of the end, evenly in angle as on a ball, so that a tip stays round."""
    if abs(end - height) <= 1e-3 * step:
        return np.zeros(0)
    count = max(TIP_LAYERS, int(np.ceil(np.pi / 2 * abs(end - height) / step)))
    part = np.sin(0.5 * np.pi * np.arange(1, count + 1) / (count + 0.5))
    beyond: Floats = height + part * (end - height)
    return beyond
