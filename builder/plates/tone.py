"""The tone plate: the light as the eye meets it, or as a pencil can give it, in full gradation."""

from __future__ import annotations

import numpy as np

from builder.light.value import codes_of_luminance, value_of_luminance
from builder.plates.key import key_facts
from builder.plates.plate import FactValue, Plate, Shown

DARKEST_PERCENT, LIGHTEST_PERCENT = 1.0, 99.0
"""Percentiles of the subject's pixels taken as its darkest and lightest, so that a few stray pixels do not count."""


def make_tone(shown: Shown) -> Plate:
    """The picture in full gradation, luminance above 1 clipped, its key and the values of the subject measured
    before encoding. Both are of what is painted, :attr:`~builder.plates.plate.Shown.drawn`.
    """
    values = value_of_luminance(shown.drawn[shown.subject])
    darkest, lightest = np.percentile(values, (DARKEST_PERCENT, LIGHTEST_PERCENT))
    facts: dict[str, FactValue] = {
        "subject_mean_value": float(values.mean()),
        "subject_darkest_value": float(darkest),
        "subject_lightest_value": float(lightest),
        "value_range": float(lightest - darkest),
    }
    return Plate("tone", codes_of_luminance(shown.drawn), lossless=False, facts=facts | key_facts(shown))
