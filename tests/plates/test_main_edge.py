"""The main shadow edge and the finished contour."""

from __future__ import annotations

import numpy as np
import pytest

from builder.form.looked import look_at
from builder.model.tracer import Tracer
from builder.plates.main_edge import finished_drawing, shadow_edge_strokes
from builder.plates.plate import Shown
from builder.plates.shown import show
from tests.plates.known_light import moon

SIZE = 400


def ball_under(bearing_deg: float) -> Shown:
    model, lit, sight = moon(bearing_deg, size=SIZE)
    return show(look_at(model, sight), lit, Tracer(model.scene))


@pytest.mark.parametrize("bearing", [50.0, 75.0, 110.0])
def test_on_a_ball_it_is_the_terminator(bearing):
    """One line: half an ellipse with semi-axes R and R cos p, p between lamp and line of sight (CHECKS section 2: from
    memory, the area row there confirms it); it runs from rim to rim."""
    (edge,) = shadow_edge_strokes(ball_under(bearing))
    radius = 0.4 * SIZE
    x, y = ((edge.points - SIZE / 2) / radius).T
    inside = np.abs(y) < 0.9
    expected = -np.cos(np.radians(bearing)) * np.sqrt(1 - y[inside] ** 2)
    np.testing.assert_allclose(x[inside], expected, atol=2.5 / radius)
    assert y.min() < -0.9 and y.max() > 0.9


def test_the_finished_contour_has_silhouette_and_edge():
    drawing = finished_drawing(ball_under(75.0))
    assert [stroke.kind for stroke in drawing.strokes] == ["shadow-edge", "silhouette"]
    assert drawing.strokes[1].closed and drawing.strokes[1].weight > drawing.strokes[0].weight
    radius = np.hypot(*(drawing.strokes[1].points - SIZE / 2).T)
    assert np.abs(radius - 0.4 * SIZE).max() < 1.0


def test_without_shadow_there_is_no_edge():
    assert shadow_edge_strokes(ball_under(0.0)) == ()
