"""The tone plate."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from builder.light.value import codes_of_luminance, luminance_of_value
from builder.plates.tone import make_tone
from tests.plates.known_light import picture


def test_a_ramp_even_in_value():
    """Mean, darkest (1 %), lightest (99 %) and range of an even ramp from value 2 to 8 are known."""
    value = np.tile(np.linspace(2, 8, 601), (5, 1))
    facts = make_tone(picture(luminance_of_value(value).astype("f4"))).facts
    assert facts["subject_mean_value"] == pytest.approx(5.0, abs=1e-5)
    assert facts["subject_darkest_value"] == pytest.approx(2.06, abs=1e-3)
    assert facts["subject_lightest_value"] == pytest.approx(7.94, abs=1e-3)
    assert facts["value_range"] == pytest.approx(5.88, abs=1e-3)


def test_only_the_subject_is_measured():
    """A black surround does not darken the subject's facts."""
    subject = np.zeros((40, 40), np.bool_)
    subject[10:30, 10:30] = True
    luminance = np.where(subject, luminance_of_value(6.0), 0.0).astype("f4")
    facts = make_tone(picture(luminance, subject)).facts
    for name in ("subject_mean_value", "subject_darkest_value", "subject_lightest_value"):
        assert facts[name] == pytest.approx(6.0, abs=1e-5)


def test_codes_follow_the_screen_standard_and_clip_at_white():
    """Value 5 is code 121 (ASTM D1535, IEC 61966-2-1); what is brighter than white is white."""
    row = np.array([[0.0, luminance_of_value(5.0), 1.0, 2.5]], "f4").repeat(2, axis=0)
    assert make_tone(picture(row)).grey[0].tolist() == [0, 121, 255, 255]


def test_what_is_drawn_is_painted_and_measured():
    """A picture brought into another range is painted and measured there; the true light no longer shows."""
    true = picture(luminance_of_value(np.tile(np.linspace(0, 4, 41), (4, 1))).astype("f4"))
    drawn = luminance_of_value(np.tile(np.linspace(5, 9, 41), (4, 1)))
    plate = make_tone(replace(true, drawn=drawn))
    assert np.array_equal(plate.grey, codes_of_luminance(drawn.astype("f4")))
    assert plate.facts["subject_mean_value"] == pytest.approx(7.0, abs=1e-5)
    assert plate.facts["picture_median_value"] == pytest.approx(7.0, abs=1e-5)
    assert plate.facts["picture_range"] == "pencil" and plate.facts["picture_key"] == "high"


def test_as_a_rule_the_light_is_painted_as_it_is():
    """Where nothing is brought into another range the plate is the true luminance, to the last code."""
    true = picture(luminance_of_value(np.tile(np.linspace(0, 10, 300), (4, 1))).astype("f4"))
    plate = make_tone(true)
    assert np.array_equal(plate.grey, codes_of_luminance(true.luminance))
    assert plate.facts["picture_range"] == "full"
