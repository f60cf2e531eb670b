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
    height, width = face.shape
    right, up, back = (eye.world_from_camera[:3, k] for k in range(3))
    # A ray is linear in the sample's place, so each triple product is a plane over the picture: (x, y, 1) . plane.
    across = np.stack([right * eye.tan_x, up * eye.tan_y, -back])
    row_of = np.full(len(surface.faces), -1, np.int32)
    seen = _number(face, row_of)
    planes = np.zeros((seen, 3, 3))
    _lay(surface.vertices, surface.faces, eye.position, across, row_of, planes)
    x = (2 * np.arange(width) + 1) / width - 1
    y = 1 - (2 * np.arange(height) + 1) / height
    u = np.zeros(face.shape, np.float32)
    v = np.zeros(face.shape, np.float32)
    _fill(np.ascontiguousarray(face), row_of, planes, x, y, u, v)
    return u, v


@njit(cache=True, nogil=True)
def _number(face: Ints, row_of: Ints) -> int:
    """Number the faces that are seen, in their own order; how many."""
    for j in range(face.shape[0]):
        for i in range(face.shape[1]):
            if face[j, i] >= 0:
                row_of[face[j, i]] = 0
    seen = 0
    for f in range(len(row_of)):
        if row_of[f] == 0:
            row_of[f] = seen
            seen += 1
    return seen


@njit(cache=True, nogil=True)
def _lay(vertices: Floats, faces: Ints, eye: Floats, across: Floats, row_of: Ints, planes: Floats) -> None:
    """Fill in the planes of the faces that are seen: q x r, r x p and p x q along the three ways across the picture."""
    corner = np.zeros((3, 3))
    for f in range(len(faces)):
        if row_of[f] < 0:
            continue
        for k in range(3):
            for c in range(3):
                corner[k, c] = vertices[faces[f, k], c] - eye[c]
        for k in range(3):
            one, other = corner[(k + 1) % 3], corner[(k + 2) % 3]
            x = one[1] * other[2] - one[2] * other[1]
            y = one[2] * other[0] - one[0] * other[2]
            z = one[0] * other[1] - one[1] * other[0]
            for way in range(3):
                planes[row_of[f], k, way] = x * across[way, 0] + y * across[way, 1] + z * across[way, 2]


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
