"""Bare triangles on their way to becoming a model, and the edges between them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
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
    faces = corners.astype(np.int64)
    start = faces.ravel()
    end = np.roll(faces, -1, axis=1).ravel()
    low, high = np.minimum(start, end), np.maximum(start, end)
    keys = low * max(points, 1) + high
    order = np.argsort(keys, kind="stable")
    fresh = np.ones(len(keys), np.bool_)
    fresh[1:] = keys[order][1:] != keys[order][:-1]
    first = np.flatnonzero(fresh)
    edge = np.zeros(len(keys), np.int64)
    edge[order] = np.cumsum(fresh) - 1
    count = np.diff(np.append(first, len(keys)))
    ends = np.stack([low[order][first], high[order][first]], axis=1)
    return Edges(ends, edge, start < end, count, order, first)
