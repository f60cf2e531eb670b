"""Arcs made smooth."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.plates.arcs import trace_arcs
from builder.plates.curves import BEND_PX, SHIFT_PX, TIP_PX, curves
from tests.plates.label_pictures import GRAIN, SEEDS, half_plane, patches, waves


def drawn(labels: np.ndarray) -> tuple[list[np.ndarray], list[np.ndarray], np.ndarray]:
    """The corners and the curve of every arc, and which arcs are closed."""
    arcs = trace_arcs(labels)
    points, first = curves(arcs, (arcs.left < 0) | (arcs.right < 0))
    corners = np.split(arcs.corner, arcs.first[1:-1])
    return corners, np.split(points.astype(float), first[1:-1]), arcs.closed


def distance(points: np.ndarray, line: np.ndarray) -> np.ndarray:
    """Of each point to a polyline."""
    start, along = line[:-1], np.diff(line, axis=0)
    length = np.maximum((along**2).sum(axis=1), 1e-12)
    part = np.clip((((points[:, None] - start) * along).sum(axis=2)) / length, 0, 1)
    return np.hypot(*np.moveaxis(points[:, None] - start - part[..., None] * along, 2, 0)).min(axis=1)


@given(GRAIN | st.builds(patches, SEEDS, st.just(40), st.just(30), st.just(9), st.just(4)))
def test_curves_pass_every_pixel_side(labels):
    """Every curve passes each corner of its arc within the distance allowed; open ones keep their ends, closed ones
    come back to where they start."""
    for corners, curve, closed in zip(*drawn(labels), strict=True):
        assert distance(corners, curve).max() <= TIP_PX + 1e-4
        if closed:
            assert np.array_equal(curve[0], curve[-1])
        else:
            assert np.array_equal(curve[[0, -1]], corners[[0, -1]])


@pytest.mark.parametrize("angle_deg", [*range(0, 180, 10), 2, 3, 5, 44, 85, 87, 93])
def test_straight_edges_come_out_straight(angle_deg):
    """Whatever its slope, the border of a half-plane runs within 0.6 px of the true line and within 0.3 px of one line
    of its own, but for its ends, which stay at the corner of a pixel."""
    far = half_plane(160, angle_deg)
    (curve,) = (
        curve
        for corners, curve, _ in zip(*drawn((far > 0).astype(np.uint8)), strict=True)
        if ((corners > 0) & (corners < 160)).all(axis=1).any()
    )
    steps = np.linspace(curve[:-1], curve[1:], 9).reshape(-1, 2)
    normal = np.array([np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))])
    off = ((steps - 80) @ normal - 0.3)[(np.abs(steps - 80) < 77).all(axis=1)]
    assert np.abs(off).max() <= 0.6
    along = (steps @ normal[::-1])[(np.abs(steps - 80) < 77).all(axis=1)]
    assert np.abs(off - np.polyval(np.polyfit(along, off, 1), along)).max() <= 0.3


@pytest.mark.parametrize("angle_deg", [7, 20, 33, 45, 58, 71, 84])
def test_stairs_are_gone(angle_deg):
    """The whole turn along an oblique straight edge, which is a right angle at every stair before, is small."""
    (curve,) = (
        curve
        for corners, curve, _ in zip(*drawn((half_plane(160, angle_deg) > 0).astype(np.uint8)), strict=True)
        if ((corners > 0) & (corners < 160)).all(axis=1).any()
    )
    inner = curve[(np.abs(curve - 80) < 60).all(axis=1)]
    heading = np.unwrap(np.arctan2(*np.diff(inner, axis=0).T))
    assert np.abs(np.diff(heading)).sum() < np.radians(30) if len(heading) > 1 else True


@pytest.mark.parametrize("half", [10, 25])
def test_right_angles_keep_their_corners(half):
    """A square's corners are cut by less than a pixel, its sides stay exact but for the bend allowed."""
    labels = np.zeros((80, 80), np.uint8)
    labels[40 - half : 40 + half, 40 - half : 40 + half] = 1
    curve = next(curve for _, curve, closed in zip(*drawn(labels), strict=True) if closed)
    corners = 40 + half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    assert distance(corners.astype(float), curve).max() < 1.0
    sides = np.linspace(curve[:-1], curve[1:], 9).reshape(-1, 2) - 40
    assert np.abs(np.abs(sides).max(axis=1) - half).max() <= SHIFT_PX + BEND_PX


@given(SEEDS)
def test_few_points(seed):
    """A smooth picture takes no more than a point for every three pixel sides of its borders."""
    corners, curve, _ = drawn(waves(seed, 90, 120, 4))
    assert sum(map(len, curve)) <= sum(map(len, corners)) / 3 + 4 * len(curve)
