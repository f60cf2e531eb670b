"""Measures of known points from known places, in closed form."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.camera.projection import project
from builder.form.alignments import WITHIN_SHARE, alignments
from builder.form.front import front_eye
from builder.form.horizon import horizon_px
from builder.form.landmarks import place_landmarks
from builder.form.looked import Looked
from builder.form.measure import Measure
from builder.form.measure_slugs import SLUGS
from builder.form.measures import Measured, measures_drawing, numbered, survey_facts
from builder.form.survey import survey
from builder.form.tilts import angle
from builder.jobs.measured import measure_of, plain_of
from builder.model.model import Part
from builder.model.symmetry import Symmetry, symmetry_of
from builder.study.description import Guides, Landmark, Tilt
from tests.form.looking import PICTURE, looking
from tests.scenes import ball, box, scene_model

BOX = scene_model(box(100, 80, 200, Part.MODEL, cells=8))
MIRROR = Symmetry((1.0, 0.0, 0.0), (0.0, 0.0, 100.0), 0.0, 0.0, True)
FRONT = {
    "top": (0.0, -40.0, 190.0),
    "foot": (0.0, -40.0, 20.0),
    "left": (40.0, -40.0, 150.0),
    "right": (-40.0, -40.0, 150.0),
    "left low": (30.0, -40.0, 60.0),
    "right low": (-30.0, -40.0, 60.0),
    "back": (0.0, 40.0, 100.0),
}
GUIDES = Guides(unit=("left", "right"), tilts=(Tilt("upper line", ("right", "left")), Tilt("upright", ("foot", "top"))))


def measures(looked: Looked, symmetry: Symmetry | None) -> tuple[Measure, ...]:
    return numbered(survey(looked, symmetry))


def measure_facts(looked: Looked, symmetry: Symmetry | None) -> dict[str, Measured]:
    return survey_facts(survey(looked, symmetry))


def test_far_away_a_level_length_turns_by_the_cosine() -> None:
    """Foreshortening of a line square to the sight from the front: the cosine of the turn, for an eye so far away that
    rays are parallel (CHECKS.md section 3, parallel projection); heights keep their length.
    """
    for turn in (20.0, 45.0, 60.0):
        looked = looking(BOX, turn, 0.0, 400_000.0, FRONT, GUIDES)
        facts = measure_facts(looked, MIRROR)
        assert facts["unit_to_front"] == pytest.approx(math.cos(math.radians(turn)), rel=1e-3)
        wide = 100 * math.cos(math.radians(turn)) + 80 * math.sin(math.radians(turn))
        assert facts["unit_across"] == pytest.approx(wide / (80 * math.cos(math.radians(turn))), rel=0.02)
        assert facts["unit_down"] == pytest.approx(200 / (80 * math.cos(math.radians(turn))), rel=0.02)
        assert facts["first_tilt_deg"] == pytest.approx(0.0, abs=0.05) and facts["first_tilt_from"] == "level"


def test_far_away_an_upright_length_sinks_by_the_cosine_of_the_level() -> None:
    """From above, an upright line shows the cosine of the eye level, and a level one along the sight its sine."""
    guides = Guides(unit=("foot", "top"))
    for level in (15.0, 40.0, -30.0):
        facts = measure_facts(looking(BOX, 0.0, level, 400_000.0, FRONT, guides), MIRROR)
        assert facts["unit_to_front"] == pytest.approx(math.cos(math.radians(level)), rel=1e-3)


def test_level_edge_in_perspective_tilts_as_its_ends_lie() -> None:
    """A level edge above the eye, turned away: its ends' places by similar triangles, no camera asked."""
    turn, distance = math.radians(40), 700.0
    looked = looking(BOX, 40.0, 0.0, distance, FRONT, GUIDES)
    ends = []
    for x, y, z in (FRONT["right"], FRONT["left"]):
        depth = distance - (x * math.sin(turn) - y * math.cos(turn))
        ends.append(((x * math.cos(turn) + y * math.sin(turn)) / depth, (z - 100) / depth))
    (x0, z0), (x1, z1) = ends
    facts = measure_facts(looked, MIRROR)
    assert facts["first_tilt_name"] == "upper line"
    assert facts["first_tilt_deg"] == pytest.approx(math.degrees(math.atan2(z1 - z0, x1 - x0)), abs=1e-6)
    assert facts["first_tilt_deg"] > 2  # its near end is the left one, on the right of the picture, and above the eye


@pytest.mark.parametrize(
    ("one", "two", "off", "degrees"),
    [
        ((0, 0), (10, 0), "level", 0),
        ((0, 0), (10, -1), "level", 5.7106),
        ((10, -1), (0, 0), "level", 5.7106),
        ((0, 0), (10, 1), "level", -5.7106),
        ((0, 10), (1, 0), "plumb", 5.7106),
        ((1, 0), (0, 10), "plumb", 5.7106),
        ((1, 10), (0, 0), "plumb", -5.7106),
        ((0, 0), (10, -10), "level", 45),
    ],
)
def test_angles_and_their_sides(one: tuple[float, float], two: tuple[float, float], off: str, degrees: float) -> None:
    """Whichever end comes first: + rises to the right, or leans to the right at the top (atan 0.1 = 5.7106)."""
    found = angle("", one, two)
    assert found.off == off and found.degrees == pytest.approx(degrees, abs=1e-4)


def test_the_horizon_is_at_the_eye_and_a_floor_climbs_to_it() -> None:
    """Rows of a checker floor rise by h k/(d + k) towards the horizon (CHECKS.md section 3; Alberti, De pictura I):
    with h = 1.5 and d = 3 by 0.375, 0.6, 0.75 and 0.8571 of a unit seen at distance d, the horizon being at 1.5.
    """
    looked = looking(BOX, 0.0, 0.0, 900.0)
    eye = looked.eye
    unit = 300.0  # d = 3 units from the eye to the front of the floor, which lies h = 1.5 units below the eye
    start = eye.position[1] + 3 * unit
    rows = np.array([(0.0, start + k * unit, eye.position[2] - 1.5 * unit) for k in range(5)])
    y = project(eye, rows)[0][:, 1]
    level = horizon_px(eye)
    assert level is not None
    px = (y[0] - level) / 1.5
    assert (y[0] - y[1:]) / px == pytest.approx([0.375, 0.6, 0.75, 0.857143], abs=1e-4)


@pytest.mark.parametrize("level_deg", [-50.0, -20.0, 0.0, 10.0, 35.0, 70.0])
def test_the_horizon_stands_off_by_the_tangent_of_the_level(level_deg: float) -> None:
    """Above the picture's middle by tan(eye level) picture distances when looking down, below it when looking up."""
    eye = looking(BOX, 30.0, level_deg, 900.0).eye
    y = horizon_px(eye)
    assert y is not None
    assert (eye.height_px / 2 - y) / (eye.height_px / 2) * eye.tan_y == pytest.approx(math.tan(math.radians(level_deg)))


def test_horizon_in_words() -> None:
    """Inside the form, over it, or nowhere: straight above there is none, and the fact is left out."""
    for level_deg, slug in ((0.0, "horizon-inside"), (60.0, "horizon-above-outside"), (-50.0, "horizon-below-outside")):
        looked = looking(BOX, 0.0, level_deg, 900.0)
        assert slug in [measure.slug for measure in measures(looked, None)]
        height = measure_facts(looked, None)["horizon_height"]
        assert isinstance(height, float) and (0 <= height <= 1) == (level_deg == 0.0)
        assert (height > 1) == (level_deg > 0)
    above = looking(BOX, 0.0, 90.0, 900.0)
    assert "horizon-none-down" in [measure.slug for measure in measures(above, None)]
    assert "horizon_height" not in measure_facts(above, None)


def test_hidden_behind_a_plate() -> None:
    """A plate between eye and ball hides what lies behind it, and only that; the far side hides itself."""
    plate = box(40, 4, 60, Part.MODEL, cells=6).moved(30, -120, 0)
    model = scene_model(ball(60, 5).moved(0, 0, 60), plate)
    names = {
        "behind the plate": (30.0, -60 * math.sqrt(1 - 0.5), 60 - 30.0),
        "beside the plate": (-30.0, -60 * math.sqrt(1 - 0.5), 60 - 30.0),
        "far side": (0.0, 60.0, 60.0),
        "plate, near": (30.0, -122.0, 30.0),
        "plate, far": (30.0, -118.0, 30.0),
    }
    looked = looking(model, 0.0, 0.0, 2000.0, names)
    placed = place_landmarks(looked, looked.landmarks, front_eye(looked.eye, model))
    assert [at.name for at in placed if at.seen] == ["beside the plate", "plate, near"]
    (hidden,) = [measure for measure in measures(looked, None) if measure.slug == "hidden"]
    assert hidden.parameters["names"] == "behind the plate, far side, plate, far"
    facts = measure_facts(looked, None)
    assert (facts["landmarks_seen"], facts["landmarks_hidden"]) == (2, 3)


def test_landmarks_a_little_off_the_surface_count_as_on_it() -> None:
    """A millimetre under or over is measured at the surface; a point deep inside is not seen."""
    model = scene_model(ball(60, 5).moved(0, 0, 60))
    looked = looking(model, 0.0, 0.0, 2000.0)
    points = {"under": (0.0, -59.0, 60.0), "over": (0.0, -61.0, 60.0), "inside": (0.0, -30.0, 60.0)}
    marks = [Landmark(*pair) for pair in points.items()]
    under, over, inside = place_landmarks(looked, marks, looked.eye)
    assert under.seen and over.seen and not inside.seen
    assert under.point_mm == pytest.approx((0, -60, 60), abs=0.1) and over.point_mm == pytest.approx(
        (0, -60, 60), abs=0.1
    )
    assert inside.point_mm == (0.0, -30.0, 60.0)


def test_aligned_within_a_hundredth_of_the_height() -> None:
    """Two places just within the bound align, just beyond they do not; and places close together never do."""
    height = 200.0

    def told(off_mm: float, apart_mm: float) -> list[str]:
        marks = {"upper": (0.0, -40.0, 180.0), "lower": (off_mm, -40.0, 180.0 - apart_mm)}
        view = survey(looking(BOX, 0.0, 0.0, 400_000.0, marks), None)
        return [found.along for found in alignments(view)]

    bound = WITHIN_SHARE * height
    assert told(0.93 * bound, 100.0) == ["plumb"] and told(-0.93 * bound, 100.0) == ["plumb"]
    assert told(1.07 * bound, 100.0) == []
    assert told(0.0, 20.0) == [] and told(0.0, 40.0) == ["plumb"]


def test_alignments_that_the_view_makes_come_first() -> None:
    """Two places at different depths that meet on one plumb line here, and not from the front, tell more than two that
    are plumb from everywhere, though these are farther apart. From far away, x cos + y sin is the place across.
    """
    model = scene_model(box(100, 80, 60, Part.MODEL, cells=8), box(100, 20, 140, Part.MODEL, cells=8).moved(0, 0, 60))
    marks = {
        "deep": (0.0, -10.0, 160.0),
        "near": (30 * math.tan(math.radians(30)), -40.0, 50.0),
        "upper": (20.0, -10.0, 195.0),
        "lower": (20.0, -10.0, 65.0),
    }
    view = survey(looking(model, 30.0, 0.0, 400_000.0, marks), None)
    plumb = [(found.one.name, found.two.name) for found in alignments(view) if found.along == "plumb"]
    assert plumb == [("deep", "near"), ("upper", "lower")]


def test_the_odd_proportion_is_the_one_that_changed_most() -> None:
    """A box turned by 60 degrees from far away: what is level on its front shrinks to half, uprights keep their length,
    and the whole width goes from 100 to 100 cos + 80 sin = 119.3.
    """
    facts = measure_facts(looking(BOX, 60.0, 0.0, 400_000.0, FRONT, GUIDES), MIRROR)
    assert facts["odd_proportion_name"] == "left to right, against the whole height"
    assert facts["odd_proportion"] == pytest.approx(0.2, rel=0.02)
    assert facts["odd_proportion_front"] == pytest.approx(0.4, rel=0.01)
    bare = measure_facts(looking(BOX, 60.0, 0.0, 400_000.0), MIRROR)
    assert bare["odd_proportion_name"] == "the whole width, against the whole height"
    assert bare["odd_proportion"] == pytest.approx(0.5964, rel=0.02)
    assert "odd_proportion" not in measure_facts(looking(BOX, 0.0, 0.0, 400_000.0, FRONT, GUIDES), MIRROR)


def test_without_landmarks_there_is_still_much_to_measure() -> None:
    """Width and height, halves, the upright axis of the mirror plane, the horizon."""
    looked = looking(BOX, 25.0, 0.0, 900.0)
    slugs = [measure.slug for measure in measures(looked, symmetry_of(BOX))]
    assert slugs[0] == "width-height" and "axis-plumb-even" in slugs and "middle-height-outline" in slugs
    assert measure_facts(looked, symmetry_of(BOX))["mirror_residual_mm"] == pytest.approx(0.0, abs=0.1)
    assert "mirror_residual_mm" not in measure_facts(looked, None)


def test_lines_are_numbered_and_kept_in_a_file() -> None:
    """Numbers count from 1, every line bears its own, the drawing holds all lines, and the file gives them back."""
    looked = looking(BOX, 35.0, 20.0, 900.0, FRONT, GUIDES)
    taken = measures(looked, MIRROR)
    assert [measure.number for measure in taken] == list(range(1, len(taken) + 1))
    for measure in taken:
        assert measure.slug in SLUGS
        assert {part.kind for part in (*measure.strokes, *measure.marks)} <= {f"measure-{measure.number}"}
        assert all(mark.text for mark in measure.marks)
        assert all(np.isfinite(stroke.points).all() for stroke in measure.strokes)
    drawing = measures_drawing(looked, taken)
    assert (drawing.width_px, drawing.height_px) == (PICTURE.width_px, PICTURE.height_px)
    assert len(drawing.strokes) == sum(len(measure.strokes) for measure in taken) > 10
    text = json.dumps([plain_of(measure) for measure in taken])
    again = [measure_of(plain) for plain in json.loads(text)]
    assert json.dumps([plain_of(measure) for measure in again]) == text
    assert json.dumps([plain_of(measure) for measure in measures(looked, MIRROR)]) == text
    for one, two in zip(taken, again, strict=True):
        assert (one.slug, dict(one.parameters), len(one.strokes)) == (two.slug, dict(two.parameters), len(two.strokes))
        assert [mark.text for mark in one.marks] == [mark.text for mark in two.marks]


@settings(max_examples=8)
@given(st.floats(0.05, 40.0), st.sampled_from([-70.0, 0.0, 25.0, 115.0]), st.sampled_from([-20.0, 0.0, 30.0]))
def test_size_does_not_matter(scale: float, bearing_deg: float, level_deg: float) -> None:
    """The same form in another size, seen from as many sizes away, has the same measures; only mm grow with it."""

    def taken(by: float) -> tuple[list[str], dict[str, object]]:
        model = scene_model(box(100, 80, 200, Part.MODEL, cells=8).scaled(by))
        marks = {name: (x * by, y * by, z * by) for name, (x, y, z) in FRONT.items()}
        looked = looking(model, bearing_deg, level_deg, 900.0 * by, marks, GUIDES)
        mirror = Symmetry((1.0, 0.0, 0.0), (0.0, 0.0, 100.0 * by), by, by, True)
        return [measure.slug for measure in measures(looked, mirror)], dict(measure_facts(looked, mirror))

    slugs, facts = taken(scale)
    first_slugs, first = taken(1.0)
    assert slugs == first_slugs and list(facts) == list(first)
    for name, value in facts.items():
        expected = first[name] * scale if name.endswith("_mm") else first[name]  # type: ignore[operator]
        assert value == (expected if isinstance(expected, str) else pytest.approx(expected, rel=1e-6, abs=1e-6)), name
