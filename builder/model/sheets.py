"""Faces that bound nothing: the same face twice, and fins that stick out of the surface."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from builder.arrays import Bools
from builder.model.alike import first_alike
from builder.model.triangles import Edges, Indices, Triangles, edges_of

_ROUNDS = 20
"""Removing a fin can lay bare another; scans have been seen to need two rounds."""


def without_doubles(triangles: Triangles) -> Triangles:
    """Each face once, whichever way round it was wound; the first of each stays."""
    first = first_alike(np.sort(triangles.faces, axis=1))
    keep: Bools = first == np.arange(len(first))
    return triangles if keep.all() else triangles.chosen(keep)


def without_fins(triangles: Triangles) -> Triangles:
    """The surface without the sheets that hang on it at edges where more than two faces meet.

    The surface is cut into patches at those edges. Smallest first, a patch goes if it hangs on the rest at an edge with
    an odd number of faces, and none of its edges is left with one face only by its going: a flap, a skin within, a
    stray face across a closed surface. Bodies that merely touch along an edge stay.
    """
    for _ in range(_ROUNDS):
        edges = edges_of(triangles)
        crowded = edges.count > 2
        if not crowded.any():
            break
        gone = _hanging(triangles, edges, crowded)
        if not gone.any():
            break
        triangles = triangles.chosen(~gone)
    return triangles


def _hanging(triangles: Triangles, edges: Edges, crowded: Bools) -> Bools:
    """(m,) the faces of patches that hang on the rest."""
    count = len(triangles.faces)
    one, other = (sides // 3 for sides in edges.pairs())
    joined = coo_array((np.ones(len(one), np.int8), (one, other)), shape=(count, count))
    patches, patch = connected_components(joined, directed=False)
    sides: Indices = np.flatnonzero(crowded[edges.edge])
    touching = np.unique(patch[sides // 3])
    areas = np.bincount(patch, triangles.areas(), patches)
    by_patch = {int(p): edges.edge[sides[patch[sides // 3] == p]] for p in touching}
    left = edges.count.copy()
    largest = int(areas.argmax())
    gone = np.zeros(patches, np.bool_)
    for p in touching[np.lexsort((touching, areas[touching]))]:
        own, times = np.unique(by_patch[int(p)], return_counts=True)
        after = left[own] - times
        if p != largest and (left[own] % 2 == 1).any() and (after != 1).all():
            gone[p] = True
            left[own] = after
    return np.asarray(gone[patch])
