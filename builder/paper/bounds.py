"""How far what is drawn reaches, so that a reader is told where on the page a figure stands."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from builder.arrays import Floats
from builder.paper.fonts import MM_PER_POINT, width_mm
from builder.paper.page import Box, Clip, Line, Paths, Picture, Thing


def bounds_mm(things: Sequence[Thing]) -> Box | None:
    """The least box round all that is seen of ``things``, or ``None`` where nothing is; letters are taken as boxes."""
    found: list[Floats] = []
    clips: list[Floats] = []
    for thing in things:
        if isinstance(thing, Clip):
            if thing.box is None:
                clips.pop()
            else:
                clips.append(_corners(*thing.box))
            continue
        low, high = _reach(thing)
        for clip in clips:
            low, high = np.maximum(low, clip[0]), np.minimum(high, clip[1])
        if (low <= high).all():
            found.append(np.array([low, high]))
    if not found:
        return None
    low, high = np.min([each[0] for each in found], 0), np.max([each[1] for each in found], 0)
    return float(low[0]), float(low[1]), float(high[0] - low[0]), float(high[1] - low[1])


def _reach(thing: Paths | Line | Picture) -> Floats:
    match thing:
        case Paths():
            points = np.concatenate(thing.rings)
            return np.array([points.min(0) - thing.width_mm / 2, points.max(0) + thing.width_mm / 2])
        case Picture():
            return _corners(thing.x, thing.y, thing.width_mm, thing.height_mm)
        case Line():
            size, angle = thing.size_pt * MM_PER_POINT, np.deg2rad(thing.rotated_deg)
            along = np.array([np.cos(angle), -np.sin(angle)])
            up = np.array([-np.sin(angle), -np.cos(angle)])
            ends = np.array([0.0, width_mm(thing.text, thing.size_pt, thing.style)])[:, None] * along
            points = np.concatenate([ends - 0.25 * size * up, ends + 0.95 * size * up])
            points = points + np.array([thing.x, thing.y])
            return np.array([points.min(0), points.max(0)])


def _corners(x: float, y: float, wide: float, high: float) -> Floats:
    return np.array([(x, y), (x + wide, y + high)])
