"""How true a form is that is built from its cards: contours and profile cut from it, joined again, and compared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.spatial import KDTree
from shapely import MultiPolygon, Polygon

from builder.arrays import Floats
from builder.cards.spacing import MISS_MM, Levels, Spacing
from builder.model.closest import closest_of
from builder.model.spread import spread
from builder.sections.loft import lofted
from builder.sections.sections import Contour, Sections
from builder.sections.sliced import Body, rings_of, upright

STEPS = 100
"""The lattice of the loft: on the demo mask what 95 of 100 places keep is then within 0.02 mm of that at 300, in a
third of the time.
"""
NARROW = 1.5
"""What is narrower than this many steps of the lattice is not joined."""
POINTS = 20_000
"""Points of the form that are compared, spread evenly over its surface."""
LOOKED_AT = 12
"""So many of the loft's triangles with the nearest middles are looked at for each point."""
SHARE = 0.95
"""Of all places: what these keep is told."""


@dataclass(frozen=True, slots=True, eq=False)
class RoundTrip:
    """The contours' heights, the footprint's first; points (n, 3) of the form and how far each is from the loft, (n,);
    mm.
    """

    heights_mm: Floats
    loft: Body
    points: Floats
    off_mm: Floats

    def within(self, share: float) -> float:
        """The distance, mm, that this share of the points keeps."""
        return float(np.quantile(self.off_mm, share))


@dataclass(frozen=True, slots=True)
class Returned:
    """What a form misses that is joined from ``count`` contours, footprint and profile: half of it ``median_mm`` or
    less, :data:`SHARE` of it ``p95_mm`` or less.
    """

    count: int
    median_mm: float
    p95_mm: float

    @property
    def good(self) -> bool:
        """Whether no more is missed than is good."""
        return self.p95_mm <= MISS_MM


def round_trip(body: Body, levels: Levels, picked: Sequence[int], profile_x_mm: float, steps: int = STEPS) -> RoundTrip:
    """The footprint, contours at the levels picked, and the profile, joined into a form and compared.

    The body stands on z = 0. Levels at which all is too narrow for the lattice are left out.
    """
    narrow = NARROW * float(np.ptp(body.vertices, axis=0).max()) / steps
    cut = [(float(levels.heights_mm[n]), rings_of(_wide(levels.material[n], narrow))) for n in (0, *picked)]
    there = [(height, rings) for height, rings in cut if rings]
    contours = tuple(Contour(number, height, rings) for number, (height, rings) in enumerate(there, 1))
    profile = max(upright(body, profile_x_mm).geoms, key=lambda part: part.area, default=None)
    outline = None if profile is None else rings_of(MultiPolygon([profile]))[0]
    loft = lofted(Sections(contours, outline, profile_x_mm), steps)
    points = spread(body.vertices, body.faces.astype(np.int32), POINTS)
    return RoundTrip(np.array([contour.height_mm for contour in contours]), loft, points, off(points, loft))


def returned(body: Body, levels: Levels, spacing: Spacing, picked: Sequence[int], x_mm: float) -> tuple[Returned, ...]:
    """What is missed with the contours picked, and, where that is more than is good, with the fewest more that miss no
    more; where no number does, with the most that there is room for.

    The first guess is by the law of squares (sagitta of a chord, CHECKS.md section 5), then steps double, then the
    number is found by halving, as if every contour more could only help.
    """
    first = _returned(body, levels, picked, x_mm)
    choices = {n: chosen[0] for n in range(len(picked) + 1, len(spacing.best) - 1) if (chosen := spacing.chosen(n))}
    poor, step = first, 1
    good = first if first.good else None
    while room := [n for n in choices if n > poor.count and (good is None or n < good.count)]:
        if good is None:
            wanted = max(int(np.ceil(poor.count * np.sqrt(poor.p95_mm / MISS_MM))), poor.count + step)
            step *= 2
        else:
            wanted = (poor.count + good.count) // 2
        number = min(room, key=lambda n: (abs(n - wanted), n))
        one = _returned(body, levels, choices[number], x_mm)
        poor, good = (poor, one) if one.good else (one, good)
    best = good or poor
    return (first,) if best is first else (first, best)


def _returned(body: Body, levels: Levels, picked: Sequence[int], x_mm: float) -> Returned:
    trip = round_trip(body, levels, picked, x_mm)
    return Returned(len(picked), trip.within(0.5), trip.within(SHARE))


def off(points: Floats, body: Body) -> Floats:
    """(n,) distances of points (n, 3) from a surface of small, even triangles."""
    corners = body.vertices[body.faces]
    near = KDTree(corners.mean(axis=1)).query(points, k=LOOKED_AT)[1]
    place, _ = closest_of(points, corners, np.asarray(near, np.int64))
    return np.asarray(np.linalg.norm(points - place, axis=1), np.float64)


def _wide(material: MultiPolygon, narrow_mm: float) -> MultiPolygon:
    """The parts of a level, and the holes in them, into which a disc of that width fits."""

    def fits(part: Polygon) -> bool:
        return not shapely.buffer(part, -narrow_mm / 2).is_empty

    parts = [part for part in material.geoms if fits(part)]
    return MultiPolygon([(part.exterior, [hole for hole in part.interiors if fits(Polygon(hole))]) for part in parts])
