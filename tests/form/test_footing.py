"""Where a pixel's line of sight lands, against balls and ground of known place."""

from __future__ import annotations

import numpy as np

from builder.form.footing import NOTHING, find_footing
from builder.model.model import Part
from tests.plates.known_light import eye_at, look, moon
from tests.scenes import ball, scene_model, sheet


def test_points_lie_on_the_ball_and_normals_point_out_of_it():
    """Every pixel of the ball's disc stands on its surface (to the sagitta of its triangles), facing outwards."""
    model, _, sight = moon(0.0)
    stands = find_footing(model, sight)
    on_ball = stands.part == Part.MODEL
    assert abs(on_ball.mean() - np.pi * 0.4**2) < 0.01
    out = stands.point[on_ball] - model.middle_mm
    radius = np.linalg.norm(out, axis=1)
    assert radius.max() <= 100.0 + 1e-3 and radius.min() > 99.9
    assert (np.einsum("ij,ij->i", out / radius[:, None], stands.normal[on_ball]) > 1 - 1e-5).all()
    np.testing.assert_allclose(np.linalg.norm(stands.normal[on_ball], axis=1), 1.0, atol=1e-6)


def test_points_fall_on_their_own_pixels():
    """Projected by the eye, each point lands within its pixel."""
    model = scene_model(ball(100.0, 4), sheet(2000, 2000, -100, 8, Part.GROUND))
    eye = eye_at(model.middle_mm, 30.0, 25.0, 900.0, 150.0, (50, 60))
    stands = find_footing(model, look(model, eye))
    y, x = np.nonzero(stands.part != NOTHING)
    seen = (stands.point[y, x] - eye.position) @ eye.world_from_camera[:3, :3]
    column = (seen[:, 0] / -seen[:, 2] / eye.tan_x + 1) * eye.width_px / 2
    row = (1 - seen[:, 1] / -seen[:, 2] / eye.tan_y) * eye.height_px / 2
    assert (np.abs(column - (x + 0.5)) < 0.5).all() and (np.abs(row - (y + 0.5)) < 0.5).all()


def test_part_is_that_of_most_samples():
    """Three samples of four on the ball: the ball; two on nothing: whatever is met counts, else nothing."""
    model, _, sight = moon(0.0, size=40)
    counts = (sight.face >= 0).reshape(40, 2, 40, 2).sum(axis=(1, 3))
    part = find_footing(model, sight).part
    assert (part[counts >= 2] == Part.MODEL).all()
    assert (part[counts < 2] == NOTHING).all()
