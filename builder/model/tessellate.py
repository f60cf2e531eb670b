"""Faces cut smaller where they are too large to carry light on their corners."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from builder.arrays import Bools, Floats
from builder.model.normals import Shaded
from builder.model.triangles import Indices, edges_among

Limit = Callable[[Floats], Floats]
"""The longest edge allowed, in mm, for edges whose middles are at these points (n, 3)."""

_ROUNDS = 24
"""Each round halves every long edge, so that even a face a million times too large comes out small."""


def cut(surface: Shaded, limit: Limit | float, unseen: Bools | None = None) -> Shaded:
    """The surface with every edge longer than ``limit`` halved until none is.

    A face with one long edge becomes two, with two long edges three, with three four. Whether an edge is cut depends on
    its ends alone, so neighbours agree, also across a crease, and no point lies on the middle of another face's edge.
    Normals of new vertices are the mean of those at the ends. Edges between two faces marked in ``unseen`` (m,) stay
    as long as they are.
    """
    vertices, normals, point = surface.vertices, surface.normals, surface.point.astype(np.int64)
    faces = surface.faces.astype(np.int64)
    hidden = np.zeros(len(faces), np.bool_) if unseen is None else unseen
    settled: list[Indices] = []
    for _ in range(_ROUNDS):
        edges = edges_among(faces, len(vertices))
        a, b = edges.ends.T
        middle = (vertices[a] + vertices[b]) / 2
        most = limit(middle) if callable(limit) else limit
        long: Bools = np.linalg.norm(vertices[a] - vertices[b], axis=1) > most
        if hidden.any():
            long &= _seen(point[edges.ends], edges.edge, hidden)
        # a face without a long edge never gets one: whether an edge is long is its own affair
        side = edges.edge.reshape(-1, 3)
        cuts = long[side].sum(axis=1)
        settled.append(faces[cuts == 0])
        if not long.any():
            break
        new = np.full(len(long), -1)
        new[long] = len(vertices) + np.arange(int(long.sum()))
        vertices = np.concatenate([vertices, middle[long]])
        normals = np.concatenate([normals, _between(normals[a[long]], normals[b[long]])])
        point = np.concatenate([point, _twins(point[edges.ends[long]]) + int(point.max()) + 1])
        cut_here = cuts > 0
        faces = _pieces(faces[cut_here], new[side[cut_here]], vertices)
        hidden = np.repeat(hidden[cut_here], cuts[cut_here] + 1)
    else:
        settled.append(faces)
    return Shaded(vertices, np.concatenate(settled), normals, point)


def _seen(ends: Indices, edge: Indices, hidden: Bools) -> Bools:
    """(e,) whether a face that is seen lies at each edge, or at its twin on the other side of a crease; ``ends`` (e, 2)
    are points.
    """
    seen = np.bincount(edge[~np.repeat(hidden, 3)], minlength=len(ends)) > 0
    twin = _twins(ends)
    return np.asarray((np.bincount(twin, seen) > 0)[twin])


def _twins(ends: Indices) -> Indices:
    """(e,) numbers for edges between points (e, 2), equal where edges join the same points."""
    keys = ends.min(axis=1) * (int(ends.max(initial=0)) + 1) + ends.max(axis=1)
    return np.asarray(np.unique(keys, return_inverse=True)[1], np.int64)


def _between(one: Floats, other: Floats) -> Floats:
    """Unit normals half-way between two; the first where they are opposite."""
    both = one + other
    length = np.linalg.norm(both, axis=1, keepdims=True)
    halfway: Floats = np.where(length > 1e-9, both / np.maximum(length, 1e-9), one)
    return halfway


def _pieces(faces: Indices, new: Indices, vertices: Floats) -> Indices:
    """The faces cut at their new vertices, ``new`` (m, 3), -1 on sides that stay whole; pieces follow each other."""
    count = (new >= 0).sum(axis=1)
    # turn each face so that the cut sides come first: one cut side is side 0; of two, the whole side is side 2
    turn = np.zeros(len(faces), np.int64)
    turn[count == 1] = (new[count == 1] >= 0).argmax(axis=1)
    turn[count == 2] = ((new[count == 2] < 0).argmax(axis=1) + 1) % 3
    columns = (turn[:, None] + np.arange(3)) % 3
    (a, b, c), (ab, bc, ca) = np.take_along_axis(faces, columns, 1).T, np.take_along_axis(new, columns, 1).T
    pieces = np.full((len(faces), 4, 3), -1)
    none, one, two, three = (count == k for k in range(4))
    pieces[none, 0] = np.stack([a, b, c], 1)[none]
    pieces[one, 0] = np.stack([a, ab, c], 1)[one]
    pieces[one, 1] = np.stack([ab, b, c], 1)[one]
    # two cut sides: the corner between them, then the rest across its shorter diagonal
    pieces[two, 0] = np.stack([ab, b, bc], 1)[two]
    across = np.linalg.norm(vertices[a] - vertices[bc], axis=1) <= np.linalg.norm(vertices[ab] - vertices[c], axis=1)
    for mask, first, second in (
        (two & across, (a, ab, bc), (a, bc, c)),
        (two & ~across, (a, ab, c), (ab, bc, c)),
    ):
        pieces[mask, 1] = np.stack(first, 1)[mask]
        pieces[mask, 2] = np.stack(second, 1)[mask]
    for k, corners in enumerate(((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))):
        pieces[three, k] = np.stack(corners, 1)[three]
    flat = pieces.reshape(-1, 3)
    return flat[flat[:, 0] >= 0]
