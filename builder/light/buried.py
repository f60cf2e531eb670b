"""Vertices shut in under a body that rests on them: their triangles reach into the light, they do not.

Ground under a plinth and plinth under a sculpture are dark. Read as they stand, their darkness would leak along the
triangles that cross the contact; so the open vertices next to them speak for them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csr_array

from builder.arrays import Bools, Floats, Singles
from builder.light.edges import edges
from builder.model.model import Surface


def open_neighbours(surface: Surface, buried: Bools) -> csr_array:
    """(n, n): 1 where a buried vertex (row) has an edge with an open one (column)."""
    count = len(surface.vertices)
    ends, _ = edges(surface)
    both = np.concatenate([ends, ends[:, ::-1]])
    both = both[buried[both[:, 0]] & ~buried[both[:, 1]]]
    return csr_array(coo_array((np.ones(len(both)), (both[:, 0], both[:, 1])), shape=(count, count)))


def filled(surface: Surface, buried: Bools, light: Singles) -> Singles:
    """Light with that of each buried vertex replaced by the mean of its open neighbours', (n,) float32.

    A buried vertex without any keeps its own: no triangle of it can be seen.
    """
    near = open_neighbours(surface, buried)
    number: NDArray[np.float64] = near.sum(axis=1)
    known = number > 0
    values: Floats = light.astype(np.float64)
    values[known] = (near @ values)[known] / number[known]
    result: Singles = values.astype(np.float32)
    return result
