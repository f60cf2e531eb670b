"""Points that lie on one another made one, so that faces which touch also share edges."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from builder.model.alike import first_alike
from builder.model.triangles import Triangles, edges_of

TOLERANCES = (1e-7, 1e-6, 1e-5)
"""Growing distances, in sizes of the mesh, within which points are made one while edges stay open: 3 µm on a 300 mm
bust at the most, far below what a scan resolves, and above the last digits that float32 and text files lose.
"""


def welded(triangles: Triangles) -> Triangles:
    """The triangles with points that coincide made one.

    Points that are equal always are; where edges are open then, points a little apart too, by the smallest of
    :data:`TOLERANCES` that leaves the fewest edges open. Faces that shrink to a line or point by it are left out.
    """
    best = _without_shrunk(_equal_ones_joined(triangles))
    least = _open_edges(best)
    for tolerance in TOLERANCES:
        if least == 0:
            break
        wider = _within(best, tolerance * triangles.size)
        remaining = _open_edges(wider)
        if remaining < least:
            best, least = wider, remaining
    return best


def _equal_ones_joined(triangles: Triangles) -> Triangles:
    """The triangles with equal points made one, its points in the order of x, then y, then z."""
    first = first_alike(triangles.vertices)
    own = np.flatnonzero(first == np.arange(len(first)))
    order = own[np.lexsort(triangles.vertices[own].T[::-1])]
    place = np.zeros(len(first), np.int64)
    place[order] = np.arange(len(order))
    return Triangles(triangles.vertices[order], place[first[triangles.faces]])


def _open_edges(triangles: Triangles) -> int:
    """How many edges have a gap beside them."""
    return int((~edges_of(triangles).balanced).sum())


def _within(triangles: Triangles, distance: float) -> Triangles:
    """The triangles with points that lie within a distance of one another, or of others that do, made one."""
    count = len(triangles.vertices)
    pairs = cKDTree(triangles.vertices).query_pairs(distance, output_type="ndarray")
    if len(pairs) == 0:
        return triangles
    joined = coo_array((np.ones(len(pairs), np.int8), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    groups, group = connected_components(joined, directed=False)
    weight = np.bincount(group, minlength=groups)
    sums = [np.bincount(group, triangles.vertices[:, axis], groups) for axis in range(3)]
    return _without_shrunk(Triangles(np.stack(sums, axis=1) / weight[:, None], group[triangles.faces]))


def _without_shrunk(triangles: Triangles) -> Triangles:
    """Only the faces that have three different corners."""
    a, b, c = triangles.faces.T
    return triangles.chosen((a != b) & (b != c) & (c != a))
