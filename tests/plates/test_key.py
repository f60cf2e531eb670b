"""The key of a picture."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.light.value import luminance_of_value
from builder.plates.key import key_facts, key_of_value
from tests.plates.known_light import picture


@pytest.mark.parametrize(
    ("value", "key"),
    [(0, "low"), (10 / 3, "low"), (3.34, "middle"), (5, "middle"), (6.66, "middle"), (20 / 3, "high"), (10, "high")],
)
def test_the_key_is_the_third_of_the_scale_where_the_middle_lies(value, key):
    """Up to 3.33 is low, from 6.67 is high."""
    assert key_of_value(value) == key


def test_medians_of_picture_and_subject():
    """Half of the pixels are darker than the median: of all for the picture, of the sculpture's for the subject."""
    value = np.full((10, 10), 2.0)
    value[:, 6:] = 8.0  # the subject: four columns of ten
    subject = value > 5
    facts = key_facts(picture(luminance_of_value(value).astype("f4"), subject))
    assert facts["picture_median_value"] == pytest.approx(2.0, abs=1e-5)
    assert facts["subject_median_value"] == pytest.approx(8.0, abs=1e-5)
    assert facts["picture_key"] == "low"


@given(seed=st.integers(0, 2**32 - 1))
def test_the_median_parts_the_pixels_in_two(seed):
    """No more than half of the pixels are darker, no more than half lighter, than the median of the picture."""
    luminance = np.random.default_rng(seed).random((15, 15)).astype("f4")
    median = luminance_of_value(key_facts(picture(luminance))["picture_median_value"])
    assert (luminance < median - 1e-6).sum() <= 112 and (luminance > median + 1e-6).sum() <= 112


def test_the_facts_are_of_what_is_painted():
    """A picture painted otherwise than the light is says so, and its key is that of the painting."""
    true = picture(luminance_of_value(np.full((8, 8), 1.0)).astype("f4"))
    painted = replace(true, drawn=luminance_of_value(np.full((8, 8), 7.0)))
    assert (key_facts(true)["picture_range"], key_facts(true)["picture_key"]) == ("full", "low")
    assert (key_facts(painted)["picture_range"], key_facts(painted)["picture_key"]) == ("pencil", "high")
    assert key_facts(painted)["subject_median_value"] == pytest.approx(7.0, abs=1e-5)
