"""Inside and outside of a form from its contours: signed distances, joined over the height.

Shape-based interpolation (Raya and Udupa 1990, Herman and others 1992; as Grevera and Udupa, IEEE Transactions on
Medical Imaging 15(6):881, 1996, describe it): each contour becomes the distance of every point of its plane from it,
negative inside, and the distances of neighbouring contours are joined. Rings may be many, have holes, part and merge.
Here each point's distances are joined over the height by cubics with the slopes of :func:`slopes`.

Nothing here keeps a cubic between its ends: :mod:`builder.sections.faired` does, and shows why the form does not swell.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numba import njit
from scipy.interpolate import CubicHermiteSpline

from builder.arrays import Bools, Floats, Singles
from builder.sections.lattice import Lattice
from builder.sections.sections import Contour

GENTLE = 0.3
"""A form's rise may change by so much at a contour, in mm aside for one up, and still count as round."""
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
    return levels, joined(levels, lattice.layers_mm[lattice.at], layers)


def slopes(values: Floats, heights_mm: Floats) -> Floats:
    """Slopes (k, ...) over the height of values (k, ...) known at heights (k,), the secant's at the ends.

    Where the secants on both sides, a and b, are alike, the slope is that of the parabola through three neighbours.
    Where they differ by more than :data:`GENTLE`, as at a ledge, it is ab(a + b) / (a^2 + b^2), and nothing where they
    disagree in sign, so that the curve does not swing past its points (van Albada and others, Astronomy and
    Astrophysics 108:76, 1982, from memory).
    """
    gaps = np.diff(heights_mm).reshape(-1, *(1,) * (values.ndim - 1))
    secants = np.diff(values, axis=0) / gaps
    before, after = secants[:-1], secants[1:]
    parabola = (gaps[1:] * before + gaps[:-1] * after) / (gaps[1:] + gaps[:-1])
    held = (before * after).clip(min=0.0) * (before + after) / np.maximum(before**2 + after**2, 1e-12)
    gentle = np.exp(-0.5 * np.square((after - before) / GENTLE))
    return np.concatenate([secants[:1], gentle * parabola + (1.0 - gentle) * held, secants[-1:]])


def joined(values: Floats, heights_mm: Floats, layers_mm: Floats) -> Singles:
    """Values (k, b, ...) known at heights (k,), at layers (n,) between the first and the last of them, (n, b, ...)."""
    slope = slopes(values, heights_mm)
    through = np.zeros((len(layers_mm), *values.shape[1:]), np.float32)
    for row in range(values.shape[1]):  # all at once would take many times the room
        through[:, row] = CubicHermiteSpline(heights_mm, values[:, row], slope[:, row])(layers_mm)
    return through


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
