"""Bare triangles on their way to becoming a model, and the edges between them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from builder.arrays import Bools, Floats, frozen

Indices = NDArray[np.int64]
Corners = NDArray[np.signedinteger[Any]]
"""Indices of any width; kept as int32."""


@dataclass(frozen=True, slots=True, eq=False)
class Triangles:
    """vertices (n, 3) float64; faces (m, 3) int32, each row three indices into the vertices."""

    vertices: Floats
    faces: Corners

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "vertices", frozen(self.vertices, "f8", (None, 3)))
        object.__setattr__(self, "faces", frozen(self.faces, "i4", (None, 3)))

    @property
    def extents(self) -> Floats:
        """(3,) lengths of the bounding box of the vertices."""
        lengths: Floats = np.ptp(self.vertices, axis=0)
        return lengths

    @property
    def size(self) -> float:
        """Greatest extent along an axis."""
        return float(self.extents.max())

    def crosses(self) -> Floats:
        """(m, 3) cross products of the first two sides: twice the area, along the outward normal."""
        a, b, c = (self.vertices[self.faces[:, k]] for k in range(3))
        product: Floats = np.cross(b - a, c - a)
        return product

    def areas(self) -> Floats:
        """(m,) areas in the square of the vertices' unit."""
        return np.asarray(np.linalg.norm(self.crosses(), axis=1) / 2, np.float64)

    def volumes(self) -> Floats:
        """(m,) signed volumes of the tetrahedra from the mean vertex to each face (divergence theorem)."""
        if len(self.faces) == 0:
            return np.zeros(0)
        a, b, c = (self.vertices[self.faces[:, k]] - self.vertices.mean(axis=0) for k in range(3))
        return np.asarray(np.einsum("ij,ij->i", a, np.cross(b, c)) / 6, np.float64)

    def chosen(self, keep: Bools) -> Triangles:
        """Only the faces marked in ``keep`` (m,), and only the vertices that they use, in their old order."""
        faces = self.faces[keep]
        used = np.zeros(len(self.vertices), np.bool_)
        used[faces.ravel()] = True
        place = np.cumsum(used) - 1
        return Triangles(self.vertices[used], place[faces])


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """The edges of triangles. A side is face * 3 + k, from corner k of the face to the next.

    ends (e, 2), the lower vertex first; edge (3 m,) the edge of each side; forward (3 m,) whether the side runs from
    the lower vertex to the higher; count (e,) sides on each edge; order (3 m,) the sides sorted by their edge, first
    (e,) where each edge begins in ``order``.
    """

    ends: Indices
    edge: Indices
    forward: Bools
    count: Indices
    order: Indices
    first: Indices

    @property
    def balanced(self) -> Bools:
        """(e,) whether as many sides run one way along the edge as the other: no gap and no quarrel there."""
        sums = np.bincount(self.edge, np.where(self.forward, 1.0, -1.0), len(self.count))
        return np.asarray(sums == 0)

    @property
    def closed(self) -> bool:
        """Whether the triangles bound a volume: every edge is balanced."""
        return len(self.count) > 0 and bool(self.balanced.all())

    def pairs(self) -> tuple[Indices, Indices]:
        """The two sides of every edge that has exactly two, as two arrays."""
        first = self.first[self.count == 2]
        return self.order[first], self.order[first + 1]

    def neighbours(self) -> tuple[Indices, Indices]:
        """Sides that follow each other in ``order`` and share an edge: enough to join the faces round every edge."""
        same = self.edge[self.order[:-1]] == self.edge[self.order[1:]]
        return self.order[:-1][same], self.order[1:][same]


def edges_of(triangles: Triangles) -> Edges:
    """The edge table of ``triangles``."""
    return edges_among(triangles.faces, len(triangles.vertices))


def edges_among(corners: Corners, points: int) -> Edges:
    """The edge table of faces (m, 3) among so many points."""
    faces = np.ascontiguousarray(corners, np.int64).reshape(-1, 3)
    if len(faces) and not 0 <= int(faces.min()) <= int(faces.max()) < points:
        raise IndexError(f"a face names a point beyond {points}")
    ends, edge, forward, order, first = _edges(faces, points)
    return Edges(ends, edge, forward, np.diff(np.append(first, faces.size)), order, first)


@njit(cache=True, nogil=True)
def _edges(faces: Any, points: Any) -> Any:
    """Of :class:`Edges` all but ``count``: sides are counted out by their lower point, then sorted by their higher one
    among the few that share it, equal ones in their own order.
    """
    sides = 3 * len(faces)
    begin = np.zeros(points + 1, np.int64)
    forward = np.zeros(sides, np.bool_)
    for face in range(len(faces)):
        for k in range(3):
            start, end = faces[face, k], faces[face, (k + 1) % 3]
            forward[3 * face + k] = start < end
            begin[min(start, end) + 1] += 1
    for point in range(points):
        begin[point + 1] += begin[point]
    # higher point and side in one number each, so that sorting needs no second look
    keys = np.zeros(sides, np.int64)
    free = begin[:-1].copy()
    for face in range(len(faces)):
        for k in range(3):
            start, end = faces[face, k], faces[face, (k + 1) % 3]
            low = min(start, end)
            keys[free[low]] = (max(start, end) << 32) | (3 * face + k)
            free[low] += 1
    edge, order, first = np.zeros(sides, np.int64), np.zeros(sides, np.int64), np.zeros(sides, np.int64)
    ends = np.zeros((sides, 2), np.int64)
    edges = 0
    for low in range(points):
        here, stop = begin[low], begin[low + 1]
        # few share a point, or very many: by insertion at shrinking distances (Shell 1959)
        step = 1
        while 9 * step < stop - here:
            step = 3 * step + 1
        while step > 0:
            for place in range(here + step, stop):
                key, back = keys[place], place
                while back >= here + step and keys[back - step] > key:
                    keys[back] = keys[back - step]
                    back -= step
                keys[back] = key
            step //= 3
        for place in range(here, stop):
            side, high = keys[place] & 0xFFFFFFFF, keys[place] >> 32
            if place == here or high != keys[place - 1] >> 32:
                first[edges] = place
                ends[edges, 0], ends[edges, 1] = low, high
                edges += 1
            order[place] = side
            edge[side] = edges - 1
    return ends[:edges].copy(), edge, forward, order, first[:edges].copy()
