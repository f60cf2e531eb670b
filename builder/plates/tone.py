"""The tone plate: the light as the eye meets it, in full gradation."""

from __future__ import annotations

import numpy as np

from builder.light.value import codes_of_luminance, value_of_luminance
from builder.plates.plate import Plate, Shown

DARKEST_PERCENT, LIGHTEST_PERCENT = 1.0, 99.0
"""Percentiles of the subject's pixels taken as its darkest and lightest, so that a few stray pixels do not count."""


def make_tone(shown: Shown) -> Plate:
    """The picture in full gradation, luminance above 1 clipped, with the subject's values measured before encoding."""
    values = value_of_luminance(shown.luminance[shown.subject])
    darkest, lightest = np.percentile(values, (DARKEST_PERCENT, LIGHTEST_PERCENT))
    return Plate(
        "tone",
        codes_of_luminance(shown.luminance),
        lossless=False,
        facts={
            "subject_mean_value": float(values.mean()),
            "subject_darkest_value": float(darkest),
            "subject_lightest_value": float(lightest),
            "value_range": float(lightest - darkest),
        },
    )
