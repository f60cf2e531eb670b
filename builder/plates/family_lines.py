"""The lines along which light and shadow meet on one surface: terminators and cast edges.

The terminator is where the light family meets form shadow, the cast edge where it meets cast shadow. Where one surface
hides another the two may meet as well, but that border is an outline of the form and not an edge of its light.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from builder.arrays import Bools, Floats, Singles
from builder.camera.sight import Eye
from builder.form.footing import Footing
from builder.plates.causes import LIT, Family
from builder.plates.outlines import Outlines
from builder.plates.tears import REACH_PX, torn

SHORTEST_SHARE = 0.005
"""Share of the picture's height under which a line is left out: the gap between two tears, no edge to draw."""
_CROSSING_PX = 3.0 * REACH_PX
"""A line is torn for less than this where it only ends at a tear or passes the end of one; it then counts as whole."""
_STEP_PX = 1.5
"""Longest distance between the places of a line at which tears are looked for."""


@dataclass(frozen=True, slots=True)
class MetLines:
    """Lines (n, 2) float32, px, x before y, where light meets shadow at one place: ``terminator``, ``cast_edge`` and,
    where the surface is torn, ``hidden``.
    """

    terminator: tuple[Singles, ...]
    cast_edge: tuple[Singles, ...]
    hidden: tuple[Singles, ...]


def met_lines(outlines: Outlines, first_label: int, footing: Footing, eye: Eye) -> MetLines:
    """The lines of one place, whose labels are those of :class:`~builder.plates.causes.Family` plus ``first_label``."""
    light = [first_label + family for family in LIT]
    form = [first_label + family for family in (Family.CORE, Family.REFLECTED)]
    shortest = SHORTEST_SHARE * footing.part.shape[0]
    terminator, behind = _whole(outlines.between(light, form), footing, eye, shortest)
    cast_edge, also_behind = _whole(outlines.between(light, [first_label + Family.CAST]), footing, eye, shortest)
    return MetLines(tuple(terminator), tuple(cast_edge), (*behind, *also_behind))


def length_px(lines: Sequence[Singles] | Sequence[Floats]) -> float:
    """Length of lines (n, 2) together, px."""
    return float(sum(np.hypot(*np.diff(line, axis=0).T).sum() for line in lines))


def _whole(
    lines: Sequence[Singles], footing: Footing, eye: Eye, shortest_px: float
) -> tuple[list[Singles], list[Singles]]:
    """The stretches of lines on which the surface is whole, and all the rest."""
    whole: list[Singles] = []
    rest: list[Singles] = []
    for line in lines:
        points, places = _dense(line.astype(np.float64))
        apart = torn(footing, eye, points)
        for start, stop in _stretches(apart):
            part_of_line = start > 0 or stop < len(points) - 1
            if apart[start] and part_of_line and length_px([points[start : stop + 1]]) < _CROSSING_PX:
                apart[start : stop + 1] = False
        for start, stop in _stretches(apart):
            piece = points[start : stop + 1][places[start : stop + 1] | _ends(stop + 1 - start)].astype(np.float32)
            if len(piece) > 1:
                kept = not apart[start] and length_px([piece]) >= shortest_px
                (whole if kept else rest).append(piece)
    return whole, rest


def _stretches(apart: Bools) -> list[tuple[int, int]]:
    """First and last point of every stretch that is torn or whole throughout; it ends where the next begins."""
    cuts = (np.flatnonzero(apart[1:] != apart[:-1]) + 1).tolist()
    return list(zip([0, *cuts], [*cuts, len(apart) - 1], strict=True))


def _dense(line: Floats) -> tuple[Floats, Bools]:
    """A line with points put in so that no step is longer than :data:`_STEP_PX`; which of them it had, (n,) bool."""
    steps = np.diff(line, axis=0)
    parts = np.maximum(np.ceil(np.hypot(*steps.T) / _STEP_PX).astype(np.int64), 1)
    step = np.repeat(np.arange(len(parts)), parts)
    along = (np.arange(len(step)) - np.repeat(np.cumsum(parts) - parts, parts)) / parts[step]
    points = np.concatenate([line[step] + along[:, None] * steps[step], line[-1:]])
    return points, np.append(along == 0.0, True)


def _ends(count: int) -> Bools:
    ends = np.zeros(count, np.bool_)
    ends[[0, -1]] = True
    return ends
