"""The envelope against closed forms and against trying every choice of sides."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPoint, Polygon

from builder.arrays import Floats
from builder.form.envelope import MOST_SIDES, WORTH_SHARE, envelope
from builder.form.rings import ring_area_px2

UNITS = st.integers(0, 1000)


def points_from(seed: int, count: int) -> Floats:
    return np.random.default_rng(seed).normal(size=(count, 2)) * (200.0, 120.0) + 500.0


def side_distances(ring: Floats, points: Floats) -> Floats:
    """How far each point lies inside each side of a ring that runs clockwise as seen, (points, sides)."""
    along = np.roll(ring, -1, axis=0) - ring
    inward = np.stack([-along[:, 1], along[:, 0]], axis=1) / np.hypot(*along.T)[:, None]
    return np.einsum("ijk,jk->ij", points[:, None] - ring, inward)


@given(seed=UNITS, count=st.integers(3, 200))
def test_it_holds_everything_and_every_side_touches(seed, count):
    """Three to seven sides, convex, no point outside, and a point on each side."""
    points = points_from(seed, count)
    ring = envelope(points)
    assert 3 <= len(ring) <= MOST_SIDES
    off = side_distances(ring, points)
    assert off.min() > -1e-6
    assert np.abs(off.min(axis=0)).max() < 1e-6
    assert side_distances(ring, ring).min() > -1e-6


@pytest.mark.parametrize(("across", "down", "turned"), [(1.0, 1.0, 0.0), (1.0, 0.4, 0.3)])
def test_round_a_circle_it_is_the_regular_heptagon(across, down, turned):
    """Least area round a circle: 7 tan(pi / 7) / pi of the disc, and of any ellipse, which is a circle drawn out."""
    turn = np.linspace(0, 2 * np.pi, 4001)[:-1]
    x, y = across * np.cos(turn), down * np.sin(turn)
    rim = 300 * np.stack([x * np.cos(turned) - y * np.sin(turned), x * np.sin(turned) + y * np.cos(turned)], axis=1)
    ring = envelope(rim + 400)
    assert len(ring) == 7
    assert ring_area_px2(ring) / ring_area_px2(rim) == pytest.approx(7 * np.tan(np.pi / 7) / np.pi, rel=1e-4)


@given(seed=UNITS)
def test_no_choice_of_sides_of_the_hull_is_cheaper(seed):
    """With the price of a side added, no three to seven sides of the convex hull, prolonged, beat it."""
    points = points_from(seed, 12)
    hull = np.array(MultiPoint(points).convex_hull.exterior.coords)[:-1]
    hull = hull if ring_area_px2(hull) > 0 else hull[::-1]
    whole = ring_area_px2(hull)
    along = np.roll(hull, -1, axis=0) - hull
    normal = np.stack([along[:, 1], -along[:, 0]], axis=1)
    reach = (normal * hull).sum(axis=1)
    cheapest = np.inf
    for count in range(3, min(MOST_SIDES, len(hull)) + 1):
        for chosen in combinations(range(len(hull)), count):
            one, other = np.array(chosen), np.roll(chosen, -1)
            sine = normal[one, 0] * normal[other, 1] - normal[one, 1] * normal[other, 0]
            turn = np.arctan2(sine, (normal[one] * normal[other]).sum(axis=1))
            if (turn <= 0).any() or np.degrees(turn).max() > 179:
                continue
            x = (reach[one] * normal[other, 1] - reach[other] * normal[one, 1]) / sine
            y = (reach[other] * normal[one, 0] - reach[one] * normal[other, 0]) / sine
            cheapest = min(cheapest, Polygon(np.stack([x, y], axis=1)).area + count * WORTH_SHARE * whole)
    ring = envelope(points)
    assert ring_area_px2(ring) + len(ring) * WORTH_SHARE * whole <= cheapest + 1e-6 * whole


def test_simple_forms_get_fewer_sides():
    """A triangle, a square and a hexagon come back as they are; a corner cut off by a trifle is given back."""
    for corners in (3, 4, 6):
        turn = 0.3 + np.arange(corners) * 2 * np.pi / corners
        shape = 200 * np.stack([np.cos(turn), np.sin(turn)], axis=1) + 300
        ring = envelope(shape)
        assert len(ring) == corners
        assert max(np.hypot(*(ring - corner).T).min() for corner in shape) < 1e-6
    cut = np.array([(0, 0), (95, 0), (100, 5), (100, 100), (0, 100)], float)
    assert len(envelope(cut)) == 4
