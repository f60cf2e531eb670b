"""The triangles of a plane laid anew inside its outline, so that none lies folded over its neighbours."""

from __future__ import annotations

import numpy as np

from builder.arrays import Bools, Floats
from builder.model.triangles import Corners, Indices

_ROUNDS = 30
_BETTER = 1e-9


def unfolded(vertices: Floats, faces: Corners, label: Indices, normals: Floats, seam: Bools) -> Corners:
    """The faces (m, 3) with sides between two of one plane turned wherever that makes the worse of the two better.

    normals (k, 3) of the planes. No side is made that exists already, nor one between two points of the ``seam`` (n,):
    with its image it would lie there twice.
    """
    rows, points, upright = faces.tolist(), vertices.tolist(), normals.tolist()
    at = {}
    for f, row in enumerate(rows):
        for k in range(3):
            at[row[k], row[(k + 1) % 3]] = f
    for _ in range(_ROUNDS):
        changed = False
        for a, b in sorted(at):
            if a > b or (a, b) not in at or (b, a) not in at:
                continue
            f, g = at[a, b], at[b, a]
            if label[f] != label[g]:
                continue
            c, d = _third(rows[f], a, b), _third(rows[g], a, b)
            if c == d or (c, d) in at or (d, c) in at or (seam[c] and seam[d]):
                continue
            normal = upright[label[f]]
            before = min(_fill(points, normal, a, b, c), _fill(points, normal, b, a, d))
            after = min(_fill(points, normal, c, d, b), _fill(points, normal, d, c, a))
            if after <= before + _BETTER:
                continue
            del at[a, b], at[b, a]
            rows[f], rows[g] = [c, d, b], [d, c, a]
            at[c, d], at[d, b], at[b, c] = f, f, f
            at[d, c], at[c, a], at[a, d] = g, g, g
            changed = True
        if not changed:
            break
    return np.array(rows, np.int64)


def _third(face: list[int], a: int, b: int) -> int:
    """The corner of a face beside two others."""
    return next(corner for corner in face if corner not in (a, b))


def _fill(points: list[list[float]], normal: list[float], a: int, b: int, c: int) -> float:
    """Twice the area of a triangle, seen from the plane's outside, over the square of its longest side."""
    (ax, ay, az), (bx, by, bz), (cx, cy, cz) = points[a], points[b], points[c]
    px, py, pz, qx, qy, qz = bx - ax, by - ay, bz - az, cx - ax, cy - ay, cz - az
    rx, ry, rz = qx - px, qy - py, qz - pz
    longest = max(px * px + py * py + pz * pz, qx * qx + qy * qy + qz * qz, rx * rx + ry * ry + rz * rz)
    if longest <= 0.0:
        return 0.0
    nx, ny, nz = normal
    return ((py * qz - pz * qy) * nx + (pz * qx - px * qz) * ny + (px * qy - py * qx) * nz) / longest


def folded(vertices: Floats, faces: Corners, label: Indices, normals: Floats) -> Floats:
    """(m,) area of each face that looks against its plane; 0 for all others."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    along = np.einsum("ij,ij->i", np.cross(b - a, c - a), normals[label]) / 2
    area: Floats = np.maximum(-along, 0.0)
    return area
