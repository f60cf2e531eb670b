"""Inside and outside of a form from its contours: signed distances, joined over the height.

Shape-based interpolation (Raya and Udupa 1990, Herman and others 1992; as Grevera and Udupa, IEEE Transactions on
Medical Imaging 15(6):881, 1996, describe it): each contour becomes the distance of every point of its plane from it,
negative inside, and the distances of neighbouring contours are joined. Rings may be many, have holes, part and merge.
Here each point's distances are joined over the height by the monotone cubic of Fritsch and Carlson (SIAM J. Numer.
Anal. 17:238, 1980, from memory) with the slopes of Fritsch and Butland (SIAM J. Sci. Stat. Comput. 5:300, 1984, from
memory), as scipy has it.

No bulge. Between the heights of contours A and B the joined distance f of a point lies between its distances a and b
from them, because the cubic is monotone. Where both hold the point, a < 0 and b < 0, so f < 0: the section holds it
too. Where neither does, a > 0 and b > 0, so f > 0: the section leaves it out. Hence every section between A and B lies
within what they cover together and holds all that they share; a surface drawn through a grid keeps this to within a
cell.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numba import njit
from scipy.interpolate import PchipInterpolator

from builder.arrays import Bools, Floats, Singles
from builder.sections.lattice import Lattice
from builder.sections.sections import Contour

TOGETHER = 8
"""So many sides of a ring in a row are passed over at once where all are too far away."""


def distances(rings: tuple[Floats, ...], points: Floats) -> Floats:
    """Signed distances (...) mm of points (..., 2) from rings (n, 2), negative inside."""
    flat = np.ascontiguousarray(points.reshape(-1, 2))
    sides = np.concatenate([np.hstack([ring, np.roll(ring, -1, axis=0)]) for ring in rings])
    first = np.arange(0, len(sides), TOGETHER)
    low = np.minimum.reduceat(np.minimum(sides[:, :2], sides[:, 2:]), first)
    high = np.maximum.reduceat(np.maximum(sides[:, :2], sides[:, 2:]), first)
    away = np.zeros(len(flat))
    _nearest(flat, sides, np.hstack([low, high]), TOGETHER, away)
    return np.where(inside(rings, flat), -away, away).reshape(points.shape[:-1])


def inside(rings: tuple[Floats, ...], points: Floats) -> Bools:
    """(n,) whether points (n, 2) lie within an odd number of rings."""
    within = np.zeros(len(points), np.bool_)
    for ring in rings:
        shape = shapely.Polygon(ring)
        shapely.prepare(shape)
        within ^= shapely.contains_xy(shape, points)
    return within


def between(contours: tuple[Contour, ...], lattice: Lattice) -> tuple[Floats, Singles]:
    """Signed distances (k, b, a) from each contour in its own plane, and joined over all layers from the first contour
    to the last, (c, b, a).
    """
    levels = np.stack([distances(contour.rings, lattice.points) for contour in contours])
    layers = lattice.layers_mm[lattice.at[0] : lattice.at[-1] + 1]
    heights = lattice.layers_mm[lattice.at]
    joined = np.zeros((len(layers), *levels.shape[1:]), np.float32)
    for row in range(levels.shape[1]):
        joined[:, row] = PchipInterpolator(heights, levels[:, row])(layers)
    return levels, joined


@njit(cache=True, nogil=True)
def _nearest(points: Any, sides: Any, boxes: Any, together: int, away: Any) -> None:
    """Distances (n,) of points (n, 2) from the nearest side, x y x y; ``boxes`` hold ``together`` of them."""
    last = 0
    for i in range(len(points)):
        x, y = points[i, 0], points[i, 1]
        best, near = np.inf, last
        # neighbouring points mostly have neighbouring sides nearest: what is far from those is passed over
        for turn in range(len(boxes)):
            group = (last + turn) % len(boxes)
            aside = max(boxes[group, 0] - x, x - boxes[group, 2], 0.0)
            beyond = max(boxes[group, 1] - y, y - boxes[group, 3], 0.0)
            if aside * aside + beyond * beyond >= best:
                continue
            for side in range(group * together, min((group + 1) * together, len(sides))):
                one_x, one_y = sides[side, 0] - x, sides[side, 1] - y
                along_x, along_y = sides[side, 2] - sides[side, 0], sides[side, 3] - sides[side, 1]
                square = along_x * along_x + along_y * along_y
                part = 0.0
                if square > 0.0:
                    part = min(max(-(one_x * along_x + one_y * along_y) / square, 0.0), 1.0)
                off_x, off_y = one_x + part * along_x, one_y + part * along_y
                off = off_x * off_x + off_y * off_y
                if off < best:
                    best = off
                    near = group
        last = near
        away[i] = np.sqrt(best)
