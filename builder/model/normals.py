"""Shading normals that are smooth across the form and break at its creases."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from builder.arrays import Floats, frozen
from builder.model.triangles import Corners, Edges, Indices, Triangles, edges_of

_SLIVER = 1e-12
"""Twice the area over the square of the longest side below which a face has no direction of its own."""


@dataclass(frozen=True, slots=True, eq=False)
class Shaded:
    """Triangles with a unit normal at each vertex; vertices are split where a crease gives a point several normals.

    vertices, normals (n, 3) float64; faces (m, 3) int32; point (n,) int32, equal where vertices lie on one point.
    """

    vertices: Floats
    faces: Corners
    normals: Floats
    point: Corners

    def __post_init__(self) -> None:
        """Freeze the arrays and check that they belong together."""
        object.__setattr__(self, "vertices", frozen(self.vertices, "f8", (None, 3)))
        object.__setattr__(self, "faces", frozen(self.faces, "i4", (None, 3)))
        object.__setattr__(self, "normals", frozen(self.normals, "f8", (len(self.vertices), 3)))
        object.__setattr__(self, "point", frozen(self.point, "i4", (len(self.vertices),)))


def shaded(triangles: Triangles, crease_deg: float) -> Shaded:
    """The triangles with smooth normals that break at edges which bend by more than ``crease_deg``.

    The faces round a point are grouped by the edges there that bend less; each group has one normal, the mean of its
    faces' weighted by their angles at the point (Thürmer and Wüthrich 1998). A face that this mean would look away from
    keeps its own. Slivers take the direction of the neighbour across their longest side.
    """
    edges = edges_of(triangles)
    direction = _directions(triangles, edges)
    count = len(triangles.faces)
    one, other = edges.pairs()
    smooth = np.einsum("ij,ij->i", direction[one // 3], direction[other // 3]) >= np.cos(np.radians(crease_deg))
    one, other = one[smooth], other[smooth]
    # side s runs from corner s to the next of its face; the two sides of an edge run against each other or, in a
    # one-sided surface, along
    against = edges.forward[one] != edges.forward[other]
    one_end, other_end = _next(one), _next(other)
    rows = np.concatenate([one, one_end])
    columns = np.concatenate([np.where(against, other_end, other), np.where(against, other, other_end)])
    joined = coo_array((np.ones(len(rows), np.int8), (rows, columns)), shape=(3 * count, 3 * count))
    groups, group = connected_components(joined, directed=False)
    corner_point = triangles.faces.ravel()
    point = np.zeros(groups, np.int64)
    point[group] = corner_point
    # vertices in the order of the points they split
    order = np.argsort(point, kind="stable")
    place = np.zeros(groups, np.int64)
    place[order] = np.arange(groups)
    vertex = place[group]
    weights = (corner_angles(triangles)[:, :, None] * direction[:, None, :]).reshape(-1, 3)
    sums = np.stack([np.bincount(vertex, weights[:, k], groups) for k in range(3)], axis=1)
    first = np.zeros(groups, np.int64)
    first[vertex[::-1]] = np.arange(3 * count)[::-1] // 3
    length = np.linalg.norm(sums, axis=1, keepdims=True)
    normals = np.where(length > 1e-9, sums / np.maximum(length, 1e-9), direction[first])
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    points = point[order]
    # round a sharp point faces that bend little each may add up until the mean lies behind one of them: it stays flat
    facing = np.repeat(direction, 3, axis=0)
    behind = np.flatnonzero(np.einsum("ij,ij->i", facing, normals[vertex]) <= 0.0)
    vertex[behind] = groups + np.arange(len(behind))
    normals = np.concatenate([normals, facing[behind]])
    points = np.concatenate([points, corner_point[behind]])
    return Shaded(triangles.vertices[points], vertex.reshape(-1, 3), normals, points)


def _next(side: Indices) -> Indices:
    """The corner at the end of a side."""
    return np.asarray(side - side % 3 + (side + 1) % 3)


def _directions(triangles: Triangles, edges: Edges) -> Floats:
    """(m, 3) unit normals of the faces; none is zero."""
    cross = triangles.crosses()
    corners = triangles.vertices[triangles.faces]
    sides = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2)
    length = np.linalg.norm(cross, axis=1)
    plain = length > _SLIVER * sides.max(axis=1) ** 2
    direction: Floats = cross / np.where(plain, length, 1.0)[:, None]
    direction[~plain] = 0.0
    if plain.all():
        return direction
    across = np.full(3 * len(triangles.faces), -1)
    one, other = edges.pairs()
    across[one], across[other] = other // 3, one // 3
    slivers = np.flatnonzero(~plain)
    over = across[3 * slivers + sides[slivers].argmax(axis=1)]
    while len(slivers):
        ready = (over >= 0) & (np.abs(direction[over]).max(axis=1) > 0)
        direction[slivers[ready]] = direction[over[ready]]
        slivers, over = slivers[~ready], over[~ready]
        if not ready.any():
            direction[slivers] = (0.0, 0.0, 1.0)
            break
    return direction


def corner_angles(triangles: Triangles) -> Floats:
    """(m, 3) angle of each face at each of its corners, radians."""
    corners = triangles.vertices[triangles.faces]
    ahead = np.roll(corners, -1, axis=1) - corners
    behind = np.roll(corners, 1, axis=1) - corners
    sine = np.linalg.norm(np.cross(ahead, behind), axis=2)
    return np.asarray(np.arctan2(sine, np.einsum("ijk,ijk->ij", ahead, behind)), np.float64)
