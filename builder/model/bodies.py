"""The sculpture among the loose pieces that a scan brings with it."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from builder.arrays import Bools, Floats
from builder.errors import ModelError, Notice, Problem
from builder.model.counts import counted
from builder.model.triangles import Edges, Indices, Triangles, edges_of

PART_AREA = 0.005
"""A piece with at least this share of the sculpture's area, that touches it and is solid, is part of it: an eyeball."""
SOLID = 0.01
"""Least share of the volume of the ball of the same area that a solid piece encloses, squared; a cube has 0.52."""
TOUCHING = 0.005
"""How near a piece comes to the sculpture to touch it, in sizes of the sculpture."""
LARGE = 0.05
"""A piece left out that has at least this share of the sculpture's area is described to the tutor."""
LEAST_SHARE = 0.05
"""Less of all faces than this in the sculpture means that the mesh does not hold together at all."""


def numbered(triangles: Triangles, edges: Edges) -> Indices:
    """(m,) the number of the body that each face belongs to; bodies hang together by edges."""
    count = len(triangles.faces)
    one, other = (sides // 3 for sides in edges.neighbours())
    joined = coo_array((np.ones(len(one), np.int8), (one, other)), shape=(count, count))
    return np.asarray(connected_components(joined, directed=False)[1], np.int64)


def sculpture(triangles: Triangles, where: str, height_mm: float | None) -> tuple[Triangles, tuple[Notice, ...]]:
    """The sculpture without loose pieces, and what was left out.

    The sculpture is the body with the most matter and the most detail, volume times faces: a turntable is wide but
    plain, crumbs are neither. Pieces that touch it and are not small stay with it. ``height_mm`` is the sculpture's
    true height, for lengths told. Raises :class:`ModelError` where the mesh falls apart into faces.
    """
    body = numbered(triangles, edges_of(triangles))
    bodies = int(body.max()) + 1
    if bodies == 1:
        return triangles, ()
    faces = np.bincount(body, minlength=bodies)
    areas = np.bincount(body, triangles.areas(), bodies)
    volumes = np.abs(_own_volumes(triangles, body, bodies))
    worth = volumes * faces
    main = int(np.lexsort((areas, worth))[-1])
    if faces[main] < LEAST_SHARE * len(body):
        raise ModelError(
            Problem(
                where,
                f"does not hold together: its {len(body):,} faces form {bodies:,} separate pieces",
                do="join the points that lie on one another and export it again",
            )
        )
    stays = (areas >= PART_AREA * areas[main]) & (36 * np.pi * volumes**2 >= SOLID * areas**3)
    stays[main] = True
    stays &= _touching(triangles, body, bodies, main, stays)
    keep: Bools = stays[body]
    result = triangles.chosen(keep)
    notices = []
    lost = bodies - int(stays.sum())
    if lost:
        share = 100 * float((~keep).sum()) / len(body)
        notices.append(Notice(where, f"{counted(lost, 'loose piece')} with {share:.2g} % of the faces left out"))
    for large in np.flatnonzero(~stays & (areas >= LARGE * areas[main])):
        one = triangles.chosen(body == large)
        scale = 1.0 if height_mm is None else height_mm / result.extents[2]
        lengths = " × ".join(f"{length * scale:.3g}" for length in one.extents)
        notices.append(Notice(where, f"one piece left out is large: {lengths} mm, {faces[large]:,} faces"))
    if stays.sum() > 1:
        notices.append(Notice(where, f"{int(stays.sum())} bodies that touch are kept together as the sculpture"))
    return result, tuple(notices)


def _own_volumes(triangles: Triangles, body: Indices, bodies: int) -> Floats:
    """(bodies,) signed volume of each body about its own middle, so that an open sheet far off does not count."""
    corners = triangles.vertices[triangles.faces]
    weight = np.bincount(body, minlength=bodies)
    middle = np.stack([np.bincount(body, corners[:, :, k].mean(axis=1), bodies) / weight for k in range(3)], axis=1)
    a, b, c = (corners[:, k] - middle[body] for k in range(3))
    volumes = np.einsum("ij,ij->i", a, np.cross(b, c)) / 6
    return np.asarray(np.bincount(body, volumes, bodies), np.float64)


def _touching(triangles: Triangles, body: Indices, bodies: int, main: int, large: Bools) -> Bools:
    """(bodies,) which of the ``large`` bodies come near the main one, directly or by way of others."""
    points = {int(one): np.unique(triangles.faces[body == one]) for one in np.flatnonzero(large)}
    touching = np.zeros(bodies, np.bool_)
    touching[main] = True
    reach = TOUCHING * float(np.ptp(triangles.vertices[points[main]], axis=0).max())
    fresh = [main]
    while fresh:
        tree = cKDTree(triangles.vertices[np.concatenate([points[one] for one in fresh])])
        fresh = []
        for one in points:
            if not touching[one]:
                distance, _ = tree.query(triangles.vertices[points[one]], distance_upper_bound=reach)
                if np.isfinite(distance).any():
                    fresh.append(one)
        touching[fresh] = True
    return touching
