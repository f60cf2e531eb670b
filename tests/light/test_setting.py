"""A lamp's place, size and strength in the numbers of a tape measure."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.light.lamps import place
from builder.light.setting import LampSetting, emitter_setting, lamp_setting, setting_facts
from builder.study.description import Lamp, Length, Lighting
from tests.scenes import ball, scene_model, sheet

MODEL = scene_model(ball(100, 2).moved(0, 0, 100), sheet(9000, 9000, -12))


def setting(left: float, front: float, above: float, aim: float = 0.0, width: float = 10.0) -> LampSetting:
    return LampSetting(left, front, above, aim, "key", "disc", width, width, 0.0)


@given(
    bearing=st.floats(-179, 180),
    elevation=st.floats(0, 89),
    distance=st.floats(300, 3000),
    width=st.floats(10, 200),
    height=st.floats(10, 200),
    shape=st.sampled_from(["disc", "rectangle"]),
)
def test_a_setting_leads_back_to_the_lamp_it_was_taken_from(
    bearing: float, elevation: float, distance: float, width: float, height: float, shape: str
) -> None:
    """Bearing, tilt, straight distance and face are those the tutor wrote; both lengths on the table make the third."""
    lamp = Lamp(bearing, elevation, Length(distance), shape, Length(width), Length(height))
    (emitter,) = place(Lighting("one", "One", lamp), scene_model(ball(100, 2).moved(0, 0, 100), sheet(9, 9, -900)))
    got = emitter_setting(emitter, MODEL)
    assert got.distance_mm == pytest.approx(distance)
    assert got.tilt_deg == pytest.approx(elevation, abs=1e-6)
    assert got.bearing_deg == pytest.approx(bearing, abs=1e-5)
    assert (got.width_mm, got.height_mm) == pytest.approx((width, width if shape == "disc" else height))
    assert got.above_mm == pytest.approx(112 + distance * math.sin(math.radians(elevation)))
    assert got.aim_mm == pytest.approx(112)
    assert got.stops == pytest.approx(0.0, abs=1e-9)


@given(st.floats(0.1, 10))
def test_at_another_scale_lengths_follow_and_angles_keep(scale: float) -> None:
    """A model twice as large wants every length twice as long, the same angles and the same strength."""
    places = {"middle_mm": (0.0, 0.0, 138.0), "ground_mm": -18.0, "stops": -2.0}
    one = lamp_setting("fill", "rectangle", (300.0, -400.0, 900.0), (200.0, 300.0), **places)
    other = one.scaled(scale)
    for name in ("left_mm", "front_mm", "along_mm", "above_mm", "aim_mm", "distance_mm", "width_mm", "height_mm"):
        assert getattr(other, name) == pytest.approx(scale * getattr(one, name)), name
    for name in ("bearing_deg", "tilt_deg", "softness_deg", "widths_away", "stops"):
        assert getattr(other, name) == pytest.approx(getattr(one, name)), name
    assert other.blur_mm(100.0 * scale) == pytest.approx(scale * one.blur_mm(100.0))


def test_bearings_of_the_four_sides() -> None:
    """0 in front, positive to the model's left, 180 and never -180 behind."""
    places = [(0.0, 5.0), (5.0, 0.0), (-5.0, 0.0), (0.0, -5.0), (-0.0, -5.0), (0.0, 0.0)]
    assert [setting(left, front, 9.0).bearing_deg for left, front in places] == [0.0, 90.0, -90.0, 180.0, 180.0, 0.0]


def test_shadow_and_soft_edge_of_a_card() -> None:
    """A card 10 high under a lamp 50 high and 30 away throws 7.5; its edge blurs to a quarter of the lamp's width. A
    lamp no higher than the card gives neither, and one straight above no shadow at all."""
    lamp = setting(30.0, 0.0, 50.0, width=8.0)
    assert lamp.shadow_mm(10.0) == pytest.approx(7.5)
    assert lamp.blur_mm(10.0) == pytest.approx(2.0)
    assert setting(30.0, 0.0, 10.0).shadow_mm(10.0) is None
    assert setting(30.0, 0.0, 9.0).blur_mm(10.0) is None
    assert setting(0.0, 0.0, 50.0).shadow_mm(10.0) == 0.0


def test_a_shadow_far_from_a_high_lamp_has_the_length_of_parallel_light() -> None:
    """h / tan e, as under the sun."""
    far = 1e7
    lamp = setting(far * math.cos(math.radians(30)), 0.0, far * math.sin(math.radians(30)))
    assert lamp.shadow_mm(100.0) == pytest.approx(100.0 * math.sqrt(3.0), rel=1e-4)


def test_the_shadow_of_a_low_lamp_rises_beyond_the_card() -> None:
    """From a lamp 4 high and 80 away the top of a card of 10 is seen 6 x 100 / 80 higher on a card 20 behind it."""
    assert setting(0.0, 80.0, 4.0).shadow_height_mm(10.0, 20.0) == pytest.approx(4.0 + 7.5)


def test_softness_is_the_angle_of_the_lamps_face() -> None:
    """A disc as wide as twice its distance takes up 90 degrees; a rectangle counts as the disc of its area."""
    assert setting(0.0, 0.0, 5.0, width=10.0).softness_deg == pytest.approx(90.0)
    side = math.sqrt(math.pi) * 5.0
    square = LampSetting(0.0, 0.0, 5.0, 0.0, "key", "rectangle", side, side, 0.0)
    assert square.softness_deg == pytest.approx(90.0)


def test_facts_leave_out_the_fill_where_there_is_none() -> None:
    """One lamp has no fill-to-key figure; all others are there, and finite."""
    lighting = Lighting("one", "One", Lamp(30, 30, Length(800), "disc", Length(60), Length(60)), ambient_stops=-3.5)
    facts = setting_facts(lighting, place(lighting, MODEL), MODEL)
    assert facts == pytest.approx(
        {
            "ambient_to_key_stops": -3.5,
            "key_distance_mm": 800.0,
            "key_height_mm": 512.0,
            "key_bearing_deg": 30.0,
            "key_width_mm": 60.0,
            "key_softness_deg": 2 * math.degrees(math.atan(30 / 800)),
        },
        abs=1e-9,
    )
