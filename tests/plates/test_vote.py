"""Edges smoothed by vote."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.plates.vote import commonest_labels, median_steps
from tests.plates.label_pictures import GRAIN, half_plane


def windows(picture: np.ndarray, reach: int) -> np.ndarray:
    """The square round each pixel, outermost pixels going on beyond the picture."""
    side = 2 * reach + 1
    return np.lib.stride_tricks.sliding_window_view(np.pad(picture, reach, "edge"), (side, side)).reshape(
        *picture.shape, side * side
    )


@given(GRAIN, st.integers(0, 5))
def test_the_median_is_the_median(steps, reach):
    """Pixel by pixel it is NumPy's own median of the square round it."""
    assert np.array_equal(median_steps(steps, reach), np.median(windows(steps, reach), axis=2))


@given(GRAIN, st.integers(0, 5))
def test_the_commonest_label_is_the_commonest(labels, reach):
    """No label is commoner in the square; the pixel's own is taken if as common, else the smallest of the commonest."""
    counts = np.stack([(windows(labels, reach) == label).sum(axis=2) for label in range(4)])
    own = np.take_along_axis(counts, labels[None].astype(int), 0)[0]
    expected = np.where(own == counts.max(axis=0), labels, counts.argmax(axis=0))
    assert np.array_equal(commonest_labels(labels, reach), expected)


def test_median_counts_past_255():
    """Squares of more than 255 and more than 65,535 / 2 pixels are counted right."""
    steps = np.repeat(np.arange(4, dtype=np.uint8), 60).reshape(1, -1).repeat(240, axis=0)
    for reach in (8, 100):
        assert np.array_equal(median_steps(steps, reach)[120, reach:-reach], steps[120, reach:-reach])


@pytest.mark.parametrize("vote", [median_steps, commonest_labels])
@pytest.mark.parametrize("angle_deg", [0, 13, 45, 77, 90, 160])
def test_straight_edges_stay(vote, angle_deg):
    """Away from the picture's edge, no pixel changes whose middle is half a pixel or more from a straight edge."""
    far = half_plane(60, angle_deg)
    voted = vote((far > 0).astype(np.uint8), 4)
    inner = (slice(5, -5), slice(5, -5))
    moved = (voted != (far > 0))[inner]
    assert not moved[np.abs(far[inner]) >= 0.5].any()


@pytest.mark.parametrize("vote", [median_steps, commonest_labels])
def test_lone_lines_go(vote):
    """A line four pixels wide in a square of nine is outvoted, one of five is not."""
    for width, stays in ((4, False), (5, True)):
        steps = np.zeros((40, 40), np.uint8)
        steps[18 : 18 + width] = 3
        assert (vote(steps, 4) == 3).any() == stays
