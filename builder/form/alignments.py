"""Landmarks that stand plumb or level with one another in a view."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from builder.form.landmarks import Placed
from builder.form.survey import Survey

WITHIN_SHARE = 0.01
"""Two places align when they are no farther off plumb or level than this share of the silhouette's height."""
APART_SHARE = 0.15
"""Places nearer along the line than this share of the height align by being near, which tells nothing."""
OFF_IN_FRONT_SHARE = 0.03
"""A pair this far off, as a share of the front silhouette's height, when seen from the front aligns here by the view's
doing: it tells most."""
LEAST_TELLING = 0.2
"""What a pair counts against that when it aligns from the front too."""
MOST = 3
"""Alignments told of a view."""

Along = Literal["plumb", "level"]


@dataclass(frozen=True, slots=True)
class Alignment:
    """Two landmarks on one plumb line (``one`` the upper) or level line (``one`` to the left)."""

    one: Placed
    two: Placed
    along: Along


def alignments(view: Survey) -> tuple[Alignment, ...]:
    """The few alignments that tell most: far apart, and by the view's doing; no landmark is used twice."""
    found = [
        entry
        for pair in combinations(view.seen, 2)
        for axis in (0, 1)
        if (entry := _aligned(view, pair, axis)) is not None
    ]
    found.sort(key=lambda entry: (-entry[0], entry[1].one.name, entry[1].two.name))
    told: list[Alignment] = []
    used: set[str] = set()
    for _, alignment in found:
        names = {alignment.one.name, alignment.two.name}
        if not names & used and len(told) < MOST:
            told.append(alignment)
            used |= names
    return tuple(told)


def _aligned(view: Survey, pair: tuple[Placed, Placed], axis: int) -> tuple[float, Alignment] | None:
    """How telling a pair is, and the pair, if it aligns; ``axis`` 0 plumb, 1 level."""
    one, two = sorted(pair, key=lambda landmark: landmark.place[1 - axis])
    off = abs(one.place[axis] - two.place[axis]) / view.height
    apart = (two.place[1 - axis] - one.place[1 - axis]) / view.height
    if off > WITHIN_SHARE or apart < APART_SHARE:
        return None
    telling = apart
    if view.front_box is not None:
        off_in_front = abs(one.front[axis] - two.front[axis]) / (view.front_box[3] - view.front_box[1])
        telling *= max(LEAST_TELLING, min(off_in_front / OFF_IN_FRONT_SHARE, 1.0))
    return telling, Alignment(one, two, "plumb" if axis == 0 else "level")
