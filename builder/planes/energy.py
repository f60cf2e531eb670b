"""What a plane costs: how far the faces gathered into it turn away from it, and how far they stand off it.

A patch of faces is kept as 13 sums over its area: area; area times normal (3); area times centre (3); second moments
xx, yy, zz, xy, xz, yz (6). Its plane goes through its centre along its mean normal, and its energy has a closed form:

    2 (A - |S|)  +  weight * N' C N

The first part is the L2,1 error, the integral of |n - N|^2 over the patch (Cohen-Steiner, Alliez and Desbrun 2004),
the second the integral of the squared distance from the plane, C the second moments about the centre.

A patch may stand for itself and its mirror image in x = 0: as two planes (paired), or as one that crosses the mirror
(span), whose normal then has no x.
"""

from __future__ import annotations

import numpy as np

from builder.arrays import Bools, Floats, Ints
from builder.model.triangles import Indices

SUMS = 13
OFF_PLANE = 1000.0
"""Weight of the squared distance from the plane, for bodies scaled to a diagonal of 1. From 300 to 10,000 planes lie
equally near to a scan; without it a third farther (measured on two scanned heads).
"""


def face_sums(vertices: Floats, faces: Ints, times: Floats) -> Floats:
    """(m, 13) the sums of each face; ``times`` (m,) how much more its area counts."""
    corners = vertices[faces]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) * times[:, None] / 2
    area = np.linalg.norm(cross, axis=1)
    middle = corners.mean(axis=1)
    sums = np.zeros((len(faces), SUMS))
    sums[:, 0], sums[:, 1:4], sums[:, 4:7] = area, cross, area[:, None] * middle
    # the exact second moments of a triangle: A/12 (sum of v v' over its corners + 9 c c')
    for place, (i, j) in enumerate(((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2)), 7):
        products = (corners[:, :, i] * corners[:, :, j]).sum(axis=1) + 9 * middle[:, i] * middle[:, j]
        sums[:, place] = area / 12 * products
    return sums


def gathered(sums: Floats, label: Indices, count: int) -> Floats:
    """(count, 13) the sums of each label."""
    return np.stack([np.bincount(label, sums[:, k], count) for k in range(sums.shape[1])], axis=1)


def planes_of(sums: Floats, span: Bools) -> tuple[Floats, Floats]:
    """(k, 3) unit normals and (k, 3) centres of the planes of patches."""
    normals = sums[:, 1:4].copy()
    long = np.linalg.norm(normals, axis=1)
    across = span & (np.linalg.norm(normals[:, 1:], axis=1) > 0.3 * long)
    normals[across, 0] = 0.0
    long = np.linalg.norm(normals, axis=1)
    normals = np.where(long[:, None] > 0, normals / np.maximum(long, 1e-300)[:, None], (0.0, 0.0, 1.0))
    centres = sums[:, 4:7] / np.maximum(sums[:, 0], 1e-300)[:, None]
    centres[across, 0] = 0.0
    return normals, centres


def second_moments(sums: Floats) -> Floats:
    """(k, 3, 3) mean products of distances from the centre, over each patch."""
    area = np.maximum(sums[:, 0], 1e-300)
    centres = sums[:, 4:7] / area[:, None]
    order = np.array([[7, 10, 11], [10, 8, 12], [11, 12, 9]])
    moments: Floats = sums[:, order] / area[:, None, None] - centres[:, :, None] * centres[:, None, :]
    return moments
