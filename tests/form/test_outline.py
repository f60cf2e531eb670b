"""The outline of the samples, against the circle of a ball and rings of known number."""

from __future__ import annotations

import numpy as np
import pytest

from builder.form.looked import look_at
from builder.form.outline import outline_strokes
from builder.model.model import Part
from tests.plates.known_light import eye_at, look
from tests.scenes import ball, box, joined, scene_model


@pytest.mark.parametrize("distance", [250.0, 400.0, 3000.0])
def test_a_balls_outline_is_its_circle(distance: float) -> None:
    """All of it lies R / sqrt(d^2 - R^2) from the middle (angular radius, CHECKS.md section 3), to 0.6 px."""
    model = scene_model(ball(100.0, 6))
    eye = eye_at(np.zeros(3), 30.0, 15.0, distance, 130.0, (300, 300))
    (outline,) = outline_strokes(look_at(model, look(model, eye)), 0.4)
    radius = 100.0 / np.sqrt(distance**2 - 100.0**2) / eye.tan_x * 150
    off = np.hypot(*(outline.points - 150.0).T) - radius
    assert outline.closed and outline.kind == "silhouette" and outline.weight == 0.4
    assert np.abs(off).max() < 0.6


def test_holes_have_rings_of_their_own() -> None:
    """A frame of four bars has two rings, the outer first, 120 and 80 mm wide."""
    bars = [box(120, 20, 20, Part.MODEL).moved(0, 0, z) for z in (-60, 40)]
    bars += [box(20, 20, 80, Part.MODEL).moved(x, 0, -40) for x in (-50, 50)]
    model = scene_model(joined(Part.MODEL, bars))
    eye = eye_at(np.zeros(3), 0.0, 0.0, 1e5, 100.0, (400, 400))
    outer, inner = outline_strokes(look_at(model, look(model, eye)), 1.0)
    assert np.ptp(outer.points, axis=0) == pytest.approx([240.0, 240.0], abs=0.6)
    assert np.ptp(inner.points, axis=0) == pytest.approx([160.0, 160.0], abs=0.6)


def test_an_outline_closes_along_the_pictures_edge() -> None:
    """What runs out of the picture is outlined along its border."""
    model = scene_model(box(400, 20, 100, Part.MODEL).moved(0, 0, -50))
    eye = eye_at(np.zeros(3), 0.0, 0.0, 1e5, 100.0, (200, 200))
    (outline,) = outline_strokes(look_at(model, look(model, eye)), 1.0)
    assert outline.points[:, 0].min() == pytest.approx(0.0, abs=0.3)
    assert outline.points[:, 0].max() == pytest.approx(200.0, abs=0.3)
    assert np.ptp(outline.points[:, 1]) == pytest.approx(100.0, abs=0.6)
