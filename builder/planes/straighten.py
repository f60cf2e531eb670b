"""Borders between planes drawn straight: a torn border costs more than it gains."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from builder.arrays import Bools, Floats
from builder.model.triangles import Indices
from builder.planes.energy import OFF_PLANE, gathered, planes_of
from builder.planes.skin import Skin

BORDER = 0.015
"""Cost of a border, for each length of it and each size of a plane."""
NARROW = 0.10
"""A patch narrower than so many sizes of a plane (twice its area over its perimeter) is a sliver."""
_SWEEPS = 40


@dataclass(frozen=True, slots=True, eq=False)
class Labelled:
    """A skin whose faces belong to planes: label (m,) 0..k-1; span (k,) which planes cross the mirror.

    Open sides of a half body lie on the mirror: ``mirrored`` says so.
    """

    skin: Skin
    label: Indices
    span: Bools
    mirrored: bool

    @property
    def planes(self) -> int:
        """How many planes they are in the whole body."""
        return len(self.span) + int(self.mirrored) * int((~self.span).sum())

    def sides(self) -> Floats:
        """(m, 3) length of each side, from corner k to the next, in the skin's unit."""
        corners = self.skin.vertices[self.skin.faces]
        long: Floats = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2)
        return long


def straightened(labelled: Labelled, sums: Floats, size: Floats) -> Labelled:
    """The labels with borders as short as the form allows, in one piece each, without slivers.

    Each face in turn takes the label among its neighbours' that costs least (iterated conditional modes, Besag 1986, on
    a Potts model), planes being fitted anew after each sweep. sums (m, 13) of the faces, weighted as when they were
    gathered; size (m,) of a plane there, in the skin's unit.
    """
    label = labelled.label.copy()
    sides = labelled.sides()
    weighed = np.maximum(sums[:, 0], 1e-300)[:, None]
    normals, middles = sums[:, 1:4] / weighed, sums[:, 4:7] / weighed
    for _ in range(_SWEEPS):
        planes, centres = planes_of(gathered(sums, label, len(labelled.span)), labelled.span)
        changed = _sweep(
            labelled.skin.beside,
            label,
            sums[:, 0],
            normals,
            middles,
            sides,
            BORDER * size,
            planes,
            centres,
            labelled.span,
            labelled.mirrored,
            OFF_PLANE,
        )
        if changed == 0:
            break
    return tidy(Labelled(labelled.skin, label, labelled.span, labelled.mirrored), size)


@njit(cache=True, nogil=True)
def _sweep(
    beside: Any,
    label: Any,
    area: Any,
    normals: Any,
    middles: Any,
    sides: Any,
    toll: Any,
    planes: Any,
    centres: Any,
    span: Any,
    mirrored: bool,
    off_plane: float,
) -> Any:
    """Give each face in turn the best label among its own and its neighbours'; return how many changed."""
    changed = 0
    for f in range(len(label)):
        best, least = label[f], np.inf
        for k in range(-1, 3):
            one = label[f]
            if k >= 0:
                if beside[f, k] < 0 or label[beside[f, k]] == label[f]:
                    continue
                one = label[beside[f, k]]
            turn, off = 0.0, 0.0
            for j in range(3):
                turn += normals[f, j] * planes[one, j]
                off += (middles[f, j] - centres[one, j]) * planes[one, j]
            cost = area[f] * (2.0 - 2.0 * turn + off_plane * off * off)
            for j in range(3):
                if beside[f, j] >= 0:
                    if label[beside[f, j]] != one:
                        cost += toll[f] * sides[f, j]
                elif mirrored and not span[one]:
                    cost += 0.5 * toll[f] * sides[f, j]
            if cost < least - 1e-15:
                best, least = one, cost
        if best != label[f]:
            label[f] = best
            changed += 1
    return changed


def tidy(labelled: Labelled, size: Floats) -> Labelled:
    """Every label in one piece, none a sliver, numbered without gaps; one that left the mirror does not cross it."""
    skin, sides = labelled.skin, labelled.sides()
    corners = skin.vertices[skin.faces]
    areas = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1) / 2
    piece = pieces(skin, labelled.label)
    extent = np.bincount(piece, areas)
    # the largest piece of each label stays, the others are given away like slivers
    owner = np.zeros(len(extent), np.int64)
    owner[piece] = labelled.label
    order = np.lexsort((np.arange(len(extent)), -extent, owner))
    lost = np.ones(len(extent), np.bool_)
    lost[order[np.flatnonzero(np.diff(owner[order], prepend=-1))]] = False
    bodies = skin.bodies()
    while True:
        piece, owner, lost, joined = _given_away(skin, sides, areas, size, piece, owner, lost, bodies)
        if not joined:
            break
    kept, label = np.unique(owner[piece], return_inverse=True)
    label = label.ravel()
    on_seam = np.zeros(len(kept), np.bool_)
    on_seam[label[(skin.beside < 0).any(axis=1)]] = True
    return Labelled(skin, label, labelled.span[kept] & on_seam, labelled.mirrored)


def _given_away(
    skin: Skin,
    sides: Floats,
    areas: Floats,
    size: Floats,
    piece: Indices,
    owner: Indices,
    lost: Bools,
    bodies: Indices,
) -> tuple[Indices, Indices, Bools, bool]:
    """Give the least of the lost pieces and slivers to the neighbour with which it shares the longest border."""
    count = len(owner)
    face, side = np.nonzero(skin.beside >= 0)
    here, there = piece[face], piece[skin.beside[face, side]]
    across = here != there
    border = coo_array((sides[face, side][across], (here[across], there[across])), shape=(count, count)).tocsr()
    edge = np.asarray(border.sum(axis=1)).ravel()
    extent = np.bincount(piece, areas, count)
    large = np.bincount(piece, size * areas, count) / np.maximum(extent, 1e-300)
    narrow = (2 * extent < NARROW * large * edge) | lost
    body = np.zeros(count, np.int64)
    body[piece] = bodies
    present = np.bincount(piece, minlength=count) > 0
    many = np.bincount(body[present & ~lost], minlength=int(bodies.max()) + 1)
    narrow &= present & (edge > 0) & (lost | (many[body] > 4))
    if not narrow.any():
        return piece, owner, lost, False
    least = int(np.flatnonzero(narrow)[np.argmin(extent[narrow])])
    row = slice(border.indptr[least], border.indptr[least + 1])
    to = int(border.indices[row][np.argmax(border.data[row])])
    piece = np.where(piece == least, to, piece)
    return piece, owner, lost, True


def pieces(skin: Skin, label: Indices) -> Indices:
    """(m,) the connected piece of its label that each face belongs to."""
    count = len(skin.faces)
    face, side = np.nonzero(skin.beside >= 0)
    other = skin.beside[face, side]
    same = label[face] == label[other]
    joined = coo_array((np.ones(int(same.sum()), np.int8), (face[same], other[same])), shape=(count, count))
    return np.asarray(connected_components(joined, directed=False)[1], np.int64)
