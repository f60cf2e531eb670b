"""How wide planes are: their areas and the length of their outlines."""

from __future__ import annotations

import numpy as np

from builder.arrays import Bools, Floats, Ints
from builder.model.triangles import Indices


def outlines(
    vertices: Floats, faces: Ints, label: Indices, count: int, seam: Bools | None = None, span: Bools | None = None
) -> tuple[Floats, Floats]:
    """(count,) area and length of outline of each plane; faces (m, 3), label (m,).

    Of a plane that crosses the mirror, ``span`` (count,), sides on the ``seam`` (n,) are no part of the outline.
    """
    corners = vertices[faces]
    double = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    area: Floats = np.bincount(label, double / 2, count).astype(np.float64)
    ends = np.sort(np.stack([faces, np.roll(faces, -1, axis=1)], axis=2).reshape(-1, 2).astype(np.int64), axis=1)
    owner = np.repeat(label, 3)
    # a side within a plane is there twice with the same label
    key = (ends[:, 0] * len(vertices) + ends[:, 1]) * count + owner
    _, place, times = np.unique(key, return_inverse=True, return_counts=True)
    alone = times[place] == 1
    if seam is not None and span is not None:
        alone &= ~(span[owner] & seam[ends[:, 0]] & seam[ends[:, 1]])
    long = np.linalg.norm(vertices[ends[:, 0]] - vertices[ends[:, 1]], axis=1)
    return area, np.bincount(owner[alone], long[alone], count).astype(np.float64)
