"""Planes that became slivers when their corners were seated, given to the planes beside them."""

from __future__ import annotations

import numpy as np

from builder.model.triangles import Indices, Triangles
from builder.planes.carve import Carved
from builder.planes.choose import carved_well
from builder.planes.divide import Division
from builder.planes.straighten import Labelled

LEAST = 0.03
"""A plane narrower than so many sizes of a plane (twice its area over its perimeter) is a sliver."""
SMALL = 0.25
"""Only planes of less than so many squares of that size are given away: without a larger one the form would suffer."""
_ROUNDS = 3


def carved_clean(division: Division, outer: Division | None, ground: float) -> tuple[Division, Carved]:
    """The division carved, without slivers: each has gone to a neighbour with the same parent in ``outer``.

    The biggest planes, which have no ``outer``, stay as they are: each of the few says what the form is.
    """
    for _ in range(_ROUNDS):
        carved = carved_well(division.labelled, division.size, ground)
        if outer is None:
            return division, carved
        joined = _joined(division, outer, slivers(carved, division))
        if joined is division:
            return division, carved
        division = joined
    return division, carved_well(division.labelled, division.size, ground)


def slivers(carved: Carved, division: Division) -> Indices:
    """The labels of planes too narrow to be drawn, the narrowest first."""
    count = len(division.labelled.span)
    corners = carved.vertices[carved.faces]
    double = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    area = np.bincount(carved.label, double / 2, count)
    ends = np.stack([carved.faces, np.roll(carved.faces, -1, axis=1)], axis=2).reshape(-1, 2)
    key = np.sort(ends, axis=1) @ np.array([len(carved.vertices), 1])
    long = np.linalg.norm(carved.vertices[ends[:, 0]] - carved.vertices[ends[:, 1]], axis=1)
    owner = np.repeat(carved.label, 3)
    # a side within a plane is there twice with the same label
    inner = np.unique(np.stack([key, owner], axis=1), axis=0, return_inverse=True, return_counts=True)
    alone = inner[2][inner[1].ravel()] == 1
    edge = np.bincount(owner[alone], long[alone], count)
    size = np.full(count, np.inf)
    np.minimum.at(size, division.labelled.label, division.size)
    width = 2 * area / np.maximum(edge, 1e-300) / size
    skin = division.labelled.skin
    under = np.linalg.norm(Triangles(skin.vertices, skin.faces).crosses(), axis=1) / 2
    small = np.bincount(division.labelled.label, under, count) < SMALL * size**2
    found = np.flatnonzero((width < LEAST) & small)
    return found[np.argsort(width[found], kind="stable")]


def _joined(division: Division, outer: Division, narrow: Indices) -> Division:
    """The division with each of the narrow labels joined to the one beside it with the longest common border."""
    labelled = division.labelled
    skin, label, span = labelled.skin, labelled.label.copy(), labelled.span.copy()
    parent = outer.labelled.label
    sides = labelled.sides()
    for one in narrow:
        mine = label == one
        if not mine.any():
            continue
        face, side = np.nonzero((skin.beside >= 0) & mine[:, None])
        other = skin.beside[face, side]
        fits = (label[other] != one) & (parent[other] == parent[face])
        if not fits.any():
            continue
        shared = np.bincount(label[other[fits]], sides[face[fits], side[fits]], len(span))
        to = int(np.argmax(shared))
        label[mine] = to
        span[to] |= span[one]
    if (label == labelled.label).all():
        return division
    kept, place = np.unique(label, return_inverse=True)
    return Division(Labelled(skin, place.ravel(), span[kept], labelled.mirrored), division.size)
