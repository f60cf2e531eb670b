from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.light.areas import face_areas, vertex_areas
from builder.light.smooth import smoothed
from builder.model.model import Part
from tests.scenes import Piece, ball, box, bumpy, surface

BODY = surface(bumpy(100, 4))


def test_areas_of_vertices_add_up_to_the_surface() -> None:
    crate = surface(box(10, 20, 30, cells=3))
    assert face_areas(crate).sum() == pytest.approx(2200)
    assert vertex_areas(crate).sum() == pytest.approx(2200)


@given(seed=st.integers(0, 2**32 - 1), spread=st.floats(0, 0.3))
@settings(max_examples=25, deadline=None)
def test_smoothing_keeps_the_light_on_the_whole(seed: int, spread: float) -> None:
    light = np.random.default_rng(seed).normal(1.0, spread, len(BODY.vertices)).clip(0.01).astype(np.float32)
    area = vertex_areas(BODY)
    assert area @ smoothed(BODY, light) == pytest.approx(area @ light.astype(float), rel=1e-6)


def test_even_light_stays_even() -> None:
    light = np.full(len(BODY.vertices), 0.7, np.float32)
    assert smoothed(BODY, light) == pytest.approx(light)


def test_grain_shrinks_and_slow_swells_of_light_stay() -> None:
    # a body of fine triangles, light that turns with the normal, and grain of the size that gathering leaves
    fine = surface(ball(100, 5))
    swell = (0.5 + 0.3 * fine.normals[:, 0] + 0.1 * np.sin(4 * fine.normals[:, 2])).astype(np.float32)
    grain = np.random.default_rng(3).normal(0, 0.02, len(swell)).astype(np.float32)
    after = smoothed(fine, swell * (1 + grain)) / swell - 1
    bent = smoothed(fine, swell) / swell - 1
    assert np.sqrt(np.mean(bent**2)) < grain.std() / 10
    assert after.std() < 0.65 * grain.std()


def test_the_dark_where_bodies_meet_stays_dark() -> None:
    # a step of light across one edge is form, not grain
    light = np.where(BODY.vertices[:, 2] > 0, 1.0, 0.3).astype(np.float32)
    assert np.abs(smoothed(BODY, light) - light).max() < 1e-4


def test_light_does_not_creep_round_a_crease() -> None:
    # sides of a box do not trade with each other, even where a mesh joins them
    crate = box(100, 100, 100, Part.MODEL, cells=6)
    light = (1 + 0.05 * crate.normals[:, 2]).astype(np.float32)
    assert np.array_equal(smoothed(surface(crate), light), light)
    corners = np.array([[0.0, 0.0, 0.0], [9.0, 0.0, 0.0], [0.0, 9.0, 0.0], [0.0, 0.0, 9.0]])
    normals = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]])
    joined = Piece(Part.MODEL, corners, np.array([[0, 1, 2], [0, 3, 1]]), normals)
    light = np.array([1.0, 1.1, 1.1, 1.0], np.float32)
    assert smoothed(surface(joined), light) == pytest.approx(light, abs=2e-4)
