"""The triangles of a plane laid anew inside its outline, so that none lies folded over its neighbours."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Floats
from builder.model.triangles import Corners, Indices

_ROUNDS = 30
_BETTER = 1e-9


def unfolded(vertices: Floats, faces: Corners, label: Indices, normals: Floats, seam: Bools) -> Corners:
    """The faces (m, 3) with sides between two of one plane turned wherever that makes the worse of the two better.

    normals (k, 3) of the planes. No side is made that exists already, nor one between two points of the ``seam`` (n,):
    with its image it would lie there twice.
    """
    rows = np.array(faces, np.int64)
    # each side beside the one that runs along it the other way
    start, end = rows.ravel(), np.roll(rows, -1, axis=1).ravel()
    one, other = start * len(vertices) + end, end * len(vertices) + start
    order = np.argsort(one, kind="stable")
    place = np.searchsorted(one[order], other).clip(max=len(order) - 1)
    across = np.where(one[order][place] == other, order[place], -1)
    points, upright = np.ascontiguousarray(vertices, np.float64), np.ascontiguousarray(normals, np.float64)
    _turn(points, rows, label.astype(np.int64), upright, seam, across, (_ROUNDS, _BETTER))
    return rows


@njit(cache=True, nogil=True)
def _turn(x: Any, rows: Any, label: Any, normals: Any, seam: Any, across: Any, limits: Any) -> None:
    """Turn sides in rounds, in the order of the faces; ``across`` (3 m,): side k of face f stands at 3 f + k."""
    for _ in range(limits[0]):
        changed = False
        for f in range(len(rows)):
            for k in range(3):
                beside = across[3 * f + k]
                if beside < 0:
                    continue
                g, m = beside // 3, beside % 3
                a, b, c, d = rows[f, k], rows[f, (k + 1) % 3], rows[f, (k + 2) % 3], rows[g, (m + 2) % 3]
                if a > b or label[f] != label[g] or c == d or (seam[c] and seam[d]):
                    continue
                normal = normals[label[f]]
                before = min(_fill(x, normal, a, b, c), _fill(x, normal, b, a, d))
                after = min(_fill(x, normal, c, d, b), _fill(x, normal, d, c, a))
                if after <= before + limits[1] or _drawn(rows, c, d):
                    continue
                bc, ca = across[3 * f + (k + 1) % 3], across[3 * f + (k + 2) % 3]
                ad, db = across[3 * g + (m + 1) % 3], across[3 * g + (m + 2) % 3]
                rows[f, 0], rows[f, 1], rows[f, 2] = c, d, b
                rows[g, 0], rows[g, 1], rows[g, 2] = d, c, a
                across[3 * f], across[3 * f + 1], across[3 * f + 2] = 3 * g, db, bc
                across[3 * g], across[3 * g + 1], across[3 * g + 2] = 3 * f, ca, ad
                for side in (3 * f + 1, 3 * f + 2, 3 * g + 1, 3 * g + 2):
                    if across[side] >= 0:
                        across[across[side]] = side
                changed = True
        if not changed:
            break


@njit(cache=True, nogil=True)
def _drawn(rows: Any, c: int, d: int) -> bool:
    """Whether a side between two corners exists."""
    for f in range(len(rows)):
        if (rows[f, 0] == c or rows[f, 1] == c or rows[f, 2] == c) and (
            rows[f, 0] == d or rows[f, 1] == d or rows[f, 2] == d
        ):
            return True
    return False


@njit(cache=True, nogil=True)
def _fill(x: Any, normal: Any, a: int, b: int, c: int) -> float:
    """Twice the area of a triangle, seen from the plane's outside, over the square of its longest side."""
    px, py, pz = x[b, 0] - x[a, 0], x[b, 1] - x[a, 1], x[b, 2] - x[a, 2]
    qx, qy, qz = x[c, 0] - x[a, 0], x[c, 1] - x[a, 1], x[c, 2] - x[a, 2]
    rx, ry, rz = qx - px, qy - py, qz - pz
    longest = max(px * px + py * py + pz * pz, qx * qx + qy * qy + qz * qz, rx * rx + ry * ry + rz * rz)
    if longest <= 0.0:
        return 0.0
    seen = (py * qz - pz * qy) * normal[0] + (pz * qx - px * qz) * normal[1] + (px * qy - py * qx) * normal[2]
    return float(seen / longest)


def folded(vertices: Floats, faces: Corners, label: Indices, normals: Floats) -> Floats:
    """(m,) area of each face that looks against its plane; 0 for all others."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    along = np.einsum("ij,ij->i", np.cross(b - a, c - a), normals[label]) / 2
    area: Floats = np.maximum(-along, 0.0)
    return area
