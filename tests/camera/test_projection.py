"""Points to pixels and back."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.camera.projection import camera_from_world, directions, mm_per_px, project, rays
from builder.camera.sight import Eye

ANGLES = st.floats(-180, 180)


def eye_at(bearing_deg=0.0, level_deg=0.0, distance_mm=900.0, target=(0.0, 0.0, 150.0), size=(120, 150), tan_y=0.25):
    b, e = np.radians([bearing_deg, level_deg])
    back = np.array([np.sin(b) * np.cos(e), -np.cos(b) * np.cos(e), np.sin(e)])
    right = np.array([np.cos(b), np.sin(b), 0])
    matrix = np.eye(4)
    matrix[:3, :3] = np.stack([right, np.cross(back, right), back], axis=1)
    matrix[:3, 3] = np.asarray(target) + distance_mm * back
    return Eye(1, matrix[:3, 3], matrix, tan_y * size[0] / size[1], tan_y, *size, distance_mm)


@settings(deadline=None)
@given(ANGLES, st.floats(-90, 90), st.floats(10, 5000), st.floats(0, 120), st.floats(0, 150), st.floats(1, 5000))
def test_a_point_along_the_ray_through_a_place_is_seen_at_that_place(bearing, level, distance, x, y, depth):
    # Projection and rays must be each other's inverse, wherever the eye stands.
    eye = eye_at(bearing, level, distance)
    point = eye.position + depth * directions(eye, np.array([[x, y]]))
    place, found = project(eye, point)
    np.testing.assert_allclose(place, [[x, y]], atol=1e-6)
    np.testing.assert_allclose(found, [depth], rtol=1e-9)


def test_left_of_the_model_is_right_in_the_picture_from_the_front_and_up_is_up():
    # The model fronts the eye at bearing 0: its left (+x) is on the viewer's right; z rises towards row 0.
    eye = eye_at()
    (centre, left, top), _ = project(eye, np.array([[0, 0, 150], [50, 0, 150], [0, 0, 200.0]]))
    assert centre.tolist() == [60.0, 75.0]
    assert left[0] > 60 and left[1] == 75.0
    assert top[1] < 75 and top[0] == 60.0


def test_a_millimetre_at_the_middle_measures_what_the_eye_says():
    eye = eye_at(30, 20)
    up = eye.world_from_camera[:3, 1]
    places, _ = project(eye, np.add([0 * up, up], (0, 0, 150)))
    np.testing.assert_allclose(np.linalg.norm(places[1] - places[0]), 1 / mm_per_px(eye), rtol=1e-12)


def test_what_lies_behind_has_no_place():
    eye = eye_at()
    place, depth = project(eye, np.array([[0.0, -2000.0, 150.0]]))
    assert depth[0] == -1100.0
    assert np.isnan(place).all()


def test_samples_stand_at_quarters_of_a_pixel():
    # Two by two samples a pixel: centres at a quarter and three quarters.
    eye = eye_at(10, 5, size=(4, 6))
    found = rays(eye, 2, 5)
    assert found.shape == (3, 8, 3)
    place, _ = project(eye, eye.position + 100 * found.reshape(-1, 3))
    x, y = np.meshgrid(np.arange(8) / 2 + 0.25, np.arange(2, 5) / 2 + 0.25)
    np.testing.assert_allclose(place, np.stack([x.ravel(), y.ravel()], axis=1), atol=1e-9)


@settings(max_examples=30, deadline=None)
@given(ANGLES, st.floats(-90, 90))
def test_the_camera_frame_keeps_lengths_and_looks_along_minus_z(bearing, level):
    eye = eye_at(bearing, level)
    matrix = camera_from_world(eye)
    np.testing.assert_allclose(matrix @ eye.world_from_camera, np.eye(4), atol=1e-9)
    np.testing.assert_allclose(matrix @ [0, 0, 150, 1], [0, 0, -900, 1], atol=1e-9)
    assert np.linalg.det(matrix[:3, :3]) > 0
