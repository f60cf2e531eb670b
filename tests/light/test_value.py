"""Value, lightness and code conversions on whole arrays."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.light.value import (
    VALUE_OF_ROOT,
    codes_of_luminance,
    lightness,
    luminance_of_codes,
    luminance_of_value,
    srgb_decode,
    srgb_encode,
    value_between,
    value_of_luminance,
)

PAIRS = [
    (luminance_of_value, value_of_luminance, 10.0),
    (srgb_decode, srgb_encode, 1.0),
]


@pytest.mark.parametrize(("forth", "back", "top"), PAIRS)
def test_each_scale_runs_from_black_to_white_without_turning(forth, back, top):
    """Black is 0, white is the top of the scale, and a lighter grey never gets a lower number."""
    assert back(0.0) == 0.0
    assert back(1.0) == pytest.approx(top, abs=1e-9)
    assert (np.diff(forth(np.linspace(0, top, 20_001))) > 0).all()
    assert (np.diff(back(np.linspace(0, 1, 20_001))) > 0).all()


@pytest.mark.parametrize(("forth", "back", "top"), PAIRS)
@given(share=st.floats(0.0, 1.0))
def test_there_and_back(forth, back, top, share):
    """Going to luminance and back gives the same number: to 1e-9, and to the step in the standard at sRGB's knee."""
    tolerance = 1e-7 if back is srgb_encode else 1e-9
    assert back(forth(share * top)) == pytest.approx(share * top, abs=tolerance)


@pytest.mark.parametrize(("forth", "back", "top"), PAIRS)
def test_out_of_range_is_clipped(forth, back, top):
    """Nothing is darker than black or lighter than white."""
    assert list(back([-0.5, 7.0])) == [0.0, pytest.approx(top, abs=1e-9)]
    assert list(forth([-1.0, 2 * top])) == [0.0, 1.0]


def test_codes_of_a_picture_are_the_nearest_codes():
    """The table gives the code that the formula, rounded in double precision, gives: on two million pixels."""
    luminance = (np.random.default_rng(5).random((1000, 2000)) ** 3).astype(np.float32)
    expected = np.floor(srgb_encode(luminance) * 255 + 0.5).astype(np.uint8)
    assert np.array_equal(codes_of_luminance(luminance), expected)


@pytest.mark.parametrize("dtype", [np.float32, np.float64])
def test_codes_change_exactly_half_way(dtype):
    """On either side of every border between codes, to the last bit, the code is the right one."""
    borders = srgb_decode((np.arange(255) + 0.5) / 255).astype(dtype)
    for near in (borders, np.nextafter(borders, dtype(2)), np.nextafter(borders, dtype(-1))):
        exact = np.array([int(np.sum(srgb_decode((np.arange(255) + 0.5) / 255) <= np.float64(y))) for y in near])
        assert np.array_equal(codes_of_luminance(near), exact)


def test_every_code_survives():
    """A grey written and read is the same code."""
    codes = np.arange(256, dtype=np.uint8)
    assert np.array_equal(codes_of_luminance(luminance_of_codes(codes)), codes)


def test_value_in_loops_is_that_of_the_polynomial():
    """Read from the table, the value of any luminance is within 3e-5 of the exact one, clipped at both ends."""
    luminance = np.append(np.linspace(0, 1, 20001), [-0.5, 1.5])
    read = [value_between(y, VALUE_OF_ROOT) for y in luminance]
    np.testing.assert_allclose(read, value_of_luminance(luminance), atol=3e-5)


def test_codes_clip_above_white():
    """Luminance above 1 is white and below 0 black."""
    assert list(codes_of_luminance(np.array([-0.1, 0.0, 1.0, 1.7], np.float32))) == [0, 0, 255, 255]


def test_shapes_are_kept():
    """Numbers in, numbers out; pictures in, pictures out."""
    for function in (value_of_luminance, lightness, srgb_encode, codes_of_luminance):
        assert function(0.5).shape == ()
        assert function(np.full((3, 4), 0.5)).shape == (3, 4)
