"""Straight lines round a ring, against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LinearRing, Polygon

from builder.arrays import Floats
from builder.form.straight import crosses_itself, straight_rings


def circle(radius: float, count: int = 4000) -> Floats:
    turn = np.arange(count) * 2 * np.pi / count
    return radius * np.stack([np.cos(turn), np.sin(turn)], axis=1) + 500


def blob(seed: int) -> Floats:
    """A smooth ring with bays, star-shaped about its middle."""
    random = np.random.default_rng(seed)
    turn = np.arange(1200) * 2 * np.pi / 1200
    radius = 250 * np.exp(
        sum(random.normal() * 0.25 / k * np.cos(k * turn + random.uniform(0, 6)) for k in range(1, 9))
    )
    return radius[:, None] * np.stack([np.cos(turn), np.sin(turn)], axis=1) + 500


def test_lines_round_a_circle_follow_the_law_of_its_arcs():
    """Least squares over an arc of half-angle a = pi / n: the line lies R sin a / a from the middle, so that corners
    stand at that over cos a; the rim leaves it by R (1 - cos a) in all (CHECKS section 5: sagitta, n = 12 and 24)."""
    for ring, count, sagitta in zip(
        straight_rings(circle(400), (12, 24), 1.0), (12, 24), (0.03407, 0.00856), strict=True
    ):
        half = np.pi / count
        off = ring - 500
        assert len(ring) == count
        np.testing.assert_allclose(np.hypot(*off.T), 400 * np.sin(half) / half / np.cos(half), rtol=2e-3)
        apothem = np.hypot(*((off + np.roll(off, -1, axis=0)) / 2).T)
        np.testing.assert_allclose(apothem, 400 * np.sin(half) / half, rtol=1e-3)
        assert (400 - 400 * np.cos(half)) / 400 == pytest.approx(sagitta, abs=1e-5)
        farthest = np.maximum(400 - apothem, apothem - 400 * np.cos(half))
        assert farthest.max() < 400 * sagitta


@pytest.mark.parametrize("corners", [3, 4, 5, 7, 11])
def test_a_ring_of_straight_sides_comes_back(corners):
    """Uneven polygons, points strewn along their sides and one on each corner: the same corners at both levels."""
    random = np.random.default_rng(corners)
    turn = np.sort(random.uniform(0, 0.6, corners)) / corners * 2 + np.arange(corners) * 2 * np.pi / corners
    radius = random.uniform(180, 320, corners)
    shape = radius[:, None] * np.stack([np.cos(turn), np.sin(turn)], axis=1) + 400
    dense = np.concatenate(
        [
            a + t * (b - a)
            for a, b in zip(shape, np.roll(shape, -1, axis=0), strict=True)
            for t in [np.append(0.0, np.sort(random.uniform(0, 1, 90)))[:, None]]
        ]
    )
    for ring in straight_rings(dense, (12, 24), 1.5):
        assert len(ring) == corners
        assert max(np.hypot(*(ring - corner).T).min() for corner in shape) < 1.0


@settings(max_examples=40)
@given(seed=st.integers(0, 10_000))
def test_rings_are_simple_and_come_nearer(seed):
    """At most 12 and 24 lines, neither ring crossing itself, the second nearer to the contour."""
    contour = blob(seed)
    few, many = straight_rings(contour, (12, 24), 2.0)
    assert 3 <= len(few) <= 12 and len(few) <= len(many) <= 24
    assert not crosses_itself(few) and not crosses_itself(many)
    assert LinearRing(few).is_simple and LinearRing(many).is_simple
    whole = Polygon(contour)
    apart = [Polygon(ring).symmetric_difference(whole).area for ring in (few, many)]
    assert apart[1] <= apart[0] + 1e-9
    assert apart[0] < 0.12 * whole.area and apart[1] < 0.05 * whole.area


def test_corners_stand_where_the_form_turns():
    """A disc with a square corner: one line's end is that corner, though even steps would miss it."""
    turn = np.linspace(0, 1.5 * np.pi, 900)
    rim = 200 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    down, across = np.linspace(-200, -200, 150), np.linspace(0, 200, 150)
    corner = np.concatenate(
        [np.stack([across, down], axis=1)[1:], np.stack([across * 0 + 200, across - 200], axis=1)[1:-1]]
    )
    for ring in straight_rings(np.concatenate([rim, corner]) + 400, (12, 24), 1.5):
        assert np.hypot(*(ring - (600.0, 200.0)).T).min() < 1.0


def test_corners_of_few_lines_stay_among_many():
    """Round a circle every corner of the twelve has one of the twenty-four in its direction, to a place of 480; twelve
    and twenty-four even steps begun anywhere would be up to 7.5 degrees apart."""
    few, many = (np.degrees(np.arctan2(*(ring - 500).T[::-1])) for ring in straight_rings(circle(400), (12, 24), 1.0))
    apart = np.abs(np.mod(few[:, None] - many + 180, 360) - 180).min(axis=1)
    assert apart.max() <= 360 / 480


def test_a_ring_that_crosses_itself_is_told():
    assert crosses_itself(np.array([(0, 0), (10, 10), (10, 0), (0, 10)], float))
    assert not crosses_itself(np.array([(0, 0), (10, 0), (10, 10), (0, 10)], float))
    assert not crosses_itself(np.array([(0, 0), (10, 0), (0, 10)], float))
