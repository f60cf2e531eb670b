"""Corners moved to where their planes meet, and planes laid through their corners, in turns, until each is flat."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Floats
from builder.model.triangles import Corners, Indices

STAY = 0.05
"""Weight of a corner's old place against its planes: where they are nearly parallel it says where along them it is."""
FLAT = 0.02
"""A patch that lies within fewer of its own sizes of its plane (root mean square) was flat before and weighs more, by
the square of how much flatter it was: a slab's side stays upright, whatever leans on it. One of 60 patches of a ball
has this much.
"""
_TURNS = 12
_FLATTENING = 60
_EASE = 0.82
"""By how much the pull of what was there fades at each turn, once planes are to become flat."""
_SETTLED = 1e-6
_FIRMEST = 100.0
_FIXED = 1e6


@dataclass(frozen=True, slots=True, eq=False)
class Patches:
    """The surface under each plane: normals, centres (k, 3); moments (k, 3, 3), means of the products of distances from
    the centre; span (k,) those that cross the mirror.
    """

    normals: Floats
    centres: Floats
    moments: Floats
    span: Bools

    def firmness(self, areas: Floats) -> Floats:
        """(k,) how much more each plane weighs, from 1 up; ``areas`` (k,) of the patches."""
        off = np.einsum("ki,kij,kj->k", self.normals, self.moments, self.normals)
        return np.asarray(np.clip(FLAT**2 * areas / np.maximum(off, 1e-300), 1.0, _FIRMEST), np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class Seats:
    """What corners are seated on: the patches under the planes; firmness (k,) how much each plane weighs; fixed (n, 3)
    coordinates of corners that stay; room, two (n, 3), the least and the greatest that coordinates may be.
    """

    patches: Patches
    firmness: Floats
    fixed: Bools
    room: tuple[Floats, Floats]


def seated(vertices: Floats, faces: Corners, label: Indices, seats: Seats, farthest: Floats) -> tuple[Floats, Floats]:
    """The corners (n, 3) on their planes, and the normals (k, 3) of the planes as they then lie.

    faces (m, 3) of planes only, ``label`` (m,) theirs; farthest (n,) that a corner may move. Planes start as given and
    give way to what their corners allow.
    """
    patches = seats.patches
    pair = np.unique(np.stack([faces.ravel(), np.repeat(label, 3)], axis=1), axis=0)
    at = np.array(vertices, np.float64)
    normals, centres = patches.normals.copy(), patches.centres.copy()
    _seat(
        at,
        np.ascontiguousarray(vertices, np.float64),
        np.ascontiguousarray(faces, np.int64),
        np.ascontiguousarray(label, np.int64),
        pair[:, 0].copy(),
        pair[:, 1].copy(),
        normals,
        centres,
        patches.normals,
        patches.centres,
        patches.moments,
        patches.span,
        seats.firmness,
        seats.fixed,
        seats.room[0],
        seats.room[1],
        farthest,
        (STAY, _EASE, _FIXED, _SETTLED),
        (_TURNS, _TURNS + _FLATTENING),
    )
    return at, normals


@njit(cache=True, nogil=True)
def _seat(
    at: Any,
    start: Any,
    faces: Any,
    label: Any,
    corner: Any,
    plane: Any,
    normals: Any,
    centres: Any,
    old_normals: Any,
    old_centres: Any,
    moments: Any,
    span: Any,
    firmness: Any,
    fixed: Any,
    low: Any,
    high: Any,
    farthest: Any,
    weights: Any,
    turns: Any,
) -> None:
    """Move corners and lay planes in turns. ``corner`` and ``plane``: the pairs that belong together, by corner."""
    stay, ease, hold, settled = weights
    system, right = np.zeros((3, 3)), np.zeros(3)
    for turn in range(turns[1]):
        pull = ease ** max(turn - turns[0], 0)
        most, i = 0.0, 0
        while i < len(corner):
            v = corner[i]
            system[:], right[:] = 0.0, 0.0
            while i < len(corner) and corner[i] == v:
                k = plane[i]
                off = 0.0
                for a in range(3):
                    off += normals[k, a] * (centres[k, a] - start[v, a])
                for a in range(3):
                    right[a] += firmness[k] * off * normals[k, a]
                    for b in range(3):
                        system[a, b] += firmness[k] * normals[k, a] * normals[k, b]
                i += 1
            for a in range(3):
                system[a, a] += stay * pull + 1e-5 + (hold if fixed[v, a] else 0.0)
            moved = _solved(system, right)
            long = np.sqrt(moved[0] ** 2 + moved[1] ** 2 + moved[2] ** 2)
            share = min(1.0, farthest[v] / max(long, 1e-300))
            for a in range(3):
                to = start[v, a]
                if not fixed[v, a]:
                    to = min(max(to + share * moved[a], low[v, a]), high[v, a])
                most = max(most, abs(to - at[v, a]))
                at[v, a] = to
        if turn < turns[0]:
            _through_faces(at, faces, label, normals, centres, old_normals, old_centres, span)
        else:
            _through_corners(at, corner, plane, normals, centres, old_centres, moments, span, firmness, pull)
        if turn > turns[0] and most < settled:
            break


@njit(cache=True, nogil=True)
def _solved(system: Any, right: Any) -> Any:
    """The solution of a symmetric, positive system of three, by its Cholesky factors."""
    l00 = np.sqrt(system[0, 0])
    l10, l20 = system[1, 0] / l00, system[2, 0] / l00
    l11 = np.sqrt(max(system[1, 1] - l10 * l10, 1e-300))
    l21 = (system[2, 1] - l20 * l10) / l11
    l22 = np.sqrt(max(system[2, 2] - l20 * l20 - l21 * l21, 1e-300))
    y0 = right[0] / l00
    y1 = (right[1] - l10 * y0) / l11
    y2 = (right[2] - l20 * y0 - l21 * y1) / l22
    z2 = y2 / l22
    z1 = (y1 - l21 * z2) / l11
    return (y0 - l10 * z1 - l20 * z2) / l00, z1, z2


@njit(cache=True, nogil=True)
def _through_faces(
    at: Any, faces: Any, label: Any, normals: Any, centres: Any, old_normals: Any, old_centres: Any, span: Any
) -> None:
    """Lay planes half way from the patches to the faces as they lie now."""
    count = len(span)
    lean, middles, whole = np.zeros((count, 3)), np.zeros((count, 3)), np.zeros(count)
    for f in range(len(faces)):
        a, b, c = at[faces[f, 0]], at[faces[f, 1]], at[faces[f, 2]]
        cross = np.cross(b - a, c - a)
        weight = max(np.sqrt((cross**2).sum()), 1e-300)
        whole[label[f]] += weight
        for j in range(3):
            lean[label[f], j] += cross[j]
            middles[label[f], j] += weight * (a[j] + b[j] + c[j]) / 3
    for k in range(count):
        if whole[k] == 0.0:
            continue
        one = old_normals[k] + lean[k] / max(np.sqrt((lean[k] ** 2).sum()), 1e-300)
        if span[k]:
            one[0] = 0.0
        normals[k] = one / max(np.sqrt((one**2).sum()), 1e-300)
        centres[k] = 0.3 * old_centres[k] + 0.7 * middles[k] / whole[k]


@njit(cache=True, nogil=True)
def _through_corners(
    at: Any,
    corner: Any,
    plane: Any,
    normals: Any,
    centres: Any,
    old_centres: Any,
    moments: Any,
    span: Any,
    firmness: Any,
    ease: float,
) -> None:
    """Lay each plane nearest to its corners and, as far as ``ease`` goes, to its patch."""
    count = len(span)
    number, sums = np.zeros(count), np.zeros((count, 3))
    for i in range(len(corner)):
        number[plane[i]] += 1.0
        for j in range(3):
            sums[plane[i], j] += at[corner[i], j]
    spread = np.zeros((count, 3, 3))
    for k in range(count):
        if number[k] > 0.0:
            pull = ease * firmness[k]
            for j in range(3):
                centres[k, j] = (sums[k, j] / number[k] + pull * old_centres[k, j]) / (1.0 + pull)
    for i in range(len(corner)):
        k = plane[i]
        for a in range(3):
            for b in range(3):
                spread[k, a, b] += (at[corner[i], a] - centres[k, a]) * (at[corner[i], b] - centres[k, b]) / number[k]
    for k in range(count):
        if number[k] == 0.0:
            continue
        pull = ease * firmness[k]
        for a in range(3):
            for b in range(3):
                lean = (old_centres[k, a] - centres[k, a]) * (old_centres[k, b] - centres[k, b])
                spread[k, a, b] += pull * (moments[k, a, b] + lean)
        if span[k]:
            # with its image a plane across the mirror reaches as far the other way: its normal has no x
            for a in range(3):
                spread[k, 0, a] = spread[k, a, 0] = 0.0
            spread[k, 0, 0] = 1e6
        best = _least_axis(spread[k])
        turn = 0.0
        for a in range(3):
            turn += best[a] * normals[k, a]
        for a in range(3):
            normals[k, a] = -best[a] if turn < 0.0 else best[a]


@njit(cache=True, nogil=True)
def _least_axis(matrix: Any) -> Any:
    """The axis of the least eigenvalue of a symmetric 3 by 3 matrix, by Jacobi's rotations."""
    m, axes = matrix.copy(), np.eye(3)
    for _ in range(12):
        off = abs(m[0, 1]) + abs(m[0, 2]) + abs(m[1, 2])
        if off <= 1e-18 * (abs(m[0, 0]) + abs(m[1, 1]) + abs(m[2, 2])):
            break
        for p in range(2):
            for q in range(p + 1, 3):
                if m[p, q] == 0.0:
                    continue
                half = (m[q, q] - m[p, p]) / (2.0 * m[p, q])
                t = (1.0 if half >= 0.0 else -1.0) / (abs(half) + np.sqrt(half * half + 1.0))
                c = 1.0 / np.sqrt(t * t + 1.0)
                s = t * c
                for j in range(3):
                    one, other = m[j, p], m[j, q]
                    m[j, p], m[j, q] = c * one - s * other, s * one + c * other
                for j in range(3):
                    one, other = m[p, j], m[q, j]
                    m[p, j], m[q, j] = c * one - s * other, s * one + c * other
                for j in range(3):
                    one, other = axes[j, p], axes[j, q]
                    axes[j, p], axes[j, q] = c * one - s * other, s * one + c * other
    least = 0
    for k in range(1, 3):
        if m[k, k] < m[least, least]:
            least = k
    return axes[:, least].copy()
