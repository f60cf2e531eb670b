"""Negative shapes against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from builder.form.envelope import envelope
from builder.form.negative import negative_shapes
from builder.form.rings import clockwise, ring_area_px2
from tests.form.test_straight import blob


def square(x: float, y: float, side: float) -> np.ndarray:
    return np.array([(x, y), (x + side, y), (x + side, y + side), (x, y + side)], float)


def test_an_angle_leaves_a_triangle():
    """An L with a notch of 60 x 80 at its upper right: the envelope cuts across, and half the notch is air."""
    ring = np.array([(0, 0), (40, 0), (40, 80), (100, 80), (100, 120), (0, 120)], float)
    found = negative_shapes(envelope(ring), [ring], [])
    assert [shape.where for shape in found] == ["upper right"]
    assert found[0].area_share == pytest.approx(60 * 80 / 2 / (100 * 120 - 60 * 80))
    # of a right triangle the widest circle has the radius (a + b - c) / 2
    assert found[0].room_px == pytest.approx((60 + 80 - 100) / 2, rel=0.06)


def test_holes_islands_and_pieces_count():
    """Two squares with air between them, a hole in one; and a crumb in that air, which is not air."""
    left, right = square(0, 0, 100), square(140, 0, 100)
    hole, crumb = square(30, 40, 20), square(110, 45, 10)
    found = negative_shapes(square(0, 0, 240) * (1, 100 / 240), [left, right, crumb], [hole])
    body = 100 * 100 * 2 + 10 * 10 - 20 * 20
    assert [shape.area_share * body for shape in found] == pytest.approx([40 * 100 - 10 * 10, 20 * 20])
    assert found[1].where == "inside" and found[1].room_px == pytest.approx(10, rel=0.1)
    assert found[0].room_px < 20  # the crumb is in the way


@settings(max_examples=40)
@given(seed=st.integers(0, 10_000))
def test_areas_add_up(seed):
    """All negative shapes together are the envelope less the silhouette; each lies in the envelope, off the form."""
    ring = clockwise(blob(seed)[::6])
    around = envelope(ring)
    found = negative_shapes(around, [ring], [], 0.0)
    body = ring_area_px2(ring)
    assert sum(shape.area_share for shape in found) * body == pytest.approx(ring_area_px2(around) - body, rel=1e-6)
    assert [shape.area_share for shape in found] == sorted((shape.area_share for shape in found), reverse=True)
    air = Polygon(around).buffer(1e-6).difference(Polygon(ring).buffer(-1e-6))
    for shape in found[:3]:
        if shape.room_px > 2:
            outline = Polygon(shape.outline).buffer(0)
            assert outline.difference(air).area < 1e-3 * body
            assert outline.area == pytest.approx(shape.area_share * body, rel=1e-3)


def test_small_ones_are_left_out():
    ring = np.array([(0, 0), (100, 0), (100, 100), (0, 100), (5, 50)], float)
    around = square(0, 0, 100)
    assert len(negative_shapes(around, [ring], [])) == 1
    assert negative_shapes(around, [ring], [], 0.05) == ()
