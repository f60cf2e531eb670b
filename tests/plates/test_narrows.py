"""Narrow parts given to the shapes around."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import ndimage

from builder.plates.narrows import reach_px, without_narrows
from tests.plates.label_pictures import GRAIN, SEEDS, grey, half_plane, patches, reached, squares_of, waves


@given(GRAIN | st.builds(waves, SEEDS, st.just(30), st.just(26), st.just(6), st.just(0.1)), st.integers(2, 6), SEEDS)
def test_every_pixel_is_reached_from_a_square(steps, width, seed):
    """Whatever the picture, grain and all: each pixel lies within the reach stated of a square of its own shape."""
    luminance = np.random.default_rng(seed).random(steps.shape).astype("f4")
    cleaned = without_narrows(steps, luminance, width)
    if min(steps.shape) < width:
        assert np.array_equal(cleaned, steps)
    else:
        assert reached(cleaned, width, reach_px(width)).all()


@given(SEEDS, st.integers(2, 6))
def test_squares_keep_every_pixel(seed, width):
    """What is wide is untouched, and the picture given is not written to."""
    steps = patches(seed, 40, 34, 9, 4)
    before = steps.copy()
    wide = squares_of(steps, width)
    cleaned = without_narrows(steps, grey(steps), width)
    assert np.array_equal(steps, before)
    assert np.array_equal(cleaned[wide], steps[wide])


@pytest.mark.parametrize("width", [3, 4, 6])
@pytest.mark.parametrize("angle_deg", [0, 20, 45, 70, 90])
def test_strips_go_or_stay_by_their_width(width, angle_deg):
    """A strip right across the picture goes if narrower than the width by the pixel that its rim may gain, and stays
    whole if wider than the diagonal of its square by as much."""
    far = np.abs(half_plane(70, angle_deg))
    for across, stays in ((width - 1.1, False), (width * np.sqrt(2) + 1.0, True)):
        steps = np.where(far < across / 2, 5, 2).astype(np.uint8)
        cleaned = without_narrows(steps, grey(steps), width)
        inner = (slice(8, -8), slice(8, -8))
        assert np.array_equal(cleaned[inner], steps[inner]) if stays else (cleaned == 2).all()


@pytest.mark.parametrize("angle_deg", [0, 30, 45, 90])
def test_a_neck_is_cut(angle_deg):
    """Two discs joined by a bar too narrow become two shapes; a wide bar keeps them one."""
    along, across = half_plane(90, angle_deg, 0.0), half_plane(90, angle_deg + 90, 0.0)
    discs = (np.hypot(np.abs(along) - 25, across) < 13).astype(np.uint8)
    for bar, shapes in ((3.0, 2), (8.0, 1)):
        steps = np.where((np.abs(across) < bar / 2) & (np.abs(along) < 25), 1, discs).astype(np.uint8)
        assert ndimage.label(steps)[1] == 1
        assert ndimage.label(without_narrows(steps, grey(4 * steps), 4))[1] == shapes


@pytest.mark.parametrize("covered", [0.25, 0.75])
def test_a_rim_goes_to_the_side_that_covers_it(covered):
    """Pixels on a slanting edge between dark and light, a quarter or three quarters covered, are given to a side."""
    y, x = np.mgrid[:40, :40]
    side = x - y // 3 - 12
    luminance = np.where(side < 0, 0.02, np.where(side == 0, 0.02 + 0.78 * covered, 0.8)).astype("f4")
    steps = np.searchsorted([0.05, 0.12, 0.3, 0.45, 0.7], luminance).astype("u1")
    assert len(np.unique(steps)) == 3
    expected = np.where((side < 0) | ((side == 0) & (covered < 0.5)), 0, 5)
    assert np.array_equal(without_narrows(steps, luminance, 3), expected)


def test_the_strongest_edge_stays():
    """A faint band along a strong edge goes to the side it is like, not half to each."""
    steps = np.full((30, 40), 8, np.uint8)
    steps[:, 18:21] = 7
    steps[:, 21:] = 2
    cleaned = without_narrows(steps, grey(steps), 4)
    assert (cleaned[:, :21] == 8).all() and (cleaned[:, 21:] == 2).all()


def test_a_steep_ramp_leaves_no_bands():
    """Seven steps in eleven pixels between a dark and a light plane become one edge in the ramp, at its middle in
    luminance."""
    steps = np.full((30, 50), 1, np.uint8)
    for i in range(7):
        steps[:, 20 + 11 * i // 7 :] = 2 + i
    cleaned = without_narrows(steps, grey(steps), 4)
    assert set(np.unique(cleaned)) == {1, 8}
    light = grey(steps)[0]
    edge = int(np.argmax(cleaned[0] == 8))
    assert (cleaned == cleaned[0]).all()
    assert light[edge - 1] <= (light[0] + light[-1]) / 2 <= light[edge]
