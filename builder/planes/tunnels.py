"""Tunnels too narrow for planes closed before a body is divided, as a carver leaves them in the block."""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy import ndimage
from skimage.measure import marching_cubes

from builder.arrays import Floats
from builder.model.boxes import boxed
from builder.model.spread import spread
from builder.model.triangles import Triangles
from builder.planes.skin import Skin, sewn

REACHES = (0.05, 0.035, 0.02, 0.01)
"""Tunnels narrower than twice so many diagonals are closed, by the least of these that closes as many as the first."""
_STEPS = 80
"""Steps of the grid along the diagonal."""
_EDGE = 3
"""Empty steps of the grid round the body, beyond the reach."""
_SAMPLES = 200_000
_EXACT = 2.5
"""Within so many steps of the surface its distance is exact."""
_NEAR = 0.51
"""Points farther than so many steps from the surface have no neighbour on its other side."""


def without_tunnels(skin: Skin) -> Skin:
    """The skin of a single closed body with its narrow tunnels filled; itself where there is none to fill.

    What a ball of the reach cannot enter from outside is filled (closing, Serra 1982), on a grid; elsewhere the surface
    lies where it lay, to a fraction of a step. A tunnel wider than the greatest reach stays open.
    """
    if not skin.closed or skin.euler >= 2 or int(skin.bodies().max()) > 0:
        return skin
    size = float(np.linalg.norm(np.ptp(skin.vertices, axis=0)))
    step = size / _STEPS
    origin, away = _away(skin, step, REACHES[0] * size)
    best = skin
    for reach in REACHES:
        filled = _surface(_filled(away, reach * size, step), origin, step)
        if not filled.closed or filled.euler < best.euler or filled.euler == skin.euler:
            break
        best = filled
    return best


def _away(skin: Skin, step: float, reach: float) -> tuple[Floats, Floats]:
    """The first point of a grid round the skin, and the distance of each point from it (a, b, c), negative inside."""
    low, high = skin.vertices.min(axis=0), skin.vertices.max(axis=0)
    origin = low - reach - _EDGE * step
    shape = tuple(np.ceil((high - low + 2 * reach + 2 * _EDGE * step) / step).astype(int).tolist())
    on = np.zeros(shape, np.bool_)
    on[tuple(np.rint((spread(skin.vertices, skin.faces, _SAMPLES) - origin) / step).astype(int).T)] = True
    away: Floats = ndimage.distance_transform_edt(~on) * step
    near = np.nonzero(away <= _EXACT * step)
    points = origin + step * np.stack(near, axis=1)
    foot, face, gap = boxed(skin.vertices, skin.faces).nearest(points)
    looks = Triangles(skin.vertices, skin.faces).crosses()[face]
    inside = np.zeros(shape, np.bool_)
    inside[near] = np.einsum("ij,ij->i", points - foot, looks) < 0.0
    away[near] = gap
    # the face next to a point says on which side it is only where it is near: at a sharp edge it may be either
    groups, _ = ndimage.label(away > _NEAR * step)
    inside = np.where(groups == 0, inside, groups != groups[0, 0, 0])
    return origin, np.where(inside, -away, away)


def _filled(away: Floats, reach: float, step: float) -> Floats:
    """The distances from the body with all filled that a ball of the reach cannot enter."""
    depth: Floats = ndimage.distance_transform_edt(away <= reach) * step
    closing: Floats = np.minimum(away, ndimage.gaussian_filter(reach - depth, 1.0))
    return closing


def _surface(field: Floats, origin: Floats, step: float) -> Skin:
    """The outer surface where the field passes from negative to positive: marching cubes (Lewiner and others 2003)."""
    cubes: Any = marching_cubes
    least = 1e-3 * step
    field = np.where(np.abs(field) < least, np.where(field < 0, -least, least), field)
    points, faces, _, _ = cubes(field, 0.0, gradient_direction="descent")
    found = sewn(Triangles(origin + step * points.astype(np.float64), faces.astype(np.int64)))
    body = found.bodies()
    if body.max() == 0:
        return found
    # hollows inside are bodies of their own
    outer = int(np.argmax(np.bincount(body)))
    return sewn(Triangles(found.vertices, found.faces).chosen(body == outer))
