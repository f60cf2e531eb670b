"""Where a contour sits on an upright card: two slots that meet, with a bridge of card left behind each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon, box

from builder.cards.card import Slot
from builder.cards.strength import closed, sturdy
from builder.study.description import CardChoice

PLAY_MM = 0.1
"""A slot is wider than the card by this, and the two slots of a crossing together longer by it."""
SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
"""How deep the contour's slot goes into the way that both cards have in common, best first."""
LITTLE, MUCH = 0.02, 0.2
"""Of a part's area: what may be lost beside a slot without looking further, and what may not be lost at all."""
FALLEN = 4.0
"""A piece of more square bridges than this may not fall off an upright card."""
BEYOND_MM = 0.5
"""A slot starts this far outside the card."""


Run = tuple[float, float]
"""From a lesser to a greater depth."""


@dataclass(frozen=True, slots=True)
class Seat:
    """Where a part of a contour sits on an upright card, depths y: its front, where the slots meet, and the upright
    card's free edge behind it.
    """

    front_mm: float
    middle_mm: float
    edge_mm: float

    def in_contour(self, x_mm: float, thick_mm: float) -> Slot:
        """The contour's slot, from the front of the part."""
        start = self.front_mm - thick_mm - BEYOND_MM
        return Slot((x_mm, start), (x_mm, self.middle_mm + PLAY_MM / 2), thick_mm + PLAY_MM)

    def in_profile(self, z_mm: float, thick_mm: float) -> Slot:
        """The profile's slot, from its free edge behind the part."""
        start = self.edge_mm + thick_mm + BEYOND_MM
        return Slot((start, z_mm), (self.middle_mm - PLAY_MM / 2, z_mm), thick_mm + PLAY_MM)


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """A part of a contour: its outline, and the slots by which it sits on upright cards."""

    whole: Polygon
    slots: tuple[Slot, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Crossing:
    """What becomes of a part at an upright card: ``None`` where it cannot stay; the upright card's slot if it sits."""

    part: Part | None
    slot: Slot | None = None


def crossed(
    part: Part, standing: MultiPolygon, cuts: Sequence[Slot], x_mm: float, z_mm: float, choice: CardChoice
) -> Crossing:
    """The part with a slot for the upright card at x, which has the slots ``cuts`` already.

    The slots meet in the middle of their longest way together, or elsewhere where more of either card would be weak or
    fall off by that; what is weak beside the part's slot is cut away. Where it cannot sit so, its slot lets the upright
    card through; where not even that leaves it whole, it cannot stay.
    """
    up, flat = _ways(part.whole, standing, x_mm, z_mm)
    both = [(a, b, c, d) for a, b in up for c, d in flat if min(b, d) > max(a, c)]
    if not both:
        return Crossing(part)
    best: tuple[float, Part, Slot] | None = None
    for seat in _seats(up, flat, both, choice):
        cut = seat.in_profile(z_mm, choice.card_mm)
        lost, slotted = _slotted(part, seat.in_contour(x_mm, choice.card_mm), choice)
        if lost >= MUCH or (best is not None and lost > best[0] - 1e-9):
            continue
        if holds(standing, (*cuts, cut), choice.bridge_mm):
            best = lost, slotted, cut
            if lost < LITTLE:
                break
    if best is not None:
        return Crossing(*best[1:])
    thick = choice.card_mm / 2 + PLAY_MM
    there = shapely.intersection(standing, box(flat[0][0], z_mm - thick, flat[-1][1], z_mm + thick))
    through = Seat(flat[0][0], float(there.bounds[2]) + PLAY_MM, 0.0)
    lost, slotted = _slotted(part, through.in_contour(x_mm, choice.card_mm), choice)
    return Crossing(slotted if lost < MUCH else None)


def _slotted(part: Part, slot: Slot, choice: CardChoice) -> tuple[float, Part]:
    """The part with one slot more, less what is weak, and the share of its area lost: all where none holds."""
    slots = (*part.slots, slot)
    whole = without_weak(part.whole, slots, choice.bridge_mm)
    return (1.0, part) if whole is None else (1.0 - whole.area / part.whole.area, Part(whole, slots))


def without_weak(whole: Polygon, slots: tuple[Slot, ...], bridge_mm: float, *, all_end: bool = True) -> Polygon | None:
    """The outline less what its slots make weak: the largest part left; ``None`` for none, or where slots shall
    ``all_end`` in it and do not.
    """
    areas = shapely.union_all([slot.area for slot in slots])
    cut = shapely.difference(whole, areas)
    kept = sturdy(MultiPolygon(_faces(cut)), bridge_mm)
    if kept.is_empty:
        return None
    largest = kept.geoms[0]
    ends = [shapely.Point(slot.end).buffer(2 * slot.width_mm) for slot in slots]
    if all_end and not all(largest.intersects(end) for end in ends):
        return None
    # the slots themselves belong to the outline as long as card lies beside them
    beside = shapely.buffer(largest, max(slot.width_mm for slot in slots) / 2 + 1e-3, join_style="mitre")
    filled = shapely.union(largest, shapely.intersection(shapely.intersection(areas, whole), beside))
    return max(_faces(closed(filled)), key=lambda face: face.area)


def holds(standing: MultiPolygon, slots: Sequence[Slot], bridge_mm: float) -> bool:
    """Whether an upright card with these slots loses no more than fins: nothing falls off at the last."""
    last = slots[-1]
    areas = shapely.union_all([slot.area for slot in slots])
    for piece in standing.geoms:
        if piece.intersects(last.area):
            kept = sturdy(MultiPolygon(_faces(shapely.difference(piece, areas))), bridge_mm)
            if kept.is_empty or any(part.area > FALLEN * bridge_mm**2 for part in list(kept.geoms)[1:]):
                return False
    return True


def _ways(part: Polygon, standing: MultiPolygon, x_mm: float, z_mm: float) -> tuple[list[Run], list[Run]]:
    """The runs along y of the upright card at a height, and of the part at the upright card's x."""
    up = shapely.intersection(standing, LineString([(-1e5, z_mm), (1e5, z_mm)]))
    return _runs(up, 0), _runs(shapely.intersection(part, LineString([(x_mm, -1e5), (x_mm, 1e5)])), 1)


def _seats(
    up: list[Run], flat: list[Run], both: list[tuple[float, float, float, float]], choice: CardChoice
) -> list[Seat]:
    both = sorted(both, key=lambda run: max(run[0], run[2]) - min(run[1], run[3]))
    edge = max(end for start, end in up if start < flat[-1][1])
    # a part that goes in from a hollow of the upright card needs as much room behind it as its slot is long
    room = min((start for start, _ in up if start >= edge), default=np.inf) - edge
    seats = []
    for a, b, c, d in both:
        low, high = max(a, c), min(b, d)
        least, most = max(low, a + choice.bridge_mm + PLAY_MM), min(high, d - choice.bridge_mm - PLAY_MM)
        if least <= most:
            middles = [float(np.clip(low + share * (high - low), least, most)) for share in SHARES]
            seats += [Seat(flat[0][0], middle, edge) for middle in dict.fromkeys(middles)]
    return [seat for seat in seats if edge - seat.middle_mm <= room]


def _runs(lines: shapely.Geometry, axis: int) -> list[Run]:
    runs = []
    for line in shapely.get_parts(lines):
        if line.length > 0:
            values = shapely.get_coordinates(line)[:, axis]
            runs.append((float(values.min()), float(values.max())))
    return sorted(runs)


def _faces(shape: shapely.Geometry) -> list[Polygon]:
    return [part for part in shapely.get_parts(shape) if isinstance(part, Polygon)]
