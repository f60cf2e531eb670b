"""The better of two ways to seat corners: free to move far, planes come out flat; held near, the form is kept."""

from __future__ import annotations

import numpy as np

from builder.arrays import Floats
from builder.model.triangles import Triangles
from builder.planes.carve import Carved, carve
from builder.planes.distance import boxed, spread
from builder.planes.flips import folded
from builder.planes.straighten import Labelled

FARTHEST = (0.3, 0.08)
"""How far a corner may move, in sizes of a plane. Far is better for most bodies; near for those with tunnels and thin
walls, where corners that move far meet what lies behind (a scanned skull).
"""
_SAMPLES = 3000


def carved_well(labelled: Labelled, size: Floats, ground: float) -> Carved:
    """The planes carved each way, and of the two the one with less amiss."""
    points = spread(labelled.skin.vertices, labelled.skin.faces, _SAMPLES)
    ways = [carve(labelled, size, ground, farthest) for farthest in FARTHEST]
    return min(ways, key=lambda carved: amiss(carved, points))


def amiss(carved: Carved, points: Floats) -> float:
    """How far the solid lies from ``points`` (n, 3) of the form, and its corners from their planes, root mean square of
    each, in diagonals, and the share of its surface that is folded over.
    """
    vertices, faces, label = carved.vertices, carved.faces, carved.label
    gap = boxed(vertices, faces.astype(np.int32)).nearest(points)[2]
    cross = Triangles(vertices, faces).crosses()
    count = int(label.max()) + 1
    area = np.linalg.norm(cross, axis=1) / 2
    whole = np.maximum(np.bincount(label, area, count), 1e-300)
    sums = [np.bincount(label, cross[:, k], count) for k in range(3)]
    normals = np.stack(sums, axis=1) / np.maximum(np.linalg.norm(sums, axis=0), 1e-300)[:, None]
    middle = area[:, None] * vertices[faces].mean(axis=1)
    centres = np.stack([np.bincount(label, middle[:, k], count) for k in range(3)], axis=1) / whole[:, None]
    off = np.einsum("fkj,fj->fk", vertices[faces] - centres[label][:, None], normals[label])
    bulge = np.zeros(count)
    np.maximum.at(bulge, label, np.abs(off).max(axis=1))
    fold = folded(vertices, faces, label, normals)
    bulging = np.sqrt((area * bulge[label] ** 2).sum() / area.sum())
    return float(np.sqrt((gap**2).mean()) + bulging + fold.sum() / area.sum())
