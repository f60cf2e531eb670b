"""Taking the grain that a limited number of rays leaves out of the indirect light, along the surface."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array, csr_array

from builder.arrays import Floats, Singles
from builder.light.areas import vertex_areas
from builder.light.edges import edges
from builder.model.model import Surface

ROUNDS = 3
"""How often each vertex trades light with its neighbours."""
GRAIN = 0.2
"""Relative difference between neighbours that may still be grain; more is form, such as the dark where bodies meet."""
BEND = 0.4
"""1 - cosine between neighbours' normals at which they no longer see the same light."""


def smoothed(surface: Surface, light: Singles) -> Singles:
    """Indirect light without grain.

    In each round neighbours along the surface trade light; what one gives the other takes, so that the light on the
    whole stays the same (area times light, to rounding). The less two normals and two lights agree, the less is traded.
    What the trading took away is smoothed in the same way and given back ("twicing": J. W. Tukey, Exploratory Data
    Analysis, 1977), so that swells of light keep their height.

    Args:
        surface: the triangles.
        light: (n,) float32, any unit.

    Returns:
        (n,) float32, same unit.

    """
    area = vertex_areas(surface)
    whole = np.where(area > 0.0, area, 1.0)
    rough = light.astype(np.float64)
    trade = _trade(surface, rough, area)
    given = trade.sum(axis=1)

    def traded(values: Floats) -> Floats:
        for _ in range(ROUNDS):
            values = values + (trade @ values - given * values) / whole
        return values

    once = traded(rough)
    result: Singles = np.maximum(once + traded(rough - once), 0.0).astype(np.float32)
    return result


def _trade(surface: Surface, light: Floats, area: Floats) -> csr_array:
    """Symmetric (n, n): what neighbours trade, in areas; a row sums to at most half its vertex's area."""
    count = len(light)
    ends, _ = edges(surface)
    one, other = ends.T
    degree = np.bincount(one, minlength=count) + np.bincount(other, minlength=count)
    room = area / np.maximum(degree, 1) / 2.0
    bend = 1.0 - np.einsum("ij,ij->i", surface.normals[one], surface.normals[other])
    mean = (light[one] + light[other]) / 2.0
    step = np.divide(light[one] - light[other], mean, out=np.zeros_like(mean), where=mean > 0.0)
    weight = np.minimum(room[one], room[other]) * np.exp(-((bend / BEND) ** 2) - (step / GRAIN) ** 2)
    half = coo_array((weight, (one, other)), shape=(count, count))
    return csr_array(half + half.T)
