"""What a view's prompts open with: whatever departs most from the usual, by the facts alone."""

from collections.abc import Mapping

import pytest

from builder.plates.plate import FactValue
from builder.prompts.unusual import OF_FORM, OF_LIGHT, PLAIN, unusual_words

USUAL: Mapping[str, FactValue] = {
    "number": 12,
    "eye_level_deg": 0.0,
    "width_to_height": 0.75,
    "left_share": 0.1,
    "right_share": 0.1,
    "front_share": 0.7,
    "shadow_share": 0.38,
    "light_share": 0.62,
    "value_range": 5.8,
    "values_5_shapes": 17,
    "values_3_biggest_share": 0.5,
    "family_cast_share": 0.1,
    "family_reflected_share": 0.01,
    "family_halftone_share": 0.2,
    "subject_mean_value": 6.0,
    "around_value": 2.0,
}
"""A view of which nothing is worth a word; facts that some views lack are left out."""

RARE: Mapping[str, dict[str, FactValue]] = {
    "low": {"eye_level_deg": -30.0},
    "high": {"eye_level_deg": 50.0},
    "short": {"unit_to_front": 0.6},
    "tilt": {"first_tilt_deg": -20.0},
    "air": {"negative_areas": (0.2, 0.01)},
    "wide": {"width_to_height": 1.4},
    "narrow": {"width_to_height": 0.4},
    "slant": {"longest_side_off_plumb_deg": 35.0},
    "proportion": {"odd_proportion": 0.1, "odd_proportion_front": 0.3},
    "hidden": {"landmarks_seen": 4, "landmarks_hidden": 9},
    "aligned": {"aligned_along": "plumb"},
    "sided": {"left_share": 0.5},
    "flat": {"front_share": 0.9},
    "box": {"envelope_sides": 4, "negative_shapes": 0},
    "even": {"width_to_height": 1.0},
    "shadow": {"shadow_share": 0.95, "family_cast_share": 0.2},
    "light": {"light_share": 0.98},
    "close": {"value_range": 3.0},
    "stark": {"value_range": 8.0},
    "many": {"values_5_shapes": 30},
    "few": {"values_5_shapes": 5},
    "mass": {"values_3_biggest_share": 0.95},
    "thrown": {"family_cast_share": 0.36},
    "bounced": {"family_reflected_share": 0.2},
    "halftone": {"family_halftone_share": 0.6},
    "sunk": {"around_value": 6.0},
    "trap": {"family_rule_share": 0.8},
}


def test_every_cause_is_tried() -> None:
    assert RARE.keys() == {*OF_FORM, *OF_LIGHT}


def test_a_usual_view_is_plain() -> None:
    assert set(unusual_words(USUAL).values()) == {PLAIN}


@pytest.mark.parametrize("cause", RARE)
def test_what_is_rare_leads(cause: str) -> None:
    """Alone among usual facts it opens both the view and its half, and the other half stays plain."""
    said = unusual_words({**USUAL, **RARE[cause]})
    mine, other = ("form", "light") if cause in OF_FORM else ("light", "form")
    assert (said["view_first"], said[f"{mine}_first"], said[f"{other}_first"]) == (cause, cause, PLAIN)


def test_the_rarer_leads_and_those_abreast_take_turns() -> None:
    """Far apart, the greater comes first whatever the number; abreast, neighbouring views open with different ones."""
    far = {**USUAL, "eye_level_deg": -30.0, "first_tilt_deg": 8.0}
    assert {unusual_words({**far, "number": number})["form_first"] for number in (1, 2, 3)} == {"low"}
    near = {**USUAL, "eye_level_deg": -30.0, "first_tilt_deg": 19.0}
    assert {unusual_words({**near, "number": number})["form_first"] for number in (1, 2)} == {"low", "tilt"}
    assert {unusual_words({**near, "number": number})["form_second"] for number in (1, 2)} == {"low", "tilt"}
