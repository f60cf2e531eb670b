"""Where on its triangle each sample falls: from the sample's ray and the triangle, so no depth precision is lost."""

from __future__ import annotations

import numpy as np
from numba import njit

from builder.arrays import Floats, Ints, Singles
from builder.camera.sight import Eye
from builder.model.model import Surface


def weights(eye: Eye, surface: Surface, face: Ints) -> tuple[Singles, Singles]:
    """Perspective-correct weights of the triangles seen.

    face (h, w) int32, index into ``surface.faces`` or -1, at the sample centres of the eye's whole picture. Returns u
    and v, (h, w) float32, the weights of the second and third vertex: u >= 0, v >= 0, u + v <= 1, 0 where face is -1.
    With the eye at the origin, a ray d meets the plane of a triangle (p, q, r) at weights in the ratio
    d.(q x r) : d.(r x p) : d.(p x q) (Cramer's rule on p, q, r; the same system as in Moller and Trumbore, Fast,
    Minimum Storage Ray/Triangle Intersection, 1997). Samples whose ray passes a hair outside are put on the edge.
    """
    flags = np.zeros(len(surface.faces) + 1, np.bool_)
    flags[face] = True  # nothing, -1, flags the place after the last face
    seen = np.flatnonzero(flags[:-1])
    row_of = np.zeros(len(surface.faces), np.int32)
    row_of[seen] = np.arange(len(seen), dtype=np.int32)
    p, q, r = (surface.vertices[surface.faces[seen, k]] - eye.position for k in range(3))
    height, width = face.shape
    right, up, back = (eye.world_from_camera[:3, k] for k in range(3))
    # A ray is linear in the sample's place, so each triple product is a plane over the picture: (x, y, 1) . plane.
    across = np.stack([right * eye.tan_x, up * eye.tan_y, -back])
    planes = np.ascontiguousarray(
        np.stack([np.cross(q, r) @ across.T, np.cross(r, p) @ across.T, np.cross(p, q) @ across.T], axis=1)
    )
    x = (2 * np.arange(width) + 1) / width - 1
    y = 1 - (2 * np.arange(height) + 1) / height
    u = np.zeros(face.shape, np.float32)
    v = np.zeros(face.shape, np.float32)
    _fill(np.ascontiguousarray(face), row_of, planes, x, y, u, v)
    return u, v


@njit(cache=True, nogil=True)
def _fill(face: Ints, row_of: Ints, planes: Floats, x: Floats, y: Floats, u: Singles, v: Singles) -> None:
    """Write u and v for every sample that meets a face."""
    for j in range(face.shape[0]):
        for i in range(face.shape[1]):
            if face[j, i] < 0:
                continue
            m = planes[row_of[face[j, i]]]
            a = m[0, 0] * x[i] + m[0, 1] * y[j] + m[0, 2]
            b = m[1, 0] * x[i] + m[1, 1] * y[j] + m[1, 2]
            c = m[2, 0] * x[i] + m[2, 1] * y[j] + m[2, 2]
            total = a + b + c
            if total == 0.0:
                # The triangle is seen exactly from its edge: any of its points will do.
                u[j, i] = 1.0 / 3.0
                v[j, i] = 1.0 / 3.0
                continue
            a, b, c = a / total, b / total, c / total
            a, b, c = max(a, 0.0), max(b, 0.0), max(c, 0.0)
            total = a + b + c
            u[j, i] = b / total
            v[j, i] = c / total
