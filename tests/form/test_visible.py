"""What stands before a point and what does not, against balls whose outlines are known."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.camera.projection import directions, project, rays
from builder.form.looked import look_at
from builder.form.visible import BRIDGE_PX, CRUMB_PX, depth_picture, seen, tolerance_mm, visible_parts
from builder.model.model import Part
from tests.plates.known_light import eye_at, look
from tests.scenes import ball, scene_model, sheet


def test_depth_is_that_of_the_ball_and_the_ground() -> None:
    """Every sample's depth is where its ray meets ball or ground (exact intersections).

    A triangle lies at most 0.009 mm inside the ball, which at a fifth of its full facing makes 0.045 mm of depth.
    """
    model = scene_model(ball(100.0, 6), sheet(8000, 8000, -150.0, 4, Part.GROUND))
    eye = eye_at(np.zeros(3), 40.0, 30.0, 500.0, 200.0, (120, 150))
    looked = look_at(model, look(model, eye))
    ray = rays(eye)
    ground = (-150.0 - eye.position[2]) / ray[..., 2]
    square, half = (ray**2).sum(axis=-1), ray @ eye.position
    root = half**2 - square * (eye.position @ eye.position - 100.0**2)
    near = (-half - np.sqrt(np.maximum(root, 0))) / square
    limb = np.abs(root) < (0.2 * 100.0) ** 2 * square
    expected = np.where(root > 0, near, ground)
    depth = depth_picture(looked)
    assert depth.shape == (300, 240) and depth.dtype == np.float32
    np.testing.assert_allclose(depth[~limb], expected[~limb], rtol=1e-5, atol=0.05)


def test_depth_is_infinite_where_nothing_is_seen() -> None:
    """Beside a ball that floats in nothing."""
    model = scene_model(ball(100.0, 3))
    eye = eye_at(np.zeros(3), 0.0, 0.0, 500.0, 200.0, (50, 50))
    looked = look_at(model, look(model, eye))
    assert (np.isinf(depth_picture(looked)) == (looked.sight.face < 0)).all()


@settings(max_examples=15)
@given(st.floats(-180, 180), st.floats(-60, 60), st.floats(400, 3000), st.floats(-80, 80))
def test_a_ball_hides_what_its_disc_covers(bearing: float, level: float, distance: float, aside: float) -> None:
    """Points of the near side of one ball are seen unless their ray meets the other (line and sphere, textbook); within
    a pixel of the outlines either is right.
    """
    back, front = ball(60.0, 5), ball(25.0, 5).moved(90.0, aside, 10.0)
    model = scene_model(back, front)
    eye = eye_at(np.zeros(3), bearing, level, distance, 150.0, (200, 200))
    looked = look_at(model, look(model, eye))
    normals = ball(1.0, 4).vertices
    points, centre = normals * 60.0, np.array([90.0, aside, 10.0])
    near_side = points @ eye.position > 60.0**2
    points, normals = points[near_side], normals[near_side]
    ray = (points - eye.position) / np.linalg.norm(points - eye.position, axis=1)[:, None]
    along = (centre - eye.position) @ ray.T
    miss = np.linalg.norm(centre - eye.position - along[:, None] * ray, axis=1)
    hidden = (miss < 25.0) & (along < np.linalg.norm(points - eye.position, axis=1))
    found = seen(eye, depth_picture(looked), points - 0.05 * normals, tolerance_mm(eye, points, normals) + 0.1)
    pixel = 2 * eye.tan_y * (distance + 100.0) / 200
    sure = np.abs(miss - 25.0) > pixel
    assert (found == ~hidden)[sure].all()


def test_outside_the_picture_and_behind_the_eye_nothing_is_seen() -> None:
    """Neither beside the frame nor at the eye's back."""
    model = scene_model(ball(100.0, 3))
    eye = eye_at(np.zeros(3), 0.0, 0.0, 500.0, 60.0, (50, 50))
    depth = depth_picture(look_at(model, look(model, eye)))
    inside, outside = eye.position + 300.0 * directions(eye, np.array([(25.0, 25.0), (51.0, 25.0)]))
    points = np.stack([inside, outside, 2 * eye.position - inside])
    assert seen(eye, depth, points, 0.0).tolist() == [True, False, False]
    assert project(eye, points[1:2])[0][0, 0] > 50


def line(length: int) -> np.ndarray:
    return np.stack([np.arange(length, dtype=float), np.zeros(length)], axis=1)


def test_short_gaps_are_bridged_and_crumbs_left_out() -> None:
    """A gap of three pixels is drawn over, one of four is not; a part of four pixels is a crumb, one of five is not."""
    visible = np.ones(40, np.bool_)
    visible[10:12] = False  # from 9 to 12: 3 px
    visible[20:23] = False  # from 19 to 23: 4 px
    visible[28:34] = False  # leaves 23 to 27, 4 px, and 34 to 39, 5 px
    assert BRIDGE_PX == 3.0 and CRUMB_PX == 4.0
    parts = visible_parts(line(40), visible)
    assert [(part[0, 0], part[-1, 0], closed) for part, closed in parts] == [(0, 19, False), (34, 39, False)]


def test_closed_lines_go_on_past_their_first_place() -> None:
    """A ring seen all round stays closed; one hidden on one side is a single part that runs over the start."""
    turn = np.linspace(0, 2 * np.pi, 100, endpoint=False)
    ring = 50.0 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    ((whole, closed),) = visible_parts(ring, np.ones(100, np.bool_), True)
    assert closed and len(whole) == 100
    ((part, closed),) = visible_parts(ring, ring[:, 0] > 0, True)
    assert not closed and len(part) == (ring[:, 0] > 0).sum()
    assert part[0, 1] < -49 and part[-1, 1] > 49
    ((nearly, closed),) = visible_parts(ring, np.arange(100) != 30, True)
    assert not closed and len(nearly) == 99
    assert visible_parts(ring, np.zeros(100, np.bool_), True) == ()
