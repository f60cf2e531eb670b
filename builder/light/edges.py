"""The edges of a surface."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from builder.arrays import Ints
from builder.model.model import Surface


def edges(surface: Surface) -> tuple[Ints, NDArray[np.int64]]:
    """Every edge once, in order.

    Returns:
        ends (e, 2) int32 vertex indices, the lower first; uses (e,): how many triangles have the edge.

    """
    count = len(surface.vertices)
    ends = np.sort(np.concatenate([surface.faces[:, pair] for pair in ([0, 1], [1, 2], [2, 0])]), axis=1)
    single, uses = np.unique(ends[:, 0].astype(np.int64) * count + ends[:, 1], return_counts=True)
    return np.stack([single // count, single % count], axis=1).astype(np.int32), uses.astype(np.int64)
