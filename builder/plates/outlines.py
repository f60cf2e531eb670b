"""Outlines of the shapes of a label picture: smooth lines, each border once, shared by the two shapes it parts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from builder.arrays import Bools, Bytes, Ints, Singles, frozen
from builder.plates.arcs import OUTSIDE, trace_arcs
from builder.plates.curves import curves
from builder.plates.runs import Runs, find_runs

NO_LABEL = 255
"""Label of what lies outside the picture; not to be used inside."""
_LOOK_PX = 4.0
"""How far along a line its direction at an end is looked for: past the bend that smoothing leaves at a corner."""


@dataclass(frozen=True, slots=True, eq=False)
class Outlines:
    """The borders between the shapes of a picture of ``width_px`` by ``height_px``, and those shapes.

    Points are (x, y) in px from the picture's top left corner, y downwards: the pixel of row r, column c covers c..c+1,
    r..r+1. Line i has the ``points`` (n, 2) float32 from ``first[i]`` to ``first[i + 1]`` - 1, first (k + 1,) int64. It
    runs from a place where three shapes or more meet, or a corner of the picture, to the next; where there is none it
    is ``closed`` (k,) bool and ends in the point it starts from. left_label, right_label (k,) uint8 and left_shape,
    right_shape (k,) int32 tell what lies on its two sides as seen by one who walks along it over the picture, which is
    ``NO_LABEL`` and -1 outside. ``runs`` has the shapes themselves, in pixels.

    No corner of a pixel on a line's border lies farther from it than 0.9 px.
    """

    width_px: int
    height_px: int
    points: Singles
    first: NDArray[np.int64]
    left_label: Bytes
    right_label: Bytes
    left_shape: Ints
    right_shape: Ints
    closed: Bools
    runs: Runs

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        for name, dtype, shape in (
            ("points", "f4", (None, 2)),
            ("first", "i8", (None,)),
            ("left_label", "u1", (None,)),
            ("right_label", "u1", (None,)),
            ("left_shape", "i4", (None,)),
            ("right_shape", "i4", (None,)),
            ("closed", "?", (None,)),
        ):
            object.__setattr__(self, name, frozen(getattr(self, name), dtype, shape))

    def line(self, index: int) -> Singles:
        """The points of line ``index``, (m, 2)."""
        return self.points[self.first[index] : self.first[index + 1]]

    def between(self, left: Collection[int], right: Collection[int]) -> list[Singles]:
        """The border between shapes labelled ``left`` and shapes labelled ``right``: lines (m, 2), as long as can be.

        Each has ``left`` on its left. Where several go on from one place, those that bend least are joined. A line that
        comes back to its start ends in the point it starts from. ``NO_LABEL`` stands for the outside; the two must have
        no label in common.
        """
        assert not set(left) & set(right), "a line cannot have one label on both sides"
        ahead = np.isin(self.left_label, list(left)) & np.isin(self.right_label, list(right))
        back = np.isin(self.right_label, list(left)) & np.isin(self.left_label, list(right))
        lines = [self.line(i) if ahead[i] else self.line(i)[::-1] for i in np.flatnonzero(ahead | back).tolist()]
        return _joined(lines)


def find_outlines(labels: Bytes, runs: Runs | None = None) -> Outlines:
    """The outlines of ``labels`` (h, w) uint8, 0..254; ``runs`` are those of the same picture, if known already."""
    runs = find_runs(labels) if runs is None else runs
    arcs = trace_arcs(labels)
    left, right = _shapes_at(arcs.left, labels.shape[1], runs), _shapes_at(arcs.right, labels.shape[1], runs)
    points, first = curves(arcs, (left < 0) | (right < 0))
    label = np.append(runs.step_of_shape, np.uint8(NO_LABEL))
    return Outlines(
        width_px=labels.shape[1],
        height_px=labels.shape[0],
        points=points,
        first=first,
        left_label=label[left],
        right_label=label[right],
        left_shape=left,
        right_shape=right,
        closed=arcs.closed,
        runs=runs,
    )


def _shapes_at(pixel: NDArray[np.int64], width: int, runs: Runs) -> Ints:
    """The shape each ``pixel`` (k,) lies in, -1 for one outside the picture."""
    row = np.repeat(np.arange(len(runs.first) - 1), np.diff(runs.first))
    run = np.searchsorted(row * width + runs.start, np.maximum(pixel, 0), side="right") - 1
    return np.where(pixel == OUTSIDE, -1, runs.shape[run]).astype(np.int32)


def _joined(lines: list[Singles]) -> list[Singles]:
    """Lines (m, 2) joined end to start wherever one ends where another starts, the straightest joints first."""
    starts: dict[tuple[float, float], list[int]] = defaultdict(list)
    for index, line in enumerate(lines):
        starts[tuple(line[0].tolist())].append(index)
    turns = []
    for index, line in enumerate(lines):
        leaving = _direction(line[::-1])
        for other in starts[tuple(line[-1].tolist())]:
            turns.append((float(leaving @ _direction(lines[other])), index, other))
    after: dict[int, int] = {}
    taken = set()
    for _, index, other in sorted(turns):
        if index not in after and other not in taken:
            after[index] = other
            taken.add(other)
    joined = []
    left = dict.fromkeys([*(i for i in range(len(lines)) if i not in taken), *range(len(lines))])
    while left:
        at = next(iter(left))
        parts = [lines[at][:1]]
        while at in left:
            del left[at]
            parts.append(lines[at][1:])
            at = after.get(at, -1)
        joined.append(np.concatenate(parts))
    return joined


def _direction(line: Singles) -> Singles:
    """Unit vector from the start of a line into it."""
    off = np.hypot(*(line - line[0]).T)
    there = line[min(int(np.searchsorted(np.maximum.accumulate(off), _LOOK_PX)), len(line) - 1)] - line[0]
    direction: Singles = there / max(float(np.hypot(*there)), 1e-6)
    return direction
