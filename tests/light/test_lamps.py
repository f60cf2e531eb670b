from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.errors import LightError
from builder.light.direct import lamp_irradiance
from builder.light.lamps import PATTERNS, lamp_points, place
from builder.light.lit import Emitter
from builder.model.model import Part
from builder.model.tracer import Tracer
from builder.study.description import Lamp, Length, Lighting
from tests.scenes import ball, box, room, scene_model, sheet, surface

FREE = scene_model(ball(100, 2).moved(0, 0, 100), sheet(9000, 9000, -500))
ROOM = scene_model(
    ball(100, 2).moved(0, 0, 100), box(220, 220, 20, Part.PLINTH).moved(0, 0, -20), *room(1500, -20, 1500, cells=4)
)
NOTHING = Tracer(surface(sheet(1, 1, -400)))


def sizes(value: float) -> Length:
    return Length(value, in_sizes=True)


def lighting(key: Lamp, **others: Lamp) -> Lighting:
    return Lighting("side", "Side", key, **others)


@given(
    bearing=st.floats(-180, 180),
    elevation=st.floats(-10, 90),
    distance=st.floats(2.5, 8),
    shape=st.sampled_from(["disc", "rectangle"]),
    width=st.floats(0.05, 2),
    height=st.floats(0.05, 2),
    stops=st.floats(-5, 2),
)
@settings(max_examples=60, deadline=None)
def test_a_lamp_gives_its_strength_at_the_middle_facing_it(
    bearing: float, elevation: float, distance: float, shape: str, width: float, height: float, stops: float
) -> None:
    # irradiance pi * 2^stops there, whatever its shape, size and place
    lamp = Lamp(bearing, elevation, sizes(distance), shape, sizes(width), sizes(height), stops)
    (emitter,) = place(lighting(lamp), FREE)
    towards = emitter.centre - FREE.middle_mm
    normal = towards / np.linalg.norm(towards)
    _, light = lamp_irradiance(FREE.middle_mm[None], normal[None], emitter, 1, 0, NOTHING)
    assert light[0] == pytest.approx(2.0**stops, rel=2e-4)
    assert np.linalg.norm(towards) == pytest.approx(distance * 200)
    assert emitter.normal == pytest.approx(-normal)
    assert float(emitter.across[2]) == 0.0
    assert abs(float(emitter.across @ emitter.along)) < 1e-6
    assert np.cross(emitter.across, emitter.along) @ emitter.normal > 0


@pytest.mark.parametrize(
    ("bearing", "elevation", "towards"),
    [(0, 0, (0, -1, 0)), (90, 0, (1, 0, 0)), (-90, 0, (-1, 0, 0)), (180, 0, (0, 1, 0)), (0, 90, (0, 0, 1))],
)
def test_bearings_count_from_the_front_towards_the_models_left(
    bearing: float, elevation: float, towards: tuple[float, float, float]
) -> None:
    (emitter,) = place(lighting(Lamp(bearing, elevation, Length(800), "disc", Length(50), Length(50))), FREE)
    assert emitter.centre == pytest.approx(FREE.middle_mm + 800 * np.array(towards), abs=1e-9)


def test_the_key_comes_first_and_a_disc_ignores_its_height() -> None:
    key = Lamp(45, 45, sizes(4), "disc", Length(60), Length(10))
    rim = Lamp(150, 20, sizes(4), "rectangle", Length(60), Length(10), -1)
    emitters = place(lighting(key, rim=rim), FREE)
    assert [emitter.role for emitter in emitters] == ["key", "rim"]
    assert [np.linalg.norm(v) for v in (emitters[0].across, emitters[0].along)] == pytest.approx([30, 30])
    assert [np.linalg.norm(v) for v in (emitters[1].across, emitters[1].along)] == pytest.approx([30, 5])


@pytest.mark.parametrize("shape", ["disc", "rectangle"])
@pytest.mark.parametrize("phase", [0, 5])
def test_lamp_points_stand_for_equal_areas(shape: str, phase: int) -> None:
    # any half of the lamp, whichever way it is cut, holds half of the points to within two
    emitter = Emitter("key", shape, [0, 0, 9], [0, 0, -1], [3, 0, 0], [0, 2, 0], 1.0)
    points = lamp_points(emitter, 64, phase)
    x, y = points[:, 0] / 3, points[:, 1] / 2
    assert (points[:, 2] == 9).all()
    assert (np.hypot(x, y) <= 1).all() if shape == "disc" else (np.maximum(abs(x), abs(y)) <= 1).all()
    for angle in np.linspace(0, math.pi, 17):
        assert abs(int((x * math.cos(angle) + y * math.sin(angle) > 0).sum()) - 32) <= 2


def test_lamp_points_do_not_line_up() -> None:
    # seen along the lamp's own sides every point of a rectangle has a place of its own: a shadow edge has 64 steps
    emitter = Emitter("key", "rectangle", [0, 0, 9], [0, 0, -1], [1, 0, 0], [0, 1, 0], 1.0)
    for axis in (0, 1):
        gaps = np.diff(np.sort(lamp_points(emitter, 64)[:, axis]))
        assert gaps.min() > 0.01
        assert gaps.max() < 0.06


def test_phases_give_other_points_and_fill_each_others_gaps() -> None:
    # sixteen patterns of four points are nearly as even as one of 64
    emitter = Emitter("key", "rectangle", [0, 0, 9], [0, 0, -1], [1, 0, 0], [0, 1, 0], 1.0)
    many = np.concatenate([lamp_points(emitter, 4, phase) for phase in range(16)])
    counts = np.histogram2d(many[:, 0], many[:, 1], bins=4, range=[[-1, 1], [-1, 1]])[0]
    assert counts.min() >= 2
    assert counts.max() <= 6
    assert np.array_equal(lamp_points(emitter, 8, 3), lamp_points(emitter, 8, 3 + PATTERNS))
    assert not np.array_equal(lamp_points(emitter, 8, 3), lamp_points(emitter, 8, 4))


@pytest.mark.parametrize(
    ("lamp", "told"),
    [
        (Lamp(0, -30, Length(500), "disc", Length(100), Length(100)), "mm under the ground"),
        (Lamp(0, 5, Length(500), "rectangle", Length(100), Length(400)), "mm under the ground"),
        (Lamp(30, 30, Length(60), "disc", Length(10), Length(10)), "inside the box round the sculpture"),
        (Lamp(0, -48, Length(150), "disc", Length(4), Length(4)), "inside the box round the plinth"),
        (Lamp(0, 20, Length(1600), "disc", Length(100), Length(100)), "the wall stands at 1500 mm"),
        (Lamp(0, 5, Length(1480), "rectangle", Length(800), Length(100)), "from the middle of the room"),
    ],
)
def test_a_lamp_where_no_lamp_can_stand_is_refused(lamp: Lamp, told: str) -> None:
    with pytest.raises(LightError, match=told) as caught:
        place(lighting(lamp), ROOM)
    assert str(caught.value).startswith("lighting side, key lamp: ")


def test_every_misplaced_lamp_is_named_at_once() -> None:
    low = Lamp(0, -40, Length(500), "disc", Length(100), Length(100))
    with pytest.raises(LightError) as caught:
        place(lighting(low, fill=low, rim=Lamp(0, 20, Length(1600), "disc", Length(9), Length(9))), ROOM)
    assert [problem.where.split(", ")[1] for problem in caught.value.problems] == ["key lamp", "fill lamp", "rim lamp"]


def test_a_lamp_above_the_slope_between_ground_and_wall_is_in_the_room() -> None:
    # the room's ground curves up into its wall: only the width at the lamp's own height counts
    lean = sheet(9000, 9000, -20, 2)
    _, upper = room(1500, 300, 1500)
    slope = scene_model(ball(100, 2).moved(0, 0, 100), lean, room(1200, -20, 299)[1], upper)
    place(lighting(Lamp(0, 25, Length(1450), "disc", Length(50), Length(50))), slope)
    with pytest.raises(LightError, match="the wall stands at 1200 mm there"):
        place(lighting(Lamp(0, 1, Length(1250), "disc", Length(50), Length(50))), slope)


def test_lamps_close_to_the_body_but_clear_of_it_are_allowed() -> None:
    place(lighting(Lamp(0, 10, Length(140), "disc", Length(60), Length(60))), FREE)
