"""A patch over a hole that bends on as the surface round it does.

The hole's rim is laid flat and filled, its triangles are split and turned until they are as fine as the rim (Liepa,
"Filling holes in meshes", Symposium on Geometry Processing 2003, section 4), and their points are placed where the
surface has the least second differences, its rim and the points round the rim held: a thin plate (the same, section 5,
with the cotangent Laplacian of Meyer et al. 2003). No random, no self-made points on the rim: the mesh stays closed.
"""

from __future__ import annotations

import numpy as np
from scipy.sparse import csc_array, csr_array
from scipy.sparse.linalg import splu

from builder.arrays import Floats
from builder.model.flat import filled
from builder.model.triangles import Indices, edges_among

SPLIT = np.sqrt(2.0)
"""A triangle is split where its middle is this many times as far from its corners as points stand apart (Liepa)."""
MOST_FACES = 20_000
"""A patch is made no finer than this."""
TURNS = 200
"""Rounds of turning edges; each makes the triangulation better, so that far fewer come to an end."""
PLATES = 3
"""Times that the plate is bent, each by the lengths that the one before has."""
DEEPEST = 0.5
"""A patch may stand no farther off the flat one than this many widths of the hole: a half ball over its rim."""


def patch(points: Floats, around: Floats, around_faces: Indices) -> tuple[Floats, Indices] | None:
    """New points (k, 3) and faces (m, 3) that close a hole; ``None`` where its rim seen flat crosses itself.

    ``points`` (n, 3) run round the hole as new faces are wound; faces number them, then the new points.
    ``around`` (a, 3) are other points of the surface, ``around_faces`` the faces that touch the rim, which number
    ``points``, then ``around``.
    """
    places = _laid(points)
    if places is None:
        return None
    rim = len(points)
    faces = filled([np.arange(rim)], places)
    if len(faces) != rim - 2:
        return None
    places, faces = _refined(places, faces)
    new = len(places) - rim
    if new == 0:
        return np.zeros((0, 3)), faces
    shift = np.where(around_faces >= rim, around_faces + new, around_faces)
    whole = np.concatenate([faces, shift])
    free = np.arange(rim, rim + new)
    held = np.concatenate([points, np.zeros((new, 3)), around])
    flat = np.zeros((len(held), 3))
    flat[: rim + new, :2] = places
    membrane = _placed(held, faces, flat, free, free)
    bent = membrane
    for _ in range(PLATES):
        bent = _placed(bent, whole, bent, free, np.arange(rim + new))
    width = np.linalg.norm(points - points.mean(axis=0), axis=1).max() * 2
    off = np.linalg.norm(bent[free] - membrane[free], axis=1).max()
    sound = bool(np.isfinite(bent).all()) and off <= DEEPEST * width
    return (bent if sound else membrane)[free], faces


def _laid(points: Floats) -> Floats | None:
    """(n, 2) the points in the plane of their loop, in which it runs counter-clockwise."""
    spokes = points - points.mean(axis=0)
    normal = np.cross(spokes, np.roll(spokes, -1, axis=0)).sum(axis=0)
    length = float(np.linalg.norm(normal))
    if length == 0.0:
        return None
    normal /= length
    across = np.cross(normal, np.eye(3)[int(np.abs(normal).argmin())])
    across /= np.linalg.norm(across)
    return np.stack([spokes @ across, spokes @ np.cross(normal, across)], axis=1)


def _refined(places: Floats, faces: Indices) -> tuple[Floats, Indices]:
    """A flat triangulation split until it is as fine inside as at its rim."""
    sides = np.linalg.norm(np.roll(places, -1, axis=0) - places, axis=1)
    apart = (sides + np.roll(sides, 1)) / 2
    faces = _turned(places, faces)
    while len(faces) < MOST_FACES:
        middle, own = places[faces].mean(axis=1), apart[faces].mean(axis=1)
        distance = SPLIT * np.linalg.norm(places[faces] - middle[:, None], axis=2)
        split = ((distance > own[:, None]) & (distance > apart[faces])).all(axis=1)
        if not split.any():
            break
        a, b, c = faces[split].T
        tip = len(places) + np.arange(int(split.sum()))
        fans = [np.stack([p, q, tip], axis=1) for p, q in ((a, b), (b, c), (c, a))]
        places, apart = np.concatenate([places, middle[split]]), np.concatenate([apart, own[split]])
        faces = _turned(places, np.concatenate([faces[~split], *fans]))
    return places, faces


def _turned(places: Floats, faces: Indices) -> Indices:
    """A flat triangulation with its inner edges turned until it is Delaunay (Lawson 1977)."""
    faces = faces.copy()
    for _ in range(TURNS):
        one, other = edges_among(faces, len(places)).pairs()
        a, b = faces.ravel()[one], faces.ravel()[one // 3 * 3 + (one + 1) % 3]
        c, d = faces.ravel()[one // 3 * 3 + (one + 2) % 3], faces.ravel()[other // 3 * 3 + (other + 2) % 3]
        # the angles over an edge come to more than half a turn: it is to be turned
        wrong = np.flatnonzero(_cotangent(places, c, a, b) + _cotangent(places, d, a, b) < -1e-9)
        if len(wrong) == 0:
            break
        # each triangle takes part in one turn a round: the first that it is named in
        f, g = one[wrong] // 3, other[wrong] // 3
        first = np.full(len(faces), len(wrong))
        np.minimum.at(first, f, np.arange(len(wrong)))
        np.minimum.at(first, g, np.arange(len(wrong)))
        free = (first[f] == np.arange(len(wrong))) & (first[g] == np.arange(len(wrong)))
        w = wrong[free]
        faces[f[free]] = np.stack([a[w], d[w], c[w]], axis=1)
        faces[g[free]] = np.stack([d[w], b[w], c[w]], axis=1)
    return faces


def _cotangent(places: Floats, tip: Indices, a: Indices, b: Indices) -> Floats:
    """(n,) cotangent of the angle at ``tip`` between the ways to ``a`` and ``b``."""
    one, other = places[a] - places[tip], places[b] - places[tip]
    dot = np.einsum("ij,ij->i", one, other)
    one_squared, other_squared = np.einsum("ij,ij->i", one, one), np.einsum("ij,ij->i", other, other)
    size = np.sqrt(np.maximum(one_squared * other_squared - dot**2, 0.0))
    least = 1e-9 * np.maximum(one_squared, other_squared)
    cotangent: Floats = dot / np.maximum(np.maximum(size, least), np.finfo(float).tiny)
    return cotangent


def _placed(points: Floats, faces: Indices, lengths: Floats, free: Indices, bent: Indices) -> Floats:
    """The points with the ``free`` ones moved so that the Laplacians at the ``bent`` ones are least, squared and
    weighted by their areas; weights are those of the faces where the points stand at ``lengths``.
    """
    count = len(points)
    rows, columns, weights = [], [], []
    area = np.zeros(count)
    for k in range(3):
        tip, a, b = (faces[:, (k + j) % 3] for j in range(3))
        half = _cotangent(lengths, tip, a, b) / 2
        rows += [a, b, a, b]
        columns += [b, a, a, b]
        weights += [half, half, -half, -half]
        doubled = np.linalg.norm(np.cross(lengths[a] - lengths[tip], lengths[b] - lengths[tip]), axis=1)
        np.add.at(area, tip, doubled / 6)
    laplacian = csr_array((np.concatenate(weights), (np.concatenate(rows), np.concatenate(columns))), (count, count))
    scale = 1 / np.sqrt(np.maximum(area, 1e-12 * max(float(area.max()), np.finfo(float).tiny)))
    some = csr_array(laplacian[bent].multiply(scale[bent][:, None]))
    held = np.setdiff1d(np.arange(count), free)
    inner = some[:, free]
    target = -(some[:, held] @ points[held])
    moved = points.copy()
    moved[free] = splu(csc_array(inner.T @ inner)).solve(inner.T @ target)
    return moved
