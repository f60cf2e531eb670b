"""Clean shapes: what is promised of every picture, and what stays where it is."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import ndimage

from builder.light.value import luminance_of_value
from builder.plates.clean import clean_labels, clean_steps, narrowest_px
from builder.plates.narrows import reach_px
from builder.plates.values import ISLAND_SHARE, drawn_steps
from tests.plates.label_pictures import GRAIN, SEEDS, grey, half_plane, patches, reached, waves
from tests.plates.test_shapes import flood

ADVERSE = (
    GRAIN
    | st.builds(waves, SEEDS, st.just(40), st.just(34), st.just(9), st.just(0.15))
    | st.builds(patches, SEEDS, st.just(36), st.just(44), st.just(60), st.just(5))
)
CLEAN = st.sampled_from([clean_steps, clean_labels])


@given(CLEAN, ADVERSE, st.sampled_from([0.0002, 0.01, 0.05]), SEEDS)
def test_what_is_promised_of_every_picture(clean, steps, share, seed):
    """No shape is under the limit but the whole picture; every pixel is reached from a square of its own shape."""
    luminance = np.random.default_rng(seed).random(steps.shape).astype("f4")
    cleaned = clean(steps, luminance, share)
    areas = flood(cleaned)
    assert len(areas) == 1 or min(map(len, areas)) >= share * steps.size
    width = narrowest_px(steps.shape)
    if min(steps.shape) >= width:
        assert reached(cleaned, width, reach_px(width)).all()


def test_the_promise_on_a_large_picture_of_grain():
    """The same at full width, where the narrowest part is four pixels, on a picture that has no shape at all."""
    steps = np.random.default_rng(5).integers(0, 9, (1200, 1200)).astype(np.uint8)
    assert narrowest_px(steps.shape) == 4
    cleaned = clean_steps(steps, grey(steps), 0.0002)
    labels = [ndimage.label(cleaned == step)[0] for step in np.unique(cleaned)]
    assert min(np.bincount(found.ravel())[1:].min() for found in labels) >= 0.0002 * steps.size


@pytest.mark.parametrize("clean", [clean_steps, clean_labels])
@pytest.mark.parametrize("angle_deg", range(0, 180, 15))
def test_straight_edges_stay_within_a_pixel(clean, angle_deg):
    """An edge between dark and light, half-covered pixels and all, is where it is to within half a pixel."""
    far = half_plane(120, angle_deg)
    value = np.clip(far + 0.5, 0, 1)
    luminance = (0.03 + 0.6 * value).astype("f4")
    steps = np.searchsorted([0.05, 0.12, 0.2, 0.3, 0.42, 0.58], luminance).astype("u1")
    cleaned = clean(steps, luminance, 0.0004)
    inner = (slice(6, -6), slice(6, -6))
    assert set(np.unique(cleaned)) == {0, 6}
    assert not ((cleaned == 6) != (far > 0))[inner][np.abs(far[inner]) > 0.5].any()


@pytest.mark.parametrize("radius", [12, 25, 60])
def test_round_edges_stay_within_a_pixel(radius):
    """A dark disc on light ground keeps its edge to within a pixel, and its area to a pixel's breadth of its rim."""
    y, x = np.mgrid[:160, :160] + 0.5 - 80.3
    out = np.hypot(x, y) - radius
    luminance = (0.03 + 0.6 * np.clip(out + 0.5, 0, 1)).astype("f4")
    drawn = drawn_steps(luminance, 9)
    assert len(np.unique(drawn)) == 2
    assert not ((drawn == drawn.max()) != (out > 0))[np.abs(out) > 1.0].any()


def test_grain_on_a_slow_gradation_makes_no_fuzz():
    """A gradation of four values over the picture with grain of a twentieth of a value: nine steps in bands, each in
    one piece, whose edges run within six pixels of their true place (a fifth of a value is 19 px)."""
    rng = np.random.default_rng(3)
    x = np.mgrid[:300, :380][1]
    value = 3.0 + 4.0 * x / 380
    luminance = luminance_of_value(value + rng.normal(0, 0.05, x.shape)).astype("f4")
    drawn = drawn_steps(luminance, 9)
    true = np.floor(value * 0.9)
    assert len(flood(drawn)) == len(np.unique(drawn)) == len(np.unique(true))
    nearest_edge_px = np.abs(value * 0.9 - np.rint(value * 0.9)) / 0.9 / 4.0 * 380
    assert nearest_edge_px[drawn != true].max() < 6.0


@pytest.mark.parametrize("steps", sorted(ISLAND_SHARE))
def test_cleaning_again_changes_little(steps):
    """Clean shapes are clean: a second cleaning moves less than one pixel in two hundred."""
    value = waves(7, 240, 200, 240).astype("f8") / 24
    luminance = luminance_of_value(value).astype("f4")
    once = drawn_steps(luminance, steps)
    assert (clean_steps(once, luminance, ISLAND_SHARE[steps]) != once).mean() < 0.005
