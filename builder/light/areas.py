"""Areas of triangles and vertices, for means over a surface."""

from __future__ import annotations

import numpy as np

from builder.arrays import Floats
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
