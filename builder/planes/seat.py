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
_FLATTENING = 240
_BEYOND = 1.5
"""Corners go so much beyond where their planes meet: planes and corners close in on each other in fewer turns."""
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
    count = len(patches.span)
    pair = np.unique(faces.ravel().astype(np.int64) * count + np.repeat(label, 3))
    at = np.array(vertices, np.float64)
    normals, centres = patches.normals.copy(), patches.centres.copy()
    _seat(
        at,
        np.ascontiguousarray(vertices, np.float64),
        np.ascontiguousarray(faces, np.int64),
        np.ascontiguousarray(label, np.int64),
        np.flatnonzero(np.diff(pair // count, prepend=-1, append=-1)),
        pair // count,
        pair % count,
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
        (STAY, _EASE, _FIXED, _SETTLED, _BEYOND),
        (_TURNS, _TURNS + _FLATTENING),
    )
    return at, normals


@njit(cache=True, nogil=True)
def _seat(
    at: Any,
    start: Any,
    faces: Any,
    label: Any,
    first: Any,
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
    """Move corners and lay planes in turns. ``corner`` and ``plane``: the pairs that belong together, by corner;
    those of one corner run from ``first`` to the next. Corners that may not move at all are left alone.
    """
    stay, ease, hold, settled, beyond = weights
    to = np.zeros(3)
    for turn in range(turns[1]):
        pull = ease ** max(turn - turns[0], 0)
        most = 0.0
        for c in range(len(first) - 1):
            v = corner[first[c]]
            if farthest[v] <= 0.0:
                continue
            xx = yy = zz = stay * pull
            xx += 1e-5 + (hold if fixed[v, 0] else 0.0)
            yy += 1e-5 + (hold if fixed[v, 1] else 0.0)
            zz += 1e-5 + (hold if fixed[v, 2] else 0.0)
            xy = xz = yz = 0.0
            rx = ry = rz = 0.0
            for i in range(first[c], first[c + 1]):
                k = plane[i]
                x, y, z = normals[k, 0], normals[k, 1], normals[k, 2]
                off = (
                    x * (centres[k, 0] - start[v, 0])
                    + y * (centres[k, 1] - start[v, 1])
                    + z * (centres[k, 2] - start[v, 2])
                )
                f = firmness[k]
                rx += f * off * x
                ry += f * off * y
                rz += f * off * z
                xx += f * x * x
                yy += f * y * y
                zz += f * z * z
                xy += f * x * y
                xz += f * x * z
                yz += f * y * z
            # Cholesky's factors
            l00 = np.sqrt(xx)
            l10, l20 = xy / l00, xz / l00
            l11 = np.sqrt(max(yy - l10 * l10, 1e-300))
            l21 = (yz - l20 * l10) / l11
            l22 = np.sqrt(max(zz - l20 * l20 - l21 * l21, 1e-300))
            y0 = rx / l00
            y1 = (ry - l10 * y0) / l11
            z2 = (rz - l20 * y0 - l21 * y1) / l22 / l22
            z1 = (y1 - l21 * z2) / l11
            to[0], to[1], to[2] = (y0 - l10 * z1 - l20 * z2) / l00, z1, z2
            if turn > turns[0]:
                for a in range(3):
                    to[a] += (beyond - 1.0) * (to[a] - (at[v, a] - start[v, a]))
            long = np.sqrt(to[0] ** 2 + to[1] ** 2 + to[2] ** 2)
            share = min(1.0, farthest[v] / max(long, 1e-300))
            for a in range(3):
                one = start[v, a]
                if not fixed[v, a]:
                    one = min(max(one + share * to[a], low[v, a]), high[v, a])
                most = max(most, abs(one - at[v, a]))
                at[v, a] = one
        if turn < turns[0]:
            _through_faces(at, faces, label, normals, centres, old_normals, old_centres, span)
        else:
            _through_corners(at, corner, plane, normals, centres, old_centres, moments, span, firmness, pull)
        if turn > turns[0] and most < settled:
            break


@njit(cache=True, nogil=True)
def _through_faces(
    at: Any, faces: Any, label: Any, normals: Any, centres: Any, old_normals: Any, old_centres: Any, span: Any
) -> None:
    """Lay planes half way from the patches to the faces as they lie now."""
    count = len(span)
    lean, middles, whole = np.zeros((count, 3)), np.zeros((count, 3)), np.zeros(count)
    for f in range(len(faces)):
        a, b, c, k = faces[f, 0], faces[f, 1], faces[f, 2], label[f]
        ux, uy, uz = at[b, 0] - at[a, 0], at[b, 1] - at[a, 1], at[b, 2] - at[a, 2]
        vx, vy, vz = at[c, 0] - at[a, 0], at[c, 1] - at[a, 1], at[c, 2] - at[a, 2]
        x, y, z = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
        weight = max(np.sqrt(x * x + y * y + z * z), 1e-300)
        whole[k] += weight
        lean[k, 0] += x
        lean[k, 1] += y
        lean[k, 2] += z
        for j in range(3):
            middles[k, j] += weight * (at[a, j] + at[b, j] + at[c, j]) / 3
    for k in range(count):
        if whole[k] == 0.0:
            continue
        long = max(np.sqrt(lean[k, 0] ** 2 + lean[k, 1] ** 2 + lean[k, 2] ** 2), 1e-300)
        x, y, z = (
            old_normals[k, 0] + lean[k, 0] / long,
            old_normals[k, 1] + lean[k, 1] / long,
            old_normals[k, 2] + lean[k, 2] / long,
        )
        if span[k]:
            x = 0.0
        long = max(np.sqrt(x * x + y * y + z * z), 1e-300)
        normals[k, 0], normals[k, 1], normals[k, 2] = x / long, y / long, z / long
        for j in range(3):
            centres[k, j] = 0.3 * old_centres[k, j] + 0.7 * middles[k, j] / whole[k]


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
    for k in range(count):
        if number[k] > 0.0:
            pull = ease * firmness[k]
            for j in range(3):
                centres[k, j] = (sums[k, j] / number[k] + pull * old_centres[k, j]) / (1.0 + pull)
    spread = np.zeros((count, 6))
    for i in range(len(corner)):
        k, v = plane[i], corner[i]
        x, y, z = at[v, 0] - centres[k, 0], at[v, 1] - centres[k, 1], at[v, 2] - centres[k, 2]
        share = 1.0 / number[k]
        spread[k, 0] += x * x * share
        spread[k, 1] += y * y * share
        spread[k, 2] += z * z * share
        spread[k, 3] += x * y * share
        spread[k, 4] += x * z * share
        spread[k, 5] += y * z * share
    for k in range(count):
        if number[k] == 0.0:
            continue
        pull = ease * firmness[k]
        x, y, z = (
            old_centres[k, 0] - centres[k, 0],
            old_centres[k, 1] - centres[k, 1],
            old_centres[k, 2] - centres[k, 2],
        )
        m = moments[k]
        xx, yy, zz = (
            spread[k, 0] + pull * (m[0, 0] + x * x),
            spread[k, 1] + pull * (m[1, 1] + y * y),
            spread[k, 2] + pull * (m[2, 2] + z * z),
        )
        xy, xz, yz = (
            spread[k, 3] + pull * (m[0, 1] + x * y),
            spread[k, 4] + pull * (m[0, 2] + x * z),
            spread[k, 5] + pull * (m[1, 2] + y * z),
        )
        if span[k]:
            # with its image a plane across the mirror reaches as far the other way: its normal has no x
            xx, xy, xz = yy + zz, 0.0, 0.0
        a, b, c = least_axis(xx, yy, zz, xy, xz, yz)
        if a == 0.0 and b == 0.0 and c == 0.0:
            continue
        if a * normals[k, 0] + b * normals[k, 1] + c * normals[k, 2] < 0.0:
            a, b, c = -a, -b, -c
        normals[k, 0], normals[k, 1], normals[k, 2] = a, b, c


@njit(cache=True, nogil=True)
def least_axis(xx: float, yy: float, zz: float, xy: float, xz: float, yz: float) -> Any:
    """The axis of the least eigenvalue of a symmetric 3 by 3 matrix (in closed form, Smith 1961); zero without one."""
    mean = (xx + yy + zz) / 3
    x, y, z = xx - mean, yy - mean, zz - mean
    p = np.sqrt((x * x + y * y + z * z + 2 * (xy * xy + xz * xz + yz * yz)) / 6)
    if p <= 1e-300:
        return 0.0, 0.0, 0.0
    half = (x * (y * z - yz * yz) - xy * (xy * z - yz * xz) + xz * (xy * yz - y * xz)) / (2 * p * p * p)
    least = 2 * p * np.cos(np.arccos(min(max(half, -1.0), 1.0)) / 3 + 2 * np.pi / 3)
    x, y, z = x - least, y - least, z - least
    # rows of the matrix less its eigenvalue span what is upright to the axis
    best, a, b, c = 0.0, 0.0, 0.0, 0.0
    for i in range(3):
        if i == 0:
            u, v, w = xy * yz - xz * y, xz * xy - x * yz, x * y - xy * xy
        elif i == 1:
            u, v, w = xy * z - xz * yz, xz * xz - x * z, x * yz - xy * xz
        else:
            u, v, w = y * z - yz * yz, yz * xz - xy * z, xy * yz - y * xz
        long = u * u + v * v + w * w
        if long > best:
            best, a, b, c = long, u, v, w
    if best <= 1e-300:
        return 0.0, 0.0, 0.0
    long = np.sqrt(best)
    return a / long, b / long, c / long
