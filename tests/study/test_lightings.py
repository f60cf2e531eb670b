import math

import pytest

from builder.study.lightings import LIGHTINGS, lighting

BY_NAME = {one.name: one for one in LIGHTINGS}


def test_the_six_lightings_of_the_trade_are_there():
    assert list(BY_NAME) == ["north-window", "three-quarter-lamp", "side-lamp", "top-lamp", "low-lamp", "rim-lamp"]


@pytest.mark.parametrize(
    ("name", "angle_deg", "lit_share"), [("three-quarter-lamp", 60.0, 0.75), ("side-lamp", 90.0, 0.5)]
)
def test_the_angle_between_eye_and_lamp_is_that_of_studio_practice(name, angle_deg, lit_share):
    # a ball seen from the front shows (1 + cos p) / 2 of its disc in the light (phase of a sphere, spherical geometry);
    # 45/45 gives three quarters, a side lamp half
    key = BY_NAME[name].key
    cosine = math.cos(math.radians(key.elevation_deg)) * math.cos(math.radians(key.bearing_deg))
    assert math.degrees(math.acos(cosine)) == pytest.approx(angle_deg, abs=1e-9)
    assert (1 + cosine) / 2 == pytest.approx(lit_share, abs=1e-12)


def test_the_rim_lamp_stands_behind_and_the_top_lamp_high_in_front():
    # common studio practice: a rim lamp 135 degrees off and 30 up, so that the lit share of a ball is 0.1938
    rim = BY_NAME["rim-lamp"].key
    cosine = math.cos(math.radians(rim.elevation_deg)) * math.cos(math.radians(rim.bearing_deg))
    assert math.degrees(math.acos(cosine)) == pytest.approx(127.76, abs=0.005)
    assert (1 + cosine) / 2 == pytest.approx(0.1938, abs=5e-5)
    top = BY_NAME["top-lamp"].key
    assert 60 <= top.elevation_deg < 90 and top.bearing_deg == 0


def test_lamps_to_one_side_stand_on_the_left_of_a_viewer_in_front():
    # common practice for right-handed students; the model's right is the viewer's left
    for name in ("north-window", "three-quarter-lamp", "side-lamp", "low-lamp", "rim-lamp"):
        assert BY_NAME[name].key.bearing_deg < 0


def test_the_low_lamp_clears_the_ground_under_a_model_as_tall_as_wide():
    # its lowest point, in sizes, with the middle half a size above the base
    key = BY_NAME["low-lamp"].key
    drop = key.distance.value * math.sin(math.radians(-key.elevation_deg))
    radius = key.height.value / 2 * math.cos(math.radians(key.elevation_deg))
    assert key.elevation_deg < 0 and drop + radius < 0.5 + 0.06


def test_lamps_are_small_for_their_distance_and_the_window_is_not():
    # a lamp five of its own widths away falls off as the inverse square within 1 % (IES LS-1, five-times rule)
    for one in LIGHTINGS:
        widths_away = one.key.distance.value / one.key.width.value
        assert (widths_away < 5) == (one.name == "north-window")
        assert (one.key.shape == "rectangle") == (one.name == "north-window")


def test_every_lighting_leaves_some_light_in_the_shadows_and_says_what_it_teaches():
    for one in LIGHTINGS:
        assert -5 <= one.ambient_stops <= -2 and one.key.stops == 0
        assert one.about.count(".") >= 3 and len(one.about) > 200
        assert lighting(one.name) is one
    assert max(LIGHTINGS, key=lambda one: one.ambient_stops).name == "north-window"
