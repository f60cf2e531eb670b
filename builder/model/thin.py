"""Where a body is thin: by rays that go in at a place and come out behind it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.model.model import Part, Surface
from builder.model.spread import spread_on
from builder.model.tracer import Tracer
from builder.model.triangles import Triangles

THIN_SHARE = 0.02
"""Thinner than this share of the size is thin: 6 mm on a 300 mm model. Our choice, no source."""
RAYS = 20_000


@dataclass(frozen=True, slots=True)
class Thin:
    """``share`` of the surface thinner than ``limit_mm``; ``least_mm``, what 1 ray in 1000 is thinner than, and
    ``place``, the middle of the thin places, in mm, model frame: ``None`` where there are none.
    """

    limit_mm: float
    share: float
    least_mm: float
    place: tuple[float, float, float] | None


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
    thick = hits.distance[out] + lift
    limit = THIN_SHARE * body.size
    if len(thick) == 0:
        return Thin(limit, 0.0, float("inf"), None)
    thin = points[out][thick < limit]
    place = None
    if len(thin):
        x, y, z = (float(part) for part in np.median(thin, axis=0))
        place = (x, y, z)
    return Thin(limit, len(thin) / len(thick), float(np.quantile(thick, 0.001)), place)
