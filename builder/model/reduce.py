"""Fewer faces for meshes that hold more than a plate can show."""

from __future__ import annotations

from typing import Any

import fast_simplification
import numpy as np
import trimesh
from scipy.spatial import cKDTree

from builder.arrays import Floats
from builder.model.sheets import without_doubles, without_fins
from builder.model.triangles import Triangles

MOST_FACES = 400_000
"""A plate of 2400 x 3000 px shows a face of such a model on some nine pixels."""

_SAMPLES = 60_000
"""Points measured each way."""
_NEAREST = 12
"""Faces tried for each point, those with the nearest middles."""


def reduced(triangles: Triangles, most: int = MOST_FACES) -> tuple[Triangles, float]:
    """At most about ``most`` faces, and the greatest distance measured between the two surfaces, in their unit.

    Edges collapse where they change the shape least (Garland and Heckbert 1997, quadric error), by fast_simplification.
    A mesh that is small enough comes back as it is, at distance 0. Collapsing may leave faces that stand twice or stick
    out; they are taken off again.
    """
    if len(triangles.faces) <= most:
        return triangles, 0.0
    vertices, faces = fast_simplification.simplify(
        np.ascontiguousarray(triangles.vertices, np.float64),
        np.ascontiguousarray(triangles.faces, np.int32),
        target_count=most,
    )[:2]
    fewer = Triangles(vertices, faces)
    a, b, c = fewer.faces.T
    fewer = without_fins(without_doubles(fewer.chosen((a != b) & (b != c) & (c != a))))
    return fewer, max(farthest(triangles.vertices, fewer), farthest(fewer.vertices, triangles))


def farthest(points: Floats, surface: Triangles) -> float:
    """Greatest distance from points (n, 3) to a surface; evenly chosen ones of many are measured.

    Each is measured exactly to the faces with the nearest middles, so the result is never below that of the points
    measured.
    """
    chosen = points[:: max(1, len(points) // _SAMPLES)]
    corners = surface.vertices[surface.faces]
    tries = min(_NEAREST, len(corners))
    _, near = cKDTree(corners.mean(axis=1)).query(chosen, k=tries)
    closest_point: Any = trimesh.triangles.closest_point
    nearest = np.full(len(chosen), np.inf)
    for column in np.reshape(near, (len(chosen), tries)).T:
        foot = closest_point(corners[column], chosen)
        nearest = np.minimum(nearest, np.linalg.norm(foot - chosen, axis=1))
    return float(nearest.max())
