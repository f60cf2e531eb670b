"""Where a shape is wide."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from builder.plates.squares import in_squares
from tests.plates.label_pictures import GRAIN, SEEDS, patches, squares_of


@given(GRAIN, st.integers(1, 6))
def test_marks_are_all_squares(steps, side):
    """On grain, what is marked is what a search square by square finds."""
    assert np.array_equal(in_squares(steps, side), squares_of(steps, side))


@given(SEEDS, st.integers(1, 9))
def test_marks_are_all_squares_of_patches(seed, side):
    """The same on large patches, where squares overlap."""
    steps = patches(seed, 31, 27, 6, 3)
    assert np.array_equal(in_squares(steps, side), squares_of(steps, side))


def test_a_picture_too_small_for_a_square():
    """Nothing is marked where no square fits, all of one that fits exactly."""
    flat = np.zeros((4, 9), np.uint8)
    assert not in_squares(flat, 5).any() and in_squares(flat, 4).all()
