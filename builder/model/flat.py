"""Triangles that fill rings in a plane, with the rings' own points and no others."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from scipy.spatial import cKDTree

from builder.arrays import Floats
from builder.model.triangles import Indices


def filled(rings: Sequence[Indices], places: Floats) -> Indices:
    """(m, 3) triangles, counter-clockwise, of what lies inside an odd number of rings.

    ``rings`` number rows of ``places`` (n, 2); none crosses itself or another. Every side of a ring is the side of a
    triangle, also where three of its points lie on a line (constrained Delaunay triangulation, by GEOS). A ring that
    does cross itself or another is left out.
    """
    polygons = [shapely.Polygon(places[ring]) for ring in rings]
    sound = [k for k, polygon in enumerate(polygons) if polygon.is_valid and polygon.area > 0]
    if not sound:
        return np.zeros((0, 3), np.int64)
    shapes = [polygons[k] for k in sound]
    tree = shapely.STRtree(shapes)
    within, around = tree.query(shapes, predicate="within")
    inside = [set(around[(within == k) & (around != k)].tolist()) for k in range(len(shapes))]
    pieces = [np.zeros((0, 3), np.int64)]
    for k, outer in enumerate(shapes):
        if len(inside[k]) % 2:
            continue
        own = [j for j, outers in enumerate(inside) if k in outers and len(outers) == len(inside[k]) + 1]
        area = shapely.Polygon(outer.exterior.coords, [shapes[j].exterior.coords for j in own])
        if area.is_valid:
            pieces.append(_triangles(area, np.concatenate([rings[sound[j]] for j in (k, *own)]), places))
    return np.concatenate(pieces)


def _triangles(area: shapely.Polygon, known: Indices, places: Floats) -> Indices:
    """The triangles of one area whose corners are the ``known`` rows of ``places``."""
    triangles = shapely.constrained_delaunay_triangles(area).geoms
    corners = np.array([shapely.get_coordinates(triangle)[:3] for triangle in triangles])
    _, row = cKDTree(places[known]).query(corners.reshape(-1, 2))
    faces: Indices = known[row].reshape(-1, 3)
    a, b, c = (places[faces[:, k]] for k in range(3))
    turned = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0] < 0
    return np.where(turned[:, None], faces[:, ::-1], faces)
