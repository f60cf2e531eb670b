"""The tone plate: the light as the eye meets it, or as a pencil can give it, in full gradation."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.light.value import VALUE_OF_ROOT, codes_of_luminance, value_between, value_of_luminance
from builder.plates.key import key_facts
from builder.plates.plate import FactValue, Plate, Shown

DARKEST_PERCENT, LIGHTEST_PERCENT = 1.0, 99.0
"""Percentiles of the subject's pixels taken as its darkest and lightest, so that a few stray pixels do not count."""


def make_tone(shown: Shown) -> Plate:
    """The picture in full gradation, luminance above 1 clipped, its key and the values of the subject measured
    before encoding. Both are of what is painted, :attr:`~builder.plates.plate.Shown.drawn`.
    """
    subject = shown.drawn[shown.subject]
    # Value rises with luminance, so what divides the one divides the other.
    darkest, lightest = value_of_luminance(np.percentile(subject, (DARKEST_PERCENT, LIGHTEST_PERCENT)))
    facts: dict[str, FactValue] = {
        "subject_mean_value": _mean_value(subject, VALUE_OF_ROOT),
        "subject_darkest_value": float(darkest),
        "subject_lightest_value": float(lightest),
        "value_range": float(lightest - darkest),
    }
    return Plate("tone", codes_of_luminance(shown.drawn), lossless=False, facts=facts | key_facts(shown))


@njit(cache=True, nogil=True)
def _mean_value(luminance: Any, value_of_root: Any) -> float:
    total = 0.0
    for i in range(len(luminance)):
        total += value_between(luminance[i], value_of_root)
    return total / len(luminance)
