"""Where a ray leaves the surface, so that flat triangles do not shade a form that is meant to be smooth."""

from __future__ import annotations

from dataclasses import dataclass

import numba
import numpy as np

from builder.arrays import Bools, Floats, Ints, Singles
from builder.light.areas import face_areas
from builder.light.edges import edges
from builder.model.model import Surface

LIFT = 4e-6
"""Height above the surface at which rays start, in extents of the scene. Some seventy roundings of single precision;
ten times as much already lets light into the fold of a mouth."""

_PULL = 0.05
"""How far the rays of a vertex on a border start towards the middle of its own triangles: where two bodies meet, each
looks out from its own side of the joint."""


def vertex_origins(surface: Surface) -> Floats:
    """The vertices, those on a border or crease moved a little way on to their own triangles.

    Returns:
        (n, 3) float64, mm: a border vertex lies a twentieth of the way to the mean of its triangles' middles, and not
        below the plane its normal stands on.

    """
    border = _border(surface)
    count = len(surface.vertices)
    middles = surface.vertices[surface.faces].mean(axis=1)
    corner = surface.faces.ravel()
    each = np.maximum(np.bincount(corner, minlength=count), 1)
    mean = np.stack([np.bincount(corner, np.repeat(middles[:, k], 3), count) for k in range(3)], axis=1) / each[:, None]
    move = np.where(border[:, None], mean - surface.vertices, 0.0) * _PULL
    move -= surface.normals * np.minimum(np.einsum("ij,ij->i", move, surface.normals), 0.0)[:, None]
    points: Floats = surface.vertices + move
    return points


@dataclass(frozen=True, slots=True, eq=False)
class Patches:
    """The triangles round each vertex on a border or crease: ``faces[starts[i] : starts[i + 1]]`` (int32); none round
    other vertices. reach (k,) float64: their areas added up, for each vertex from its first triangle on, up to 1.
    """

    starts: Ints
    faces: Ints
    reach: Floats


def border_patches(surface: Surface) -> Patches:
    """What the vertices on a border or crease stand for.

    Such a vertex lies in the very corner where two sides or bodies meet, where light may change by all there is within
    a hair. So it looks out from all over its own triangles instead, and is given the mean.
    """
    border = _border(surface)
    count = len(surface.vertices)
    corner = surface.faces.ravel()
    rows = np.flatnonzero(border[corner])
    rows = rows[np.argsort(corner[rows], kind="stable")]
    number = np.bincount(corner[rows], minlength=count)
    starts = np.concatenate([[0], np.cumsum(number)])
    area = np.maximum(face_areas(surface)[rows // 3], 1e-12)
    total = np.cumsum(area)
    before = np.concatenate([[0.0], total])[starts[:-1]]
    whole = np.bincount(corner[rows], area, count)
    owner = corner[rows]
    reach = np.minimum((total - before[owner]) / whole[owner], 1.0)
    return Patches(starts.astype(np.int32), (rows // 3).astype(np.int32), reach)


def _border(surface: Surface) -> Bools:
    """Whether each vertex ends an edge that only one triangle has, (n,)."""
    ends, uses = edges(surface)
    border = np.zeros(len(surface.vertices), np.bool_)
    border[ends[uses == 1]] = True
    return border


def smooth_points(surface: Surface, face: Ints, u: Singles, v: Singles) -> Floats:
    """Points of triangles, raised on to the smooth form that the shading normals describe.

    Rays to a lamp that start here do not meet the neighbouring flat triangles, which draw a saw-tooth along the edge of
    light on coarse meshes. J. Hanika, "Hacking the Shadow Terminator", Ray Tracing Gems II (2021), chapter 4.

    Args:
        surface: the triangles.
        face: (n,) int32 face indices.
        u: (n,) weights of the faces' second vertices.
        v: (n,) weights of the faces' third vertices.

    Returns:
        (n, 3) float64, mm; where the form bends inwards the points stay on the triangles.

    """
    points = np.zeros((len(face), 3))
    _raise(surface.vertices, surface.normals, surface.faces, face, u, v, points)
    return points


def shading_normals(surface: Surface, face: Ints, u: Singles, v: Singles) -> Floats:
    """Unit normals read between the vertices of triangles, (n, 3) float64; arguments as for :func:`smooth_points`."""
    normals = np.zeros((len(face), 3))
    _turn(surface.normals, surface.faces, face, u, v, normals)
    return normals


@numba.njit(cache=True, nogil=True)
def _raise(
    vertices: Floats, normals: Floats, corners: Ints, face: Ints, u: Singles, v: Singles, points: Floats
) -> None:
    for i in range(len(face)):
        second, third = np.float64(u[i]), np.float64(v[i])
        weights = (1.0 - second - third, second, third)
        x, y, z = 0.0, 0.0, 0.0
        for k in range(3):
            at = corners[face[i], k]
            x += weights[k] * vertices[at, 0]
            y += weights[k] * vertices[at, 1]
            z += weights[k] * vertices[at, 2]
        points[i] = x, y, z
        for k in range(3):
            at = corners[face[i], k]
            depth = (x - vertices[at, 0]) * normals[at, 0]
            depth += (y - vertices[at, 1]) * normals[at, 1]
            depth += (z - vertices[at, 2]) * normals[at, 2]
            if depth < 0.0:
                for axis in range(3):
                    points[i, axis] -= weights[k] * depth * normals[at, axis]


@numba.njit(cache=True, nogil=True)
def _turn(normals: Floats, corners: Ints, face: Ints, u: Singles, v: Singles, turned: Floats) -> None:
    for i in range(len(face)):
        second, third = np.float64(u[i]), np.float64(v[i])
        a, b, c = corners[face[i], 0], corners[face[i], 1], corners[face[i], 2]
        square = 0.0
        for k in range(3):
            turned[i, k] = (1.0 - second - third) * normals[a, k] + second * normals[b, k] + third * normals[c, k]
            square += turned[i, k] ** 2
        length = max(np.sqrt(square), 1e-12)
        for k in range(3):
            turned[i, k] /= length
