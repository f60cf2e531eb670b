"""Where the eye and the lamps are, in words."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.prompts import words
from builder.study.description import View
from builder.study.presets import PRESETS
from tests.prompts.described import lamp, view

BEARINGS = {
    0: "front view",
    -12: "front view turned a little to its right",
    45: "three-quarter view from its left",
    -45: "three-quarter view from its right",
    75: "near profile from its left",
    -90: "profile from its right",
    135: "three-quarter back view from its left",
    -165: "back view turned a little to its right",
    180: "back view",
    -180: "back view",
    405: "three-quarter view from its left",
}
LEVELS = {
    0: "at the height of its middle",
    -10: "a little below its middle",
    25: "well above its middle",
    -25: "well below its middle",
    50: "high above it",
    -50: "far below it",
    85: "almost straight above it",
}
# lamp bearing and elevation as seen from the front at eye level, where the viewer's left is the model's right
SEEN = {
    (0, 0): ("from the front, close to your eye", "", ""),
    (180, 5): ("from straight behind the model", "", ""),
    (-90, 0): ("from the left", "9 o'clock", ""),
    (90, 0): ("from the right", "3 o'clock", ""),
    (-90, 12): ("from the left", "9 o'clock", "to the right"),
    (-45, 45): ("from the upper left", "11 o'clock", "to the right and away from you"),
    (45, 45): ("from the upper right", "1 o'clock", "to the left and away from you"),
    (0, 70): ("from above", "12 o'clock", "away from you"),
    (-20, -30): ("from the lower left", "7 o'clock", ""),
    (0, -50): ("from below", "6 o'clock", ""),
    (135, 30): ("from the upper right, behind the model", "2 o'clock", "to the left and towards you"),
    (180, 40): ("from above, behind the model", "12 o'clock", "towards you"),
}


@pytest.mark.parametrize("bearing", BEARINGS)
def test_bearings_have_their_trade_names(bearing: int) -> None:
    assert words.bearing_words(bearing) == BEARINGS[bearing]


@pytest.mark.parametrize("level", LEVELS)
def test_eye_levels_are_told(level: int) -> None:
    assert words.eye_words(level) == LEVELS[level]


def test_a_view_is_told_by_bearing_and_eye_level() -> None:
    assert words.view_words(view(44, -10)) == "three-quarter view from its left, eye a little below its middle"


@pytest.mark.parametrize("place", SEEN)
def test_light_is_told_as_the_eye_sees_it(place: tuple[int, int]) -> None:
    front, key = view(0, 0), lamp(*place)
    told = (words.light_from(front, key), words.light_clock(front, key), words.shadow_falls(front, key))
    assert told == SEEN[place]


bearings = st.floats(-180, 180)
rises = st.floats(-85, 85)


def on_picture(seen: View, bearing_deg: float, elevation_deg: float) -> tuple[float, float, float]:
    """Right, up and near of a far lamp in the picture, by a camera built here from two points and the vertical."""

    def far(bearing: float, rise: float) -> np.ndarray:
        b, r = np.radians([bearing, rise])
        return np.array([np.sin(b) * np.cos(r), -np.cos(b) * np.cos(r), np.sin(r)])

    looking = -far(seen.bearing_deg, seen.eye_level_deg)
    right = np.cross(looking, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    up = np.cross(right, looking)
    light = far(bearing_deg, elevation_deg)
    return float(light @ right), float(light @ up), float(-light @ looking)


@given(st.builds(view, bearings, rises), bearings, rises)
def test_the_lamp_stands_where_a_camera_would_show_it(seen: View, bearing: float, rise: float) -> None:
    assert words.lamp_seen(seen, lamp(bearing, rise)) == pytest.approx(on_picture(seen, bearing, rise), abs=1e-9)


@given(st.builds(view, bearings, rises), bearings, rises)
def test_sides_of_the_light_are_never_wrong(seen: View, bearing: float, rise: float) -> None:
    """Left, right, upper, lower and behind are said only of a lamp that is there."""
    right, up, near = on_picture(seen, bearing, rise)
    said = words.light_from(seen, lamp(bearing, rise))
    assert (("left" in said) <= (right < 0) and ("right" in said) <= (right > 0)) or "straight" in said
    assert ("upper" in said or "above" in said) <= (up > 0)
    assert ("lower" in said or "below" in said) <= (up < 0)
    assert ("behind" in said) == (near < -0.26 or ("straight" in said))
    assert ("close to your eye" in said) <= (near > 0.9)


@given(st.builds(view, bearings, rises), bearings, rises, st.integers(-3, 3))
def test_turning_eye_and_lamp_together_changes_nothing(seen: View, bearing: float, rise: float, quarters: int) -> None:
    turned = replace(seen, bearing_deg=seen.bearing_deg + 90 * quarters)
    before, after = lamp(bearing, rise), lamp(bearing + 90 * quarters, rise)
    assert words.lamp_seen(seen, before) == pytest.approx(words.lamp_seen(turned, after), abs=1e-9)


@given(st.integers(1, 12))
def test_hours_stand_where_a_clock_has_them(hour: int) -> None:
    angle = np.radians(30 * hour)
    assert words.hour(float(np.sin(angle)), float(np.cos(angle))) == hour


def test_views_of_a_set_are_told_apart() -> None:
    """Views of one set that stand more than 30 degrees apart are never told in the same words."""
    for preset in PRESETS:
        seen = preset.views()
        for one in seen:
            for other in seen:
                swing = abs(words.turned(one.bearing_deg - other.bearing_deg))
                if swing > 30 or abs(one.eye_level_deg - other.eye_level_deg) > 25:
                    assert words.view_words(one) != words.view_words(other) or one is other


LENGTHS = {8.0: "8 mm", 8.46: "8.5 mm", 45.4: "45 mm", 999.4: "999 mm", 999.6: "1 m", 1200: "1.2 m", 2345: "2.35 m"}


@pytest.mark.parametrize("length", LENGTHS)
def test_lengths_are_told_in_three_figures(length: float) -> None:
    assert words.length_words(length) == LENGTHS[length]
