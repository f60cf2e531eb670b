"""How the sculpture's surface bends at every vertex: a property of the model, whatever the view."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Floats, Ints, frozen
from builder.model.model import Model

EVENED = 1 / 200
"""Bends are evened over this share of the sculpture's size (a standard deviation), so that the grain of a scan is not
taken for form."""
_MOST_ROUNDS = 60


@dataclass(frozen=True, slots=True, eq=False)
class Curvature:
    """The bend of the surface at the sculpture's vertices (``scene.vertices[:body_vertices]``).

    normals (n, 3) float64, unit, evened along the surface; bends (n, 6) float64, 1/mm: the symmetric matrix that turns
    a step on the surface into the change of the normal (xx, yy, zz, xy, yz, zx; model frame), positive where the form
    is convex: on a ball of radius R, a step over R. slopes (m, 7) float64 for the faces: the slope of what is 1 at
    corner 1 and 0 at the others, the same for corner 2, both in the face's plane, 1/mm; and the area, mm2.
    """

    normals: Floats
    bends: Floats
    slopes: Floats

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "normals", frozen(self.normals, "f8", (None, 3)))
        object.__setattr__(self, "bends", frozen(self.bends, "f8", (len(self.normals), 6)))
        object.__setattr__(self, "slopes", frozen(self.slopes, "f8", (None, 7)))


def curvature_of(model: Model) -> Curvature:
    """The curvature of a model, each face's from the normals at its corners and each vertex's the mean of its faces' by
    area (after Rusinkiewicz 2004, Estimating curvatures and their derivatives on triangle meshes). Nothing is carried
    over a crease.
    """
    scene = model.scene
    vertices, normals = scene.vertices[: model.body_vertices], scene.normals[: model.body_vertices]
    faces = scene.faces[: model.body_faces]
    slopes, sides = np.zeros((len(faces), 7)), np.zeros((len(faces), 3))
    _measure(vertices, faces, slopes, sides)
    # a round moves every value by about 0.4 of the square of its distance to the neighbours, either way
    step = float(np.median(sides))
    rounds = min(int(np.ceil((EVENED * model.size_mm / step) ** 2 / 0.4)), _MOST_ROUNDS)
    weights = np.exp(-0.5 * (sides / step) ** 2) / 2
    evened = _evened(faces, weights, normals, rounds)
    evened /= np.maximum(np.linalg.norm(evened, axis=1, keepdims=True), 1e-12)
    bends = np.zeros((len(vertices), 6))
    _bend(slopes, faces, evened, bends)
    return Curvature(evened, _evened(faces, weights, bends, -(-rounds // 2)), slopes)


def _evened(faces: Ints, weights: Floats, values: Floats, rounds: int) -> Floats:
    """Each vertex's values (n, k) averaged with its neighbours', so many times; ``weights`` (m, 3) of the sides, half a
    side's weight each, since most sides belong to two faces.
    """
    whole = np.ones((len(values), 1))
    _gather(faces, weights, np.ones_like(whole), whole)
    now = values
    for _ in range(rounds):
        sums = now.copy()
        _gather(faces, weights, now, sums)
        now = sums / whole
    return now


@njit(cache=True, nogil=True)
def _measure(vertices: Any, faces: Any, slopes: Any, sides: Any) -> None:
    for f in range(len(faces)):
        a, b, c = faces[f]
        ex, ey, ez = vertices[b, 0] - vertices[a, 0], vertices[b, 1] - vertices[a, 1], vertices[b, 2] - vertices[a, 2]
        gx, gy, gz = vertices[c, 0] - vertices[a, 0], vertices[c, 1] - vertices[a, 1], vertices[c, 2] - vertices[a, 2]
        nx, ny, nz = ey * gz - ez * gy, ez * gx - ex * gz, ex * gy - ey * gx
        sides[f, 0] = np.sqrt(ex * ex + ey * ey + ez * ez)
        sides[f, 1] = np.sqrt((gx - ex) ** 2 + (gy - ey) ** 2 + (gz - ez) ** 2)
        sides[f, 2] = np.sqrt(gx * gx + gy * gy + gz * gz)
        square = nx * nx + ny * ny + nz * nz
        if square > 0.0:
            slopes[f, 0], slopes[f, 3] = (gy * nz - gz * ny) / square, (ny * ez - nz * ey) / square
            slopes[f, 1], slopes[f, 4] = (gz * nx - gx * nz) / square, (nz * ex - nx * ez) / square
            slopes[f, 2], slopes[f, 5] = (gx * ny - gy * nx) / square, (nx * ey - ny * ex) / square
            slopes[f, 6] = np.sqrt(square) / 2


@njit(cache=True, nogil=True)
def _gather(faces: Any, weights: Any, values: Any, sums: Any) -> None:
    for f in range(len(faces)):
        for k in range(3):
            a, b, weight = faces[f, k], faces[f, (k + 1) % 3], weights[f, k]
            for c in range(values.shape[1]):
                sums[a, c] += weight * values[b, c]
                sums[b, c] += weight * values[a, c]


@njit(cache=True, nogil=True)
def _bend(slopes: Any, faces: Any, normals: Any, bends: Any) -> None:
    whole = np.zeros(len(normals))
    for f in range(len(faces)):
        a, b, c = faces[f]
        area = slopes[f, 6]
        for i in range(3):
            j = (i + 1) % 3
            # d n_i / d x_j from the rise of n_i over the face, made symmetric
            first_i, second_i = normals[b, i] - normals[a, i], normals[c, i] - normals[a, i]
            first_j, second_j = normals[b, j] - normals[a, j], normals[c, j] - normals[a, j]
            same = first_i * slopes[f, i] + second_i * slopes[f, 3 + i]
            mixed = first_i * slopes[f, j] + second_i * slopes[f, 3 + j]
            mixed = (mixed + first_j * slopes[f, i] + second_j * slopes[f, 3 + i]) / 2
            for p in (a, b, c):
                bends[p, i] += area * same
                bends[p, 3 + i] += area * mixed
        for p in (a, b, c):
            whole[p] += area
    matrix, along = np.zeros((3, 3)), np.zeros(3)
    for p in range(len(normals)):
        if whole[p] == 0.0:
            continue
        # only what lies in the surface counts: P S P with P = 1 - n n'
        for i in range(3):
            j = (i + 1) % 3
            matrix[i, i] = bends[p, i] / whole[p]
            matrix[i, j] = matrix[j, i] = bends[p, 3 + i] / whole[p]
        n = normals[p]
        middle = 0.0
        for i in range(3):
            along[i] = matrix[i, 0] * n[0] + matrix[i, 1] * n[1] + matrix[i, 2] * n[2]
            middle += along[i] * n[i]
        for i in range(3):
            for k in range(2):
                j = (i + k) % 3
                bends[p, 3 * k + i] = matrix[i, j] - along[i] * n[j] - n[i] * along[j] + middle * n[i] * n[j]
