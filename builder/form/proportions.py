"""How long things look against one another, and against the front view."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from builder.form.landmarks import Placed
from builder.form.measure_lines import Place
from builder.form.survey import Survey

LEAST_SHARE = 0.05
"""Lengths below this share of the silhouette's height, here or from the front, are too short to compare by eye."""
LEAST_CHANGE = 0.02
"""A proportion within this much of the front view's, as a natural logarithm, is the front view's."""

WHOLE_WIDTH = "the whole width, against the whole height"


@dataclass(frozen=True, slots=True)
class Proportion:
    """A length over the silhouette's height, ``here`` and from the ``front``; ``ends`` its places in this view."""

    name: str
    here: float
    front: float
    ends: tuple[Place, Place]

    @property
    def change(self) -> float:
        """Natural logarithm of how much greater it is here."""
        return math.log(self.here / self.front)


def length(one: Place, two: Place) -> float:
    """Distance between two places, px."""
    return math.dist(one, two)


def to_front(one: Placed, two: Placed, view: Survey) -> float | None:
    """How long two landmarks' distance looks against the front view; None where it is too short there to compare."""
    if view.front_box is None:
        return None
    front = length(one.front, two.front)
    if not front >= LEAST_SHARE * (view.front_box[3] - view.front_box[1]):
        return None
    return length(one.place, two.place) / front


def odd_proportion(view: Survey) -> Proportion | None:
    """The proportion furthest from the front view; None when none differs, as in the front view itself.

    Candidates are the whole width, and distances between landmarks seen: the unit, the tilts, landmarks on the middle
    line with one another, those that mirror each other, and, of a form without a mirror plane, neighbours.
    """
    if view.front_box is None:
        return None
    changed = [proportion for proportion in _candidates(view) if abs(proportion.change) > LEAST_CHANGE]
    # of lengths that change alike, the longest shows it best
    return max(changed, key=lambda one: (round(abs(one.change), 2), one.front, one.name), default=None)


def _candidates(view: Survey) -> Iterator[Proportion]:
    assert view.front_box is not None
    left, top, right, bottom = view.front_box
    height = bottom - top
    foot = view.box[3]
    across = (view.box[0], foot), (view.box[2], foot)
    yield Proportion(WHOLE_WIDTH, view.width / view.height, (right - left) / height, across)
    for names in _pairs(view):
        both = view.both_seen(names)
        if both is None:
            continue
        here, front = length(both[0].place, both[1].place) / view.height, length(both[0].front, both[1].front) / height
        if min(here, front) >= LEAST_SHARE:
            name = f"{names[0]} to {names[1]}, against the whole height"
            yield Proportion(name, here, front, (both[0].place, both[1].place))


def _pairs(view: Survey) -> list[tuple[str, str]]:
    """Pairs of names worth comparing, each once."""
    guides = view.looked.guides
    pairs = [guides.unit] if guides.unit is not None else []
    pairs += [tilt.landmarks for tilt in guides.tilts]
    pairs += combinations(view.middle, 2)
    pairs += view.partners
    if view.symmetry is None:
        pairs += _neighbours(view.placed)
    return list({frozenset(pair): pair for pair in reversed(pairs)}.values())


def _neighbours(placed: tuple[Placed, ...]) -> list[tuple[str, str]]:
    """Pairs that no third landmark lies nearer to both of (the relative neighbours of Toussaint 1980)."""
    pairs = []
    for one, two in combinations(placed, 2):
        apart = math.dist(one.point_mm, two.point_mm)
        others = (other.point_mm for other in placed if other is not one and other is not two)
        if all(max(math.dist(one.point_mm, at), math.dist(two.point_mm, at)) >= apart for at in others):
            pairs.append((one.name, two.name))
    return pairs
