"""From a form to its contours and back."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh

from builder.arrays import Floats
from builder.cards.round_trip import RoundTrip, off, returned, round_trip
from builder.cards.spacing import Levels, spaced
from builder.sections.sliced import Body, body_of, level

MASK = Path(__file__).resolve().parents[2] / "models/mask/mask.ply"


def form_levels(body: Body) -> Levels:
    """The form at 121 heights, the lowest and the highest a hair within it."""
    hair = 2e-4 * float(body.vertices[:, 2].max())
    heights = np.linspace(hair, float(body.vertices[:, 2].max()) - hair, 121)
    return Levels(heights, tuple(level(body, float(at)) for at in heights))


def trip_of(body: Body, levels: Levels, count: int, steps: int = 100) -> RoundTrip:
    chosen = spaced(levels, count).chosen(count)
    assert chosen is not None
    return round_trip(body, levels, chosen[0], 0.0, steps)


def test_a_box_comes_back_as_it_was() -> None:
    """Straight walls need no contours: every point within a hundredth of a mm but for the hair cut off below, 0.018 mm,
    and corners between contours, which the grid of 0.9 mm rounds.
    """
    mesh = trimesh.creation.box([60, 40, 90])
    mesh.apply_translation([0, 0, 45])
    body = body_of(mesh.vertices, mesh.faces)
    trip = trip_of(body, form_levels(body), 3)
    assert trip.within(0.95) <= 0.02
    assert trip.within(1.0) <= 0.9 / 2


def cut_ball() -> Body:
    mesh = trimesh.creation.icosphere(5, 100.0)
    for side in (-1.0, 1.0):
        mesh = trimesh.intersections.slice_mesh_plane(mesh, [0, 0, side], [0, 0, -80.0 * side], cap=True)
    mesh.apply_translation([0, 0, 80])
    return body_of(mesh.vertices, mesh.faces)


def test_a_ball_cut_flat_is_missed_no_more_than_by_straight_walls() -> None:
    """A ball cut flat at +-80 of 100 mm: 12 contours and a footprint, gaps of about 13 mm; h^2 / 8R is 0.21 mm there,
    and four times that in a gap twice as wide (CHECKS.md section 5).
    """
    body = cut_ball()
    trip = trip_of(body, form_levels(body), 12, 200)
    assert trip.within(0.95) <= 0.85
    assert trip.within(0.5) <= 0.21


@pytest.mark.slow
def test_as_many_contours_as_are_enough_for_a_ball() -> None:
    """A ball cut flat at +-80 of 100 mm, first with 3 contours: 4 gaps of about 40 mm miss more than 1 mm, for straight
    walls h^2 / 8R = 2 mm at the middle (CHECKS.md section 5). Straight walls miss no more than 1 mm at a slope of 53
    degrees, where the ball is cut, if h^2 / 8R <= cos(53)^3 mm: 13 gaps, 12 contours; a joined form needs no more.
    """
    body = cut_ball()
    levels = form_levels(body)
    spacing = spaced(levels, 3, most=20)
    three = spacing.chosen(3)
    assert three is not None
    own, best = returned(body, levels, spacing, three[0], 0.0)
    assert own.count == 3 and not own.good
    assert best.good and 3 < best.count <= 12


def test_distances_are_the_closed_form() -> None:
    """Concentric balls of 100 and 101 mm: 1 mm everywhere, less what facets leave out (sagitta under 0.03 mm)."""
    inner, outer = trimesh.creation.icosphere(5, 100.0), trimesh.creation.icosphere(5, 101.0)
    found = off(np.asarray(outer.vertices), Body(np.asarray(inner.vertices), inner.faces.astype(np.int64)))
    assert found == pytest.approx(np.ones(len(found)), abs=0.03)


@pytest.fixture(scope="module")
def mask() -> Body:
    mesh = trimesh.load(MASK, process=False)
    points = np.asarray(mesh.vertices, np.float64)
    points = points - (0.0, 0.0, points[:, 2].min())
    return body_of(points * (300.0 / points[:, 2].max()), mesh.faces)


@pytest.mark.slow
def test_the_mask_from_few_and_from_enough_contours(mask: Body) -> None:
    """The demo mask at 300 mm, its profile and footprint.

    15 contours keep the median of 0.5 mm but not the 95th percentile of 1 mm: locks of hair, lids and lips are finer
    than the gaps. 20 keep both; 28 do where the form stands before the slab, whose flat sides are no test.
    """
    levels = form_levels(mask)
    few, enough, many = (trip_of(mask, levels, count, 300) for count in (15, 20, 28))
    for trip in (few, enough, many):
        assert trip.within(0.5) <= 0.5
        assert np.median(in_front(trip)) <= 0.5
    assert enough.within(0.95) <= 1.0
    assert np.quantile(in_front(many), 0.95) <= 1.0
    assert trimesh.Trimesh(many.loft.vertices, many.loft.faces, process=False).is_watertight


def in_front(trip: RoundTrip) -> Floats:
    """Distances of the points before the slab, whose face stands 24 mm in front."""
    return trip.off_mm[trip.points[:, 1] < -24.0]
