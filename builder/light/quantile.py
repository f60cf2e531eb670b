"""Quantiles of values that do not all count the same, such as light on vertices that stand for areas."""

from __future__ import annotations

import numpy as np

from builder.arrays import Floats


def weighted_quantile(values: Floats, weights: Floats, share: float) -> float:
    """The value up to which ``share`` (0..1) of the weight lies; values, weights (n,), n > 0."""
    order = np.argsort(values, kind="stable")
    reached = np.cumsum(weights[order])
    return float(values[order][np.searchsorted(reached, share * reached[-1])])
