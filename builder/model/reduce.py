"""Fewer faces for meshes that hold more than a plate can show."""

from __future__ import annotations

import fast_simplification
import numpy as np

from builder.arrays import Floats
from builder.model.boxes import boxed
from builder.model.sheets import without_doubles, without_fins
from builder.model.triangles import Triangles

MOST_FACES = 300_000
"""A plate of 2400 x 3000 px shows a face of such a model on some twelve pixels."""


def reduced(triangles: Triangles, most: int = MOST_FACES) -> tuple[Triangles, float]:
    """At most about ``most`` faces, and the greatest distance of any point of either surface from the other one.

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
    """Greatest distance from points (n, 3) to a surface, each measured exactly."""
    return boxed(surface.vertices, surface.faces).farthest(points)
