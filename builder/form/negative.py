"""Negative shapes: what lies between the envelope and the contour, and what shows through the form."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.spatial import ConvexHull

from builder.arrays import Floats, frozen
from builder.form.rings import distance_px, inside_ring, ring_area_px2, ring_middle

Where = Literal[
    "upper left", "upper middle", "upper right", "left", "right", "lower left", "lower middle", "lower right", "inside"
]
_ROUND: tuple[Where, ...] = (
    "right",
    "lower right",
    "lower middle",
    "lower left",
    "left",
    "upper left",
    "upper middle",
    "upper right",
)

LEAST_SHARE = 0.005
"""Negative shapes smaller than this share of the silhouette are left out: that from which a side of the envelope is
worth drawing."""
TOUCH_PX = 1.5
"""Where the contour comes this near to the envelope, the two lines are drawn as one, and a shape ends."""
_GRID = 32
"""Places across a shape at which room for its letter is looked for."""


@dataclass(frozen=True, slots=True, eq=False)
class NegativeShape:
    """A shape between envelope and contour, or a hole of the form.

    outline (m, 2), px, its start not repeated; area_share: its area as a share of the silhouette's; ``where`` it lies
    about the middle of the silhouette's box; place (2,) px, the middle of the widest circle in it, of radius room_px.
    """

    outline: Floats
    area_share: float
    where: Where
    place: Floats
    room_px: float

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "outline", frozen(self.outline, "f8", (None, 2)))
        object.__setattr__(self, "place", frozen(self.place, "f8", (2,)))


def negative_shapes(
    envelope: Floats, outer: Sequence[Floats], holes: Sequence[Floats], least_share: float = LEAST_SHARE
) -> tuple[NegativeShape, ...]:
    """The negative shapes, the greatest first.

    ``envelope`` (k, 2) and the rings ``outer`` and ``holes`` of the silhouette, px, all clockwise as seen. With
    ``least_share`` 0 their areas add up to the envelope's less the silhouette's.
    """
    body = sum(ring_area_px2(ring) for ring in outer) - sum(ring_area_px2(ring) for ring in holes)
    low, high = (pick([pick(ring, axis=0) for ring in outer], axis=0) for pick in (np.min, np.max))
    pockets, loose = _pockets(envelope, outer)
    areas = [ring_area_px2(pocket) for pocket in pockets]
    for ring in loose:
        for index, pocket in enumerate(pockets):
            if inside_ring(pocket, ring[:1])[0]:
                areas[index] -= ring_area_px2(ring)
                break
    found = [
        *((area, pocket, loose) for area, pocket in zip(areas, pockets, strict=True)),
        *((ring_area_px2(ring), ring, []) for ring in holes),
    ]
    shapes = []
    for index, (area, outline, islands) in enumerate(found):
        if area > 0.0 and area >= least_share * body:
            off = (ring_middle(outline) - (low + high) / 2) / (high - low)
            around = round(float(np.arctan2(off[1], off[0])) / (np.pi / 4)) % len(_ROUND)
            where: Where = _ROUND[around] if index < len(areas) else "inside"
            shapes.append(NegativeShape(outline, area / body, where, *_widest([outline, *islands])))
    return tuple(sorted(shapes, key=lambda shape: -shape.area_share))


def _pockets(envelope: Floats, outer: Sequence[Floats]) -> tuple[list[Floats], list[Floats]]:
    """Outlines of what lies between the envelope and the rings that touch it; and the rings that do not.

    Contacts are corners of the convex hull. From one to the next along the envelope, then back along the contour: such
    a round ends where it began.
    """
    points = np.concatenate(outer)
    ring_of = np.repeat(np.arange(len(outer)), [len(ring) for ring in outer])
    index_of = np.concatenate([np.arange(len(ring)) for ring in outer])
    corners = ConvexHull(points).vertices
    side, part, apart = _along(envelope, points[corners])
    order = np.lexsort((part, side))
    order = order[apart[order] <= TOUCH_PX]
    contact, side, part = corners[order], side[order], part[order]
    count = len(contact)
    around = np.append(envelope, envelope[:1], axis=0)
    foot = around[side] + part[:, None] * (around[side + 1] - around[side])
    pockets = []
    left = set(range(count))
    while left:
        start = at = min(left)
        outline = []
        while at in left:
            left.discard(at)
            after = (at + 1) % count
            turned = [envelope[k % len(envelope)] for k in _between(side[at], side[after], after <= at, len(envelope))]
            outline += [foot[at], *turned, foot[after]]
            ring = int(ring_of[contact[after]])
            touching = {int(index_of[contact[k]]): k for k in range(count) if ring_of[contact[k]] == ring}
            here = int(index_of[contact[after]])
            while True:
                outline.append(outer[ring][here])
                here = (here - 1) % len(outer[ring])
                if here in touching:
                    at = touching[here]
                    outline.append(outer[ring][here])
                    break
        assert at == start, "a round along envelope and contour ends where it began"
        pockets.append(np.array(outline))
    loose = [ring for index, ring in enumerate(outer) if index not in ring_of[contact]]
    return pockets, loose


def _between(side: int, next_side: int, wraps: bool, count: int) -> range:
    """Corners of the envelope passed from a place on one side to one on another."""
    return range(int(side) + 1, int(next_side) + 1 + (count if wraps else 0))


def _along(envelope: Floats, points: Floats) -> tuple[np.ndarray, Floats, Floats]:
    """Of each point the nearest side, how far along it, 0..1, and how far off it, px."""
    along = np.roll(envelope, -1, axis=0) - envelope
    off = points[:, None, :] - envelope
    part = np.clip((off * along).sum(axis=2) / (along * along).sum(axis=1), 0.0, 1.0)
    apart = np.hypot(*np.moveaxis(off - part[:, :, None] * along, 2, 0))
    side = np.argmin(apart, axis=1)
    row = np.arange(len(points))
    return side, part[row, side], apart[row, side]


def _widest(rings: Sequence[Floats]) -> tuple[Floats, float]:
    """Middle and radius of about the widest circle inside the first ring and outside the others."""
    low, high = rings[0].min(axis=0), rings[0].max(axis=0)
    steps = (np.arange(_GRID) + 0.5) / _GRID
    x, y = np.meshgrid(low[0] + steps * (high[0] - low[0]), low[1] + steps * (high[1] - low[1]))
    places = np.stack([x.ravel(), y.ravel()], axis=1)
    inside = inside_ring(rings[0], places)
    for ring in rings[1:]:
        inside &= ~inside_ring(ring, places)
    if not inside.any():
        return ring_middle(rings[0]), 0.0
    places = places[inside]
    stop = np.concatenate([np.roll(ring, -1, axis=0) for ring in rings])
    room = distance_px(np.concatenate(rings), stop, places)
    best = int(np.argmax(room))
    return places[best], float(room[best])
