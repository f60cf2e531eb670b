"""Fewer faces for meshes that hold more than a plate can show."""

from __future__ import annotations

from typing import Any

import fast_simplification
import numpy as np
import trimesh
from scipy.spatial import cKDTree

from builder.arrays import Floats
from builder.model.sheets import without_doubles, without_fins
from builder.model.triangles import Corners, Triangles

MOST_FACES = 300_000
"""A plate of 2400 x 3000 px shows a face of such a model on some twelve pixels."""

_SAMPLES = 60_000
"""Points measured each way."""
_NEAREST = 12
"""Faces tried first for each point, those with the nearest middles."""
_TOGETHER = 32
"""Points measured to all faces in reach before looking whether any other could be farther."""


def reduced(triangles: Triangles, most: int = MOST_FACES) -> tuple[Triangles, float]:
    """At most about ``most`` faces, and the greatest distance measured between the two surfaces, in their unit.

    Edges collapse where they change the shape least (Garland and Heckbert 1997, quadric error), by fast_simplification.
    A mesh that is small enough comes back as it is, at distance 0. Collapsing may leave faces that stand twice or stick
    out; they are taken off again.
    """
    if len(triangles.faces) <= most:
        return triangles, 0.0
    vertices, faces = fast_simplification.simplify(
        np.array(triangles.vertices, np.float64),
        np.array(triangles.faces, np.int32),
        target_count=most,
    )[:2]
    fewer = Triangles(vertices, faces)
    a, b, c = fewer.faces.T
    fewer = without_fins(without_doubles(fewer.chosen((a != b) & (b != c) & (c != a))))
    return fewer, max(farthest(triangles.vertices, fewer), farthest(fewer.vertices, triangles))


def farthest(points: Floats, surface: Triangles) -> float:
    """Greatest distance from points (n, 3) to a surface; evenly chosen ones of many are measured, each exactly.

    The faces with the nearest middles bound each point's distance from above; starting from the greatest bound, points
    are then measured to every face that could be nearer, until no bound is greater than the greatest distance found.
    """
    chosen = points[:: max(1, len(points) // _SAMPLES)]
    corners = surface.vertices[surface.faces]
    middles = corners.mean(axis=1)
    reach = float(np.linalg.norm(corners - middles[:, None], axis=2).max())
    tree = cKDTree(middles)
    tries = min(_NEAREST, len(corners))
    _, near = tree.query(chosen, k=tries)
    bound = _distances(chosen, corners, np.reshape(near, (len(chosen), tries)))
    order = np.argsort(-bound, kind="stable")
    greatest = 0.0
    for start in range(0, len(order), _TOGETHER):
        some = order[start : start + _TOGETHER]
        if bound[some[0]] <= greatest:
            break
        for one, faces in zip(some, tree.query_ball_point(chosen[some], bound[some] + reach), strict=True):
            exact = _distances(chosen[one : one + 1], corners, np.array([faces]))
            greatest = max(greatest, float(min(exact[0], bound[one])))
    return greatest


def _distances(points: Floats, corners: Floats, faces: Corners) -> Floats:
    """(n,) distance from each point (n, 3) to the nearest of its own faces (n, k); ``corners`` (m, 3, 3) of all."""
    closest_point: Any = trimesh.triangles.closest_point
    count, tries = faces.shape
    repeated = np.repeat(points, tries, axis=0)
    foot = closest_point(corners[faces.ravel()], repeated)
    nearest: Floats = np.linalg.norm(foot - repeated, axis=1).reshape(count, tries).min(axis=1)
    return nearest
