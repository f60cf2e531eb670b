"""The rule of the two families, on pictures drawn by hand."""

from __future__ import annotations

import numpy as np
import pytest

from builder.light.value import luminance_of_value, value_of_luminance
from builder.plates.causes import LIT, SHADOW, Family
from builder.plates.family_rule import both_sides, rule_facts

SIDE = 80
BOX = (0.0, 0.0, float(SIDE), float(SIDE))
UPRIGHT = np.stack([np.full(SIDE + 1, SIDE / 2), np.arange(SIDE + 1.0)], axis=1)
"""A line down the middle of the picture, one piece a pixel."""


def halves(left: int = Family.LIGHT, right: int = Family.CORE) -> np.ndarray:
    return np.repeat(np.array([left, right], np.uint8), SIDE // 2)[None].repeat(SIDE, axis=0)


def painted(left_value: float, right_value: float) -> np.ndarray:
    values = np.repeat(np.array([left_value, right_value]), SIDE // 2)[None].repeat(SIDE, axis=0)
    return luminance_of_value(values).astype("f4")


@pytest.mark.parametrize("light", LIT)
@pytest.mark.parametrize("shadow", SHADOW)
@pytest.mark.parametrize("turned", [False, True])
def test_the_rule_holds_where_every_shadow_is_darker(light, shadow, turned):
    """Whatever the families, and whichever way the line runs: all of the edge keeps the rule, with the two values."""
    sides = both_sides([UPRIGHT[::-1] if turned else UPRIGHT], halves(light, shadow), painted(7, 3), 4.0)
    facts = rule_facts(sides, BOX)
    assert facts.pop("shadow_lightest_value") == pytest.approx(3, abs=1e-5)
    assert facts.pop("light_darkest_value") == pytest.approx(7, abs=1e-5)
    assert facts == {"family_rule_holds": True, "family_rule_share": 1.0}
    assert sides.length.sum() == pytest.approx(SIDE)


def test_the_facts_say_where_the_rule_is_broken():
    """A quarter of the edge, near its foot, has a shadow that is lighter: the share and the place are that."""
    luminance = painted(6, 3)
    luminance[60:, SIDE // 2 :] = luminance_of_value(8)
    facts = rule_facts(both_sides([UPRIGHT], halves(), luminance, 4.0), BOX)
    assert facts["family_rule_holds"] is False
    assert facts["family_rule_share"] == pytest.approx(0.75)
    assert facts["family_rule_worst_x"] == pytest.approx(0.5, abs=0.01)
    assert 0.75 <= facts["family_rule_worst_y"] <= 1.0
    assert facts["shadow_lightest_value"] == pytest.approx(8, abs=1e-5)


def test_the_worst_place_is_that_broken_most():
    """Two stretches are broken, the upper by one step, the lower by three: the lower is named."""
    luminance = painted(5, 3)
    luminance[8:12, SIDE // 2 :] = luminance_of_value(6)
    luminance[48:52, SIDE // 2 :] = luminance_of_value(8)
    luminance[60:, SIDE // 2 :] = luminance_of_value(5.1)
    facts = rule_facts(both_sides([UPRIGHT], halves(), luminance, 4.0), BOX)
    assert facts["family_rule_worst_y"] == pytest.approx(50 / SIDE, abs=0.02)


def test_equal_is_not_darker():
    """A shadow as light as the light beside it breaks the rule."""
    assert rule_facts(both_sides([UPRIGHT], halves(), painted(5, 5), 4.0), BOX)["family_rule_share"] == 0.0


def test_sides_are_looked_at_a_stated_distance_away():
    """On a ramp of light the two sides read what it has that far to the left and right of the edge."""
    ramp = np.linspace(0.9, 0.1, SIDE)[None].repeat(SIDE, axis=0).astype("f4")
    sides = both_sides([UPRIGHT], halves(), ramp, 6.0)
    np.testing.assert_allclose(sides.light, ramp[0, SIDE // 2 - 6], rtol=1e-6)
    np.testing.assert_allclose(sides.shadow, ramp[0, SIDE // 2 + 6], rtol=1e-6)


def test_only_the_sculpture_counts():
    """Where one side lies beyond the sculpture, outside the picture or in the same family, nothing is compared."""
    beyond = halves(Family.LIGHT, Family.CORE + 16)
    assert rule_facts(both_sides([UPRIGHT], beyond, painted(7, 3), 4.0), BOX) == {}
    assert rule_facts(both_sides([UPRIGHT], halves(Family.LIGHT, Family.HALFTONE), painted(7, 3), 4.0), BOX) == {}
    assert rule_facts(both_sides([UPRIGHT], halves(), painted(7, 3), 41.0), BOX) == {}
    assert rule_facts(both_sides([], halves(), painted(7, 3), 4.0), BOX) == {}


def test_a_few_stray_pixels_do_not_speak_for_all():
    """Less than a twentieth of the edge may be lighter without being called the lightest shadow."""
    luminance = painted(7, 3)
    luminance[:3, SIDE // 2 :] = 1.0
    facts = rule_facts(both_sides([UPRIGHT], halves(), luminance, 4.0), BOX)
    assert facts["family_rule_holds"] is True
    assert facts["shadow_lightest_value"] == pytest.approx(3, abs=1e-5)
    luminance[:5, SIDE // 2 :] = 1.0
    facts = rule_facts(both_sides([UPRIGHT], halves(), luminance, 4.0), BOX)
    assert facts["shadow_lightest_value"] == pytest.approx(float(value_of_luminance(1.0)))
