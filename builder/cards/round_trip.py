"""How true a form is that is built from its cards: contours and profile cut from it, joined again, and compared."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import KDTree

from builder.arrays import Floats
from builder.cards.spacing import Levels, spaced
from builder.model.closest import closest_of
from builder.model.spread import spread
from builder.sections.lattice import STEPS
from builder.sections.loft import lofted
from builder.sections.sliced import Body, level, sliced

LEVELS = 120
"""Steps between the heights that contours may stand at."""
ENDS = 2e-4
"""The lowest and the highest level lie this share of the height within the form."""
POINTS = 20_000
"""Points of the form that are compared, spread evenly over its surface."""
LOOKED_AT = 12
"""So many of the loft's triangles with the nearest middles are looked at for each point."""


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


def form_levels(body: Body) -> Levels:
    """The form at all heights that contours may stand at."""
    low, high = float(body.vertices[:, 2].min()), float(body.vertices[:, 2].max())
    hair = ENDS * (high - low)
    heights: Floats = np.linspace(low + hair, high - hair, LEVELS + 1)
    return Levels(heights, tuple(level(body, float(at)) for at in heights))


def round_trip(body: Body, levels: Levels, count: int, profile_x_mm: float, steps: int = STEPS) -> RoundTrip:
    """The footprint, ``count`` contours where cards would stand, and the profile, joined into a form and compared.

    The body stands on z = 0.
    """
    chosen = spaced(levels, count).chosen(count)
    assert chosen is not None, "without a least distance there is room"
    heights = levels.heights_mm[[0, *chosen[0]]]
    loft = lofted(sliced(body.vertices, body.faces, heights.tolist(), profile_x_mm), steps)
    points = spread(body.vertices, body.faces.astype(np.int32), POINTS)
    return RoundTrip(heights, loft, points, off(points, loft))


def off(points: Floats, body: Body) -> Floats:
    """(n,) distances of points (n, 3) from a surface of small, even triangles."""
    corners = body.vertices[body.faces]
    near = KDTree(corners.mean(axis=1)).query(points, k=LOOKED_AT)[1]
    place, _ = closest_of(points, corners, np.asarray(near, np.int64))
    return np.asarray(np.linalg.norm(points - place, axis=1), np.float64)
