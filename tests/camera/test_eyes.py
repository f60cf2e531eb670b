"""Where eyes stand and what they take in."""

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.camera.eyes import frame_mm, place
from builder.camera.projection import mm_per_px, project
from builder.errors import CameraError, Notice
from builder.model.model import Part
from builder.study.description import Length, Picture, View

PICTURE = Picture(120, 150)


def block(make_model, size=(200.0, 100.0, 300.0), **stand):
    box = trimesh.creation.box(size)
    return make_model(box.apply_translation((0, 0, size[2] / 2)), **stand)


def view(bearing=0.0, level=0.0, sizes=3.0, number=7):
    return View(number, bearing, level, Length(sizes, in_sizes=True))


def test_the_eye_stands_where_its_bearing_level_and_distance_say(make_model):
    model = block(make_model)
    front, _ = place(view(), model, PICTURE)
    left, _ = place(view(bearing=90), model, PICTURE)
    above, _ = place(view(level=30), model, PICTURE)
    np.testing.assert_allclose(front.position, [0, -900, 150], atol=1e-9)
    np.testing.assert_allclose(left.position, [900, 0, 150], atol=1e-9)
    np.testing.assert_allclose(above.position, [0, -900 * np.sqrt(3) / 2, 150 + 450], atol=1e-9)
    assert (front.number, front.distance_mm, front.width_px, front.height_px) == (7, 900.0, 120, 150)


@settings(max_examples=40, deadline=None)
@given(st.floats(-180, 180), st.floats(-90, 90))
def test_every_eye_looks_at_the_middle_with_z_up(make_model, bearing, level):
    # Straight above and below too, where "up" is the model's back or front.
    model = block(make_model)
    eye, _ = place(view(bearing, level), model, PICTURE)
    (middle, higher), _ = project(eye, np.add(model.middle_mm, [(0, 0, 0), (0, 0, 20)]))
    np.testing.assert_allclose(middle, [60, 75], atol=1e-9)
    assert higher[0] == pytest.approx(60)
    assert higher[1] <= 75 + 1e-9
    np.testing.assert_allclose(eye.world_from_camera[:3, :3].T @ eye.world_from_camera[:3, :3], np.eye(3), atol=1e-12)


@settings(max_examples=40, deadline=None)
@given(st.floats(-180, 180), st.floats(-90, 90), st.floats(3, 20))
def test_all_views_of_a_study_are_drawn_to_one_scale(make_model, bearing, level, sizes):
    # A millimetre at the middle is as many pixels in every view: views can be compared, and none changes another.
    model = block(make_model)
    eye, _ = place(view(bearing, level, sizes), model, PICTURE)
    assert mm_per_px(eye) == pytest.approx(2 * frame_mm(model, PICTURE) / 150, rel=1e-12)
    assert eye.tan_x / eye.tan_y == pytest.approx(120 / 150, rel=1e-12)


@settings(max_examples=60, deadline=None)
@given(
    st.tuples(*[st.floats(20, 400)] * 3), st.floats(-180, 180), st.floats(-90, 90), st.floats(3, 12), st.floats(0.5, 2)
)
def test_from_three_sizes_on_no_sculpture_is_cropped(make_model, size, bearing, level, sizes, aspect):
    model = block(make_model, size)
    picture = Picture(round(200 * aspect), 200)
    eye, notices = place(view(bearing, level, sizes), model, picture)
    places, depth = project(eye, model.scene.vertices[: model.body_vertices])
    assert (depth > 0).all()
    assert (places > 0).all() and (places < (picture.width_px, picture.height_px)).all()
    assert all("nearer than" not in notice.text for notice in notices)


@pytest.mark.parametrize("bearing", [0, 45, 90, 180])
def test_a_bust_fills_the_picture_and_its_plinth_shows(make_model, bearing):
    # In level views a bust as deep as wide takes up about three quarters of the height, and all of its plinth is seen.
    ball = trimesh.creation.icosphere(subdivisions=3)
    ball.apply_scale((90, 100, 150)).apply_translation((0, 0, 150))
    model = make_model(ball, plinth_mm=18, margin_mm=12)
    eye, _ = place(view(bearing), model, PICTURE)
    places, _ = project(eye, model.scene.vertices[: model.body_vertices])
    assert 0.70 <= np.ptp(places[:, 1]) / 150 <= 0.85
    plinth = np.unique(model.scene.faces[model.scene.parts == Part.PLINTH])
    places, _ = project(eye, model.scene.vertices[plinth])
    assert (places > 0).all() and (places < (120, 150)).all()


def test_a_great_plinth_does_not_make_the_sculpture_small(make_model):
    bare = frame_mm(block(make_model, plinth_mm=0.0), PICTURE)
    assert bare <= frame_mm(block(make_model, margin_mm=120.0), PICTURE) <= 1.1 * bare
    assert frame_mm(block(make_model, margin_mm=2000.0), PICTURE) == bare


def test_the_frame_grows_with_the_model(make_model):
    one = frame_mm(block(make_model), PICTURE)
    double = frame_mm(block(make_model, (400.0, 200.0, 600.0), plinth_mm=40.0, margin_mm=40.0), PICTURE)
    assert double == pytest.approx(2 * one, rel=1e-12)


def test_an_eye_nearer_than_three_sizes_is_noted(make_model):
    # The rule of three: Leonardo, A Treatise on Painting, tr. Rigaud, ch. XIX.
    model = block(make_model)
    assert place(view(sizes=3.0), model, PICTURE)[1] == ()
    away = "the eye stands 2.5 times the model's greatest size away; nearer than three times, near parts swell"
    assert place(view(sizes=2.5), model, PICTURE)[1] == (Notice("view 7", away),)


def test_an_eye_below_the_ground_is_noted(make_model):
    model = block(make_model)
    (notice,) = place(view(level=-30), model, PICTURE)[1]
    assert notice == Notice("view 7", "the eye stands below the ground, so neither ground nor backdrop is drawn")
    assert place(view(level=-10), model, PICTURE)[1] == ()


def test_an_eye_inside_the_model_is_refused_with_the_least_distance(make_model):
    model = block(make_model)
    with pytest.raises(CameraError) as caught:
        place(View(3, 0, 0, Length(40.0)), model, PICTURE)
    sentence = str(caught.value)
    assert sentence.startswith("view 3: from 40 mm the eye stands inside the model; from ")
    assert sentence.endswith(" mm on it fits; set a greater distance.")
    least = float(sentence.split("from ")[2].split(" mm")[0])
    place(View(3, 0, 0, Length(least)), model, PICTURE)
    with pytest.raises(
        CameraError, match=f"view 3: from {least - 2:.0f} mm the sculpture does not fit in the picture;"
    ):
        place(View(3, 0, 0, Length(least - 2)), model, PICTURE)


def test_an_eye_inside_the_plinth_is_refused(make_model):
    model = block(make_model, margin_mm=600.0, plinth_mm=200.0)
    with pytest.raises(CameraError, match="from 500 mm the eye stands inside the model"):
        place(View(3, 0, -30, Length(500.0)), model, PICTURE)
