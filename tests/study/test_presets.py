import math

import pytest

from builder.study.description import Length
from builder.study.presets import LAST_PRESET_NUMBER, PRESETS, preset

EVERY = [view for one in PRESETS for view in one.views()]


def test_numbers_bearings_and_levels_are_those_that_were_published():
    # written out by hand: students hold views by these numbers, so none may ever move
    assert [(v.number, v.bearing_deg, v.eye_level_deg) for v in preset("twelve round").views()] == [
        (1, 0, 0),
        (2, 30, 0),
        (3, 60, 0),
        (4, 90, 0),
        (5, 120, 0),
        (6, 150, 0),
        (7, 180, 0),
        (8, -150, 0),
        (9, -120, 0),
        (10, -90, 0),
        (11, -60, 0),
        (12, -30, 0),
    ]
    assert [(v.number, v.bearing_deg, v.eye_level_deg) for v in preset("three heights").views()] == [
        (21, -45, -25),
        (22, 0, -25),
        (23, 45, -25),
        (24, -45, 10),
        (25, 0, 10),
        (26, 45, 10),
        (27, -45, 40),
        (28, 0, 40),
        (29, 45, 40),
    ]
    assert [(v.number, v.bearing_deg, v.eye_level_deg) for v in preset("front arc").views()] == [
        (41, -90, 0),
        (42, -75, 0),
        (43, -60, 0),
        (44, -45, 0),
        (45, -30, 0),
        (46, -15, 0),
        (47, 0, 0),
        (48, 15, 0),
        (49, 30, 0),
        (50, 45, 0),
        (51, 60, 0),
        (52, 75, 0),
        (53, 90, 0),
    ]
    for name, first, level in (("low circle", 13, -20), ("high circle", 31, 35)):
        turns = [0, 45, 90, 135, 180, -135, -90, -45]
        want = [(number, turn, level) for number, turn in enumerate(turns, first)]
        assert [(v.number, v.bearing_deg, v.eye_level_deg) for v in preset(name).views()] == want


def test_no_two_sets_share_a_number_and_own_views_have_room():
    numbers = [view.number for view in EVERY]
    assert len(set(numbers)) == len(numbers)
    assert min(numbers) >= 1 and max(numbers) <= LAST_PRESET_NUMBER


def test_a_set_has_each_place_and_title_once():
    for one in PRESETS:
        places = {(view.bearing_deg, view.eye_level_deg) for view in one.views()}
        assert len(places) == len(one.places) == len({view.title for view in one.views()})


@pytest.mark.parametrize("view", EVERY, ids=lambda view: str(view.number))
def test_a_title_says_the_side_that_the_eye_stands_on(view):
    # left and right are the model's own: the eye at positive x, in front for negative y
    x, y = math.sin(math.radians(view.bearing_deg)), -math.cos(math.radians(view.bearing_deg))
    title = view.title.lower()
    assert ("left" in title) == (x > 1e-9) and ("right" in title) == (x < -1e-9)
    assert ("back" in title) == (y > 1e-9)
    assert ("below" in title) == (view.eye_level_deg < 0) and ("up" in title or "above" in title) == (
        view.eye_level_deg > 0
    )


def test_the_usual_distance_is_four_sizes_and_can_be_changed():
    assert {view.distance for view in EVERY} == {Length(4.0, in_sizes=True)}
    assert {view.distance for view in preset("front arc").views(Length(900.0))} == {Length(900.0)}
