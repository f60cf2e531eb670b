"""Areas of triangles and vertices, for means over a surface."""

from __future__ import annotations

import numpy as np

from builder.arrays import Bools, Floats
from builder.model.model import Surface


def face_areas(surface: Surface) -> Floats:
    """Area of each triangle, (m,) float64, mm2."""
    p, q, r = (surface.vertices[surface.faces[:, k]] for k in range(3))
    areas: Floats = np.linalg.norm(np.cross(q - p, r - p), axis=1) / 2.0
    return areas


def vertex_areas(surface: Surface) -> Floats:
    """Area each vertex stands for, (n,) float64, mm2: a third of its triangles'."""
    thirds = np.repeat(face_areas(surface) / 3.0, 3)
    areas: Floats = np.bincount(surface.faces.ravel(), thirds, len(surface.vertices)).astype(np.float64)
    return areas


def piece_middles(side: int) -> Floats:
    """Weights of a triangle's corners at the middles of its equal pieces, ``side`` along each side: (side^2, 3)."""
    third = []
    for row in range(side):
        for column in range(side - row):
            third.append((row + 1 / 3, column + 1 / 3))
            if row + column < side - 1:
                third.append((row + 2 / 3, column + 2 / 3))
    u, v = np.array(third).T / side
    return np.stack([1.0 - u - v, u, v], axis=1)


def piece_points(surface: Surface, faces: Bools, weights: Floats) -> tuple[Floats, Floats]:
    """The middles of the pieces of triangles ``faces`` (m,) bool, by :func:`piece_middles`, triangle after triangle.

    Returns:
        points (k, 3), mm, on the flat triangles; normals (k, 3), unit, read between the corners'.

    """
    corners = surface.faces[faces]
    points = np.einsum("pc,fcx->fpx", weights, surface.vertices[corners]).reshape(-1, 3)
    normals = np.einsum("pc,fcx->fpx", weights, surface.normals[corners]).reshape(-1, 3)
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
    return points, normals
