"""The plan and side drawings are true to scale, and their numbers can be told apart."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.pack import LampPlace, Pack, StudyView
from builder.site.elevation import choose_sides, draw_elevation
from builder.site.plan import DISC_RADIUS, TRUE_RADIUS, at_bearing, draw_plan, mark_lamp, place_numbers
from builder.study.description import Length, View
from builder.words.directions import bearing_deg, centimetres, level_words, side_words, wrapped_deg
from builder.words.words import Words


def test_eyes_stand_at_true_scale(pack: Pack) -> None:
    """On the page front is down and the model's left is right; distances keep one scale."""
    study = pack.studies[0]
    plan = draw_plan(study, "side-lamp")
    for mark, view in zip(plan.eyes, study.views, strict=True):
        x, y, _ = view.eye_mm
        assert mark.eye == pytest.approx((x * plan.units_per_mm, -y * plan.units_per_mm))
    assert plan.eyes[0].eye[1] > 0.0  # view 1 stands in front
    assert plan.eyes[3].eye[0] > 0.0  # view 4 stands on the model's left


def test_everything_fits_the_drawing(pack: Pack) -> None:
    """Eyes and lamps lie within the true part, discs within the ring, the ring within the square."""
    for study in pack.studies:
        for lighting in study.lamps:
            plan = draw_plan(study, lighting)
            assert all(math.hypot(*mark.eye) <= TRUE_RADIUS + 1e-9 for mark in plan.eyes)
            assert all(math.hypot(*end) <= TRUE_RADIUS * 1.05 for lamp in plan.lamps for end in lamp.ends)
            assert all(math.hypot(*mark.disc) + DISC_RADIUS <= plan.ring_radius for mark in plan.eyes)
            assert all(max(map(abs, tick.label_at)) < plan.half for tick in plan.ticks)


def test_scale_bar_is_true(pack: Pack) -> None:
    """The bar's length in units is its length in mm at the drawing's scale, and it is not longer than the true part."""
    plan = draw_plan(pack.studies[0], "window")
    assert plan.bar_units == pytest.approx(plan.bar_mm * plan.units_per_mm)
    assert 0.2 * TRUE_RADIUS < plan.bar_units < TRUE_RADIUS


def test_levels_are_told_apart(pack: Pack) -> None:
    """Above, level and below the middle each have their sign."""
    plan = draw_plan(pack.studies[0], None)
    assert [mark.level for mark in plan.eyes] == [0, 1, -1, 0, -1]


eyes = st.lists(
    st.tuples(st.integers(-180, 180), st.sampled_from([-30.0, 0.0, 30.0]), st.sampled_from([600.0, 1500.0])),
    min_size=1,
    max_size=40,
)


@given(eyes)
def test_discs_never_overlap(places: list[tuple[int, float, float]]) -> None:
    """However the eyes stand, every number can be read and pressed, and stands within 12 degrees of its bearing."""
    views = []
    for number, (bearing, level, distance) in enumerate(places, 1):
        along = distance * math.cos(math.radians(level))
        x, y = along * math.sin(math.radians(bearing)), -along * math.cos(math.radians(bearing))
        views.append(StudyView(View(number, bearing, level, Length(distance)), (x, y, 0.0), distance, "", {}))
    marks, farthest = place_numbers(views, TRUE_RADIUS / 1500.0)
    assert [mark.number for mark in marks] == list(range(1, len(places) + 1))
    for one, other in combinations(marks, 2):
        assert math.dist(one.disc, other.disc) >= 2.0 * DISC_RADIUS
    for mark, (bearing, _, _) in zip(marks, places, strict=True):
        straight = at_bearing(bearing, math.hypot(*mark.disc))
        assert math.dist(mark.disc, straight) <= 2.0 * math.sin(math.radians(6.0)) * math.hypot(*mark.disc) + 1e-6
        assert math.hypot(*mark.disc) + DISC_RADIUS <= farthest + 1e-9


@given(st.floats(-180, 180), st.floats(0.5, 5.0))
def test_lamp_line_is_square_to_its_bearing(angle: float, metres: float) -> None:
    """A lamp's line has the lamp's width and lies across the line to the model; its beam ends on the footprint."""
    x, y = 1000 * metres * math.sin(math.radians(angle)), -1000 * metres * math.cos(math.radians(angle))
    footprint = [(-50.0, -50.0), (50.0, -50.0), (50.0, 50.0), (-50.0, 50.0)]
    mark = mark_lamp(LampPlace("key", (x, y, 300.0), 400.0, 200.0, "rectangle"), footprint, 0.1)
    (ax, ay), (bx, by) = mark.ends
    assert math.hypot(bx - ax, by - ay) == pytest.approx(40.0)
    assert (bx - ax) * x + (by - ay) * -y == pytest.approx(0.0, abs=1e-6 * metres * 1000)
    corners = {(round(cx * 0.1, 6), round(-cy * 0.1, 6)) for cx, cy in footprint}
    assert {(round(px, 6), round(py, 6)) for px, py in mark.beam[1:3]} <= corners


@given(st.floats(-720, 720))
def test_wrapped_angles(angle: float) -> None:
    """Whole turns do not matter, and the result lies in one turn."""
    turned = wrapped_deg(angle)
    assert -180.0 < turned <= 180.0
    assert math.cos(math.radians(turned)) == pytest.approx(math.cos(math.radians(angle)), abs=1e-9)


@pytest.mark.parametrize(
    ("point", "bearing"), [((0, -1), 0), ((1, 0), 90), ((0, 1), 180), ((-1, 0), -90), ((1, -1), 45)]
)
def test_bearings(point: tuple[float, float], bearing: float) -> None:
    """0 in front (-y), positive towards the model's left (+x)."""
    assert bearing_deg(*point) == pytest.approx(bearing)


@pytest.mark.parametrize(
    ("angle", "phrase"),
    [
        (0, "in front"),
        (2, "in front"),
        (179, "behind"),
        (-180, "behind"),
        (45, "45° to the model's left"),
        (-90.4, "90° to the model's right"),
        (315, "45° to the model's right"),
    ],
)
def test_sides_in_words(words: Words, angle: float, phrase: str) -> None:
    """Near front and back say so; else the side and whole degrees."""
    assert side_words(words, "lightings.bearing_", angle) == phrase


def test_levels_in_words(words: Words) -> None:
    """Level within 2.5 degrees; the sign is in the word."""
    assert [level_words(words, "view.where_", level) for level in (1.0, 20.0, -20.0)] == [
        "eye level with its middle",
        "eye 20° above its middle",
        "eye 20° below its middle",
    ]


@pytest.mark.parametrize(
    ("length_mm", "text"), [(1234.0, "123"), (95.0, "9.5"), (50.0, "5"), (-144.0, "−14"), (0.0, "0")]
)
def test_centimetres(length_mm: float, text: str) -> None:
    """Whole from 10 cm on, one decimal below, a true minus sign."""
    assert centimetres(length_mm) == text


def test_elevation_is_true_to_scale(pack: Pack) -> None:
    """Feet stand at the distance along the ground, centres at the height over it, lamps as long as they are high."""
    study = pack.studies[0]
    for lighting, lamps in study.lamps.items():
        side = draw_elevation(study, lighting)
        scale = side.units_per_mm
        for mark, lamp in zip(side.lamps, lamps, strict=True):
            x, y, z = lamp.centre_mm
            assert abs(mark.foot[0]) == pytest.approx(math.hypot(x, y) * scale)
            assert -mark.centre[1] == pytest.approx((z - study.ground_mm) * scale)
            assert math.dist(*mark.ends) == pytest.approx(lamp.height_mm * scale)
        left, top, width, height = side.box
        for mark in side.lamps:
            for px, py in (*mark.ends, mark.name_at, (mark.foot[0], mark.dimension_y)):
                assert left <= px <= left + width
                assert top <= py <= top + height


def test_elevation_lamps_face_the_middle(pack: Pack) -> None:
    """Each lamp's line is square to the line from its centre to the model's middle."""
    side = draw_elevation(pack.studies[0], "window")
    for mark in side.lamps:
        (ax, ay), (bx, by) = mark.ends
        aim = side.middle[0] - mark.centre[0], side.middle[1] - mark.centre[1]
        assert (bx - ax) * aim[0] + (by - ay) * aim[1] == pytest.approx(0.0, abs=1e-6)


def test_names_in_the_elevation_do_not_overlap(pack: Pack) -> None:
    """Three lamps at nearly one place still have three readable names."""
    study = pack.studies[0]
    key = study.lamps["window"][0]
    near = tuple(
        replace(key, role=role, centre_mm=(key.centre_mm[0] + shift, *key.centre_mm[1:]))
        for role, shift in (("key", 0.0), ("fill", 20.0), ("rim", 40.0))
    )
    side = draw_elevation(replace(study, lamps={"window": near}), "window")
    for one, other in combinations(side.lamps, 2):
        far = abs(one.name_at[0] - other.name_at[0]) >= 160.0 or abs(one.name_at[1] - other.name_at[1]) >= 20.0
        assert far


@pytest.mark.parametrize(
    ("along", "sides"), [([100.0], [1]), ([100.0, 110.0], [1, -1]), ([147.0, 159.0, 115.0], [1, -1, -1]), ([], [])]
)
def test_sides_keep_lamps_apart(along: list[float], sides: list[float]) -> None:
    """Each lamp goes where its nearest neighbour is farther away."""
    assert choose_sides(along) == sides


def test_the_tape_leads_from_the_middle_to_each_lamp(pack: Pack) -> None:
    """Along the front line, then square to it: both true to scale, their figures clear of each other and of the name of
    the front, which stands on that line."""
    study = pack.studies[0]
    for lighting, lamps in study.lamps.items():
        plan = draw_plan(study, lighting, with_eyes=False)
        figures = []
        for mark, lamp in zip(plan.lamps, lamps, strict=True):
            at = (0.0, 0.0)
            for leg in mark.legs:
                assert leg.ends[0] == pytest.approx(at)
                at = leg.ends[1]
                assert math.dist(*leg.ends) == pytest.approx(leg.length_mm * plan.units_per_mm)
                assert 0.0 in (leg.ends[1][0] - leg.ends[0][0], leg.ends[1][1] - leg.ends[0][1])
                figures.append((leg.label_at, leg.anchor))
            assert at == pytest.approx((lamp.centre_mm[0] * plan.units_per_mm, -lamp.centre_mm[1] * plan.units_per_mm))
        boxes = [box_of(*figure) for figure in figures] + [box_of((0.0, plan.front_at[1] + 4.0), "middle", 34.0)]
        for one, other in combinations(boxes, 2):
            assert one[1] <= other[0] or other[1] <= one[0] or one[3] <= other[2] or other[3] <= one[2], lighting


def box_of(foot: tuple[float, float], anchor: str, width: float = 46.0) -> tuple[float, float, float, float]:
    """Left, right, top and bottom of a figure of up to five letters at 18 units; measured in Chromium, 46 by 14."""
    left = foot[0] - {"start": 0.0, "middle": width / 2.0, "end": width}[anchor]
    return left, left + width, foot[1] - 13.0, foot[1] + 1.0


def test_beside_the_eyes_there_is_no_tape(pack: Pack) -> None:
    """The plan of the study's own page has one scale for all lightings and no lengths in it."""
    plans = [draw_plan(pack.studies[0], lighting) for lighting in pack.studies[0].lamps]
    assert len({plan.units_per_mm for plan in plans}) == 1
    assert all(lamp.legs == () for plan in plans for lamp in plan.lamps)
