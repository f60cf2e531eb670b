"""Where a body is thin: by rays that go in at a place and come out behind it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from builder.arrays import Floats
from builder.model.model import Part, Surface
from builder.model.spread import spread_on
from builder.model.tracer import Tracer
from builder.model.triangles import Triangles
from builder.model.whereabouts import place_words

THIN_SHARE = 0.02
"""Thinner than this share of the size is thin: 6 mm on a 300 mm model. Our choice, no source."""
RAYS = 20_000
TOGETHER = 2.5
"""Thin spots this many spacings of the rays apart, or as near as the limit, are one place."""
LEAST_RAYS = 3
"""A place that fewer rays find is not told: the sharp end of an edge, not a part."""


@dataclass(frozen=True, slots=True)
class ThinPlace:
    """A thin part: where it is in words and, its middle, in mm in the model frame; ``thick_mm``, what 1 ray in 20 there
    is thinner than; ``across_mm``, its longest way along x, y or z.
    """

    place: str
    middle_mm: tuple[float, float, float]
    thick_mm: float
    across_mm: float


@dataclass(frozen=True, slots=True)
class Thin:
    """``share`` of the surface thinner than ``limit_mm``; ``least_mm``, what 1 ray in 1000 is thinner than (``None``
    where no ray came out); ``places``, the largest first.
    """

    limit_mm: float
    share: float
    least_mm: float | None
    places: tuple[ThinPlace, ...]


def thin_places(body: Triangles) -> Thin:
    """Thickness along the inward normal at evenly spread points of a body in mm; a ray that leaves through a gap does
    not count.
    """
    corners = body.vertices[body.faces]
    points, face = spread_on(corners, RAYS)
    crosses = body.crosses()
    inward = -crosses / np.maximum(np.linalg.norm(crosses, axis=1), 1e-300)[:, None]
    lift = 1e-4 * body.size
    tracer = Tracer(
        Surface(body.vertices, body.faces, np.zeros((len(body.vertices), 3)), np.full(len(body.faces), Part.MODEL))
    )
    starts = points + lift * inward[face]
    hits = tracer.first(starts.astype(np.float32), inward[face].astype(np.float32))
    # only where it comes out from inside: the side behind faces away
    out = (hits.face >= 0) & ((inward[face] * inward[hits.face]).sum(axis=1) < 0)
    thick = hits.distance[out].astype(np.float64) + lift
    limit = THIN_SHARE * body.size
    if len(thick) == 0:
        return Thin(limit, 0.0, None, ())
    thin = thick < limit
    spacing = float(np.sqrt(body.areas().sum() / RAYS))
    places = _places(points[out][thin], thick[thin], max(TOGETHER * spacing, limit), body)
    return Thin(limit, float(thin.mean()), float(np.quantile(thick, 0.001)), places)


def _places(points: Floats, thick: Floats, reach: float, body: Triangles) -> tuple[ThinPlace, ...]:
    """Thin spots (n, 3) of a thickness (n,) that hang together within ``reach`` mm."""
    if len(points) == 0:
        return ()
    pairs = cKDTree(points).query_pairs(reach, output_type="ndarray")
    joined = coo_array((np.ones(len(pairs), np.int8), (pairs[:, 0], pairs[:, 1])), shape=(len(points), len(points)))
    count, number = connected_components(joined, directed=False)
    rays = np.bincount(number, minlength=count)
    found = []
    for one in np.argsort(-rays, kind="stable"):
        if rays[one] < LEAST_RAYS:
            break
        spots = points[number == one]
        low, high = spots.min(axis=0), spots.max(axis=0)
        # one of its own spots, as the middle of a ring or rim lies off it
        nearest = spots[np.argmin(np.linalg.norm(spots - np.median(spots, axis=0), axis=1))]
        x, y, z = (float(part) for part in nearest)
        least = float(np.quantile(thick[number == one], 0.05))
        found.append(ThinPlace(place_words(nearest, body), (x, y, z), least, float((high - low).max())))
    return tuple(found)
