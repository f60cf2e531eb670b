"""Corners moved to where their planes meet, and planes laid through their corners, in turns, until each is flat."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

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
_FLATTENING = 120
_EASE = 0.90
"""By how much the pull of what was there fades at each turn, once planes are to become flat."""
_SETTLED = 1e-8
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
    patches, firmness, fixed = seats.patches, seats.firmness, seats.fixed
    pair = np.unique(np.stack([faces.ravel(), np.repeat(label, 3)], axis=1), axis=0)
    used, first, corner = np.unique(pair[:, 0], return_index=True, return_inverse=True)
    plane = pair[:, 1]
    by_plane = np.argsort(plane, kind="stable")
    start = vertices[used]
    low, high = seats.room[0][used], seats.room[1][used]
    reach = farthest[used]
    at = vertices.copy()
    normals, centres = patches.normals.copy(), patches.centres.copy()
    weight = firmness[plane]
    stays = np.einsum("ni,ij->nij", fixed[used] * _FIXED, np.eye(3))
    for turn in range(_TURNS + _FLATTENING):
        pull = _EASE ** max(turn - _TURNS, 0)
        normal = normals[plane]
        off = np.einsum("ij,ij->i", normal, centres[plane] - start[corner.ravel()])
        system = np.add.reduceat(weight[:, None, None] * normal[:, :, None] * normal[:, None, :], first) + stays
        system += (STAY * pull + 1e-5) * np.eye(3)
        moved = np.linalg.solve(system, np.add.reduceat((weight * off)[:, None] * normal, first)[:, :, None])[:, :, 0]
        moved *= np.minimum(1.0, reach / np.maximum(np.linalg.norm(moved, axis=1), 1e-300))[:, None]
        before = at[used]
        at[used] = np.where(fixed[used], start, np.clip(start + moved, low, high))
        if turn < _TURNS:
            fitted, middles = _through_faces(at, faces, label, patches)
        else:
            fitted, middles = _through_corners(
                at[pair[by_plane, 0]], plane[by_plane], patches, normals, pull * firmness
            )
        normals, centres = fitted, middles
        if turn > _TURNS and np.abs(at[used] - before).max() < _SETTLED:
            break
    return at, normals


def _through_faces(at: Floats, faces: Corners, label: Indices, patches: Patches) -> tuple[Floats, Floats]:
    """(k, 3) normals and centres half way from the patches to the faces as they lie now."""
    count = len(patches.span)
    a, b, c = (at[faces[:, k]] for k in range(3))
    cross = np.cross(b - a, c - a)
    weight = np.maximum(np.linalg.norm(cross, axis=1), 1e-300)
    middle = weight[:, None] * (a + b + c) / 3
    normals = np.stack([np.bincount(label, cross[:, k], count) for k in range(3)], axis=1)
    middles: Floats = np.stack([np.bincount(label, middle[:, k], count) for k in range(3)], axis=1)
    middles /= np.bincount(label, weight, count)[:, None]
    normals = patches.normals + normals / np.maximum(np.linalg.norm(normals, axis=1), 1e-300)[:, None]
    normals[patches.span, 0] = 0.0
    normals /= np.maximum(np.linalg.norm(normals, axis=1), 1e-300)[:, None]
    return normals, 0.3 * patches.centres + 0.7 * middles


def _through_corners(
    corners: Floats, plane: Indices, patches: Patches, normals: Floats, pull: Floats
) -> tuple[Floats, Floats]:
    """(k, 3) normals and centres of the planes nearest to their corners and, by ``pull`` (k,), to the patches."""
    count = len(patches.span)
    first = np.searchsorted(plane, np.arange(count))
    number = np.bincount(plane, minlength=count).astype(float)[:, None]
    centres = (np.add.reduceat(corners, first) / number + pull[:, None] * patches.centres) / (1 + pull[:, None])
    off = corners - centres[plane]
    lean = patches.centres - centres
    spread = np.add.reduceat(off[:, :, None] * off[:, None, :], first) / number[:, :, None]
    spread += pull[:, None, None] * (patches.moments + lean[:, :, None] * lean[:, None, :])
    # with its image a plane across the mirror reaches as far the other way: its normal has no x
    spread[patches.span, 0, :] = spread[patches.span, :, 0] = 0.0
    spread[patches.span, 0, 0] = 1e6
    best = np.linalg.eigh(spread)[1][:, :, 0]
    return np.where(np.einsum("ij,ij->i", best, normals)[:, None] < 0, -best, best), centres
