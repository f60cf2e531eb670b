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

import numpy as np
import shapely
from scipy.interpolate import PchipInterpolator
from scipy.spatial import KDTree

from builder.arrays import Bools, Floats, Singles
from builder.sections.lattice import Lattice
from builder.sections.sections import Contour

CLOSE = 0.25
"""Points along a ring, in steps of the grid, by which the nearest of its sides is found."""


def distances(rings: tuple[Floats, ...], points: Floats, step_mm: float) -> Floats:
    """Signed distances (...) mm of points (..., 2) from rings (n, 2), negative inside, to 0.02 ``step_mm``."""
    flat = points.reshape(-1, 2)
    starts = np.concatenate(rings)
    along = np.concatenate([np.roll(ring, -1, axis=0) - ring for ring in rings])
    long = np.linalg.norm(along, axis=1)
    count = np.maximum(np.ceil(long / (CLOSE * step_mm)).astype(np.int64), 1)
    side = np.repeat(np.arange(len(starts)), count)
    part = (np.arange(len(side)) - np.repeat(np.cumsum(count) - count, count)) / count[side]
    near = side[KDTree(starts[side] + part[:, None] * along[side]).query(flat)[1]]
    # the point of a side that is nearest may lie on the side before, where the two meet
    square = np.minimum(*(_to_side(flat, starts[one], along[one]) for one in (near, _before(rings)[near])))
    away = np.sqrt(square)
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
    levels = np.stack([distances(contour.rings, lattice.points, lattice.step_mm) for contour in contours])
    layers = lattice.layers_mm[lattice.at[0] : lattice.at[-1] + 1]
    heights = lattice.layers_mm[lattice.at]
    joined = np.zeros((len(layers), *levels.shape[1:]), np.float32)
    for row in range(levels.shape[1]):
        joined[:, row] = PchipInterpolator(heights, levels[:, row])(layers)
    return levels, joined


def _to_side(points: Floats, starts: Floats, along: Floats) -> Floats:
    """(n,) squared distances of points (n, 2) from a side each."""
    off = points - starts
    square = (along * along).sum(axis=1)
    part = np.clip((off * along).sum(axis=1) / np.where(square > 0, square, 1.0), 0.0, 1.0)
    rest: Floats = np.square(off - part[:, None] * along).sum(axis=1)
    return rest


def _before(rings: tuple[Floats, ...]) -> Floats:
    """(n,) the side before each side on its ring."""
    ends = np.cumsum([len(ring) for ring in rings])
    before = np.arange(ends[-1]) - 1
    before[[0, *ends[:-1]]] = ends - 1
    return before
