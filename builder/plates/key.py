"""The key of a picture: whether it is light, middling or dark as a whole."""

from __future__ import annotations

from typing import Literal

import numpy as np

from builder.light.value import value_of_luminance
from builder.plates.plate import FactValue, Shown

Key = Literal["high", "middle", "low"]

LOW_VALUE, HIGH_VALUE = 10 / 3, 20 / 3
"""Thirds of the value scale. A picture is in a low key up to the first and in a high key from the second. The words are
common practice, no source; the thirds are our division, the same as of the study in three values."""


def key_of_value(median_value: float) -> Key:
    """The key of a picture half of which is darker than this Munsell value."""
    if median_value >= HIGH_VALUE:
        return "high"
    return "low" if median_value <= LOW_VALUE else "middle"


def key_facts(shown: Shown) -> dict[str, FactValue]:
    """The key of the picture as it is painted, with the median values of picture and subject, and whether it is painted
    as the light is.
    """
    picture = float(value_of_luminance(np.median(shown.drawn)))
    subject = float(value_of_luminance(np.median(shown.drawn[shown.subject])))
    return {
        "picture_range": "full" if np.array_equal(shown.drawn, shown.luminance) else "pencil",
        "picture_key": key_of_value(picture),
        "picture_median_value": picture,
        "subject_median_value": subject,
    }
