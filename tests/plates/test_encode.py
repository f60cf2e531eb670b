"""Plates as files."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from builder.plates.encode import encode, thumbnail
from builder.plates.plate import Plate
from builder.plates.values import make_values
from tests.plates.known_light import picture
from tests.plates.test_values import hills


def read(data: bytes, tint: int = 0) -> np.ndarray:
    image = Image.open(io.BytesIO(data))
    assert image.format == "WEBP"
    pixels = np.asarray(image.convert("RGB"))
    assert np.ptp(pixels, axis=-1).max() <= tint, "a grey picture must stay grey"
    return pixels[..., 1]


@pytest.mark.parametrize("steps", [2, 3, 5, 9])
def test_value_studies_come_back_exactly(steps):
    """Every code of a lossless plate survives writing and reading."""
    plate = make_values(picture(hills(size=200)), steps)
    data, suffix = encode(plate)
    assert suffix == "webp"
    assert np.array_equal(read(data), plate.grey)


def test_lossless_keeps_any_picture():
    """Even noise of all 256 codes."""
    grey = np.random.default_rng(1).integers(0, 256, (97, 64), np.uint8)
    assert np.array_equal(read(encode(Plate("noise", grey, lossless=True))[0]), grey)


def test_gradations_come_back_within_a_tenth_of_a_value():
    """On smooth shading with one hard edge all but 1 pixel in 100 are within 3 codes, none off by more than 12, none
    tinted by more than a code, and the whole is neither lighter nor darker."""
    y, x = np.mgrid[:300, :240]
    grey = np.clip(60 + 150 * np.exp(-((x - 100) ** 2 + (y - 120) ** 2) / 9000), 0, 255)
    grey[np.hypot(x - 120, y - 150) > 110] = 40
    grey = grey.astype(np.uint8)
    data, suffix = encode(Plate("tone", grey, lossless=False))
    off = read(data, tint=1).astype(int) - grey
    assert suffix == "webp"
    assert np.percentile(np.abs(off), 99) <= 3
    assert np.abs(off).max() <= 12
    assert abs(off.mean()) < 0.3
    assert len(data) < len(encode(Plate("tone", grey, lossless=True))[0])


def test_same_picture_same_bytes():
    """Writing twice gives the same file."""
    plate = make_values(picture(hills()), 5)
    assert encode(plate) == encode(plate)
    assert thumbnail(plate, 40) == thumbnail(plate, 40)


def test_thumbnail_is_reduced_in_linear_light():
    """A fine chequer of black and white is half the light, code 188 (IEC 61966-2-1), not code 128."""
    grey = (np.indices((200, 160)).sum(axis=0) % 2 * 255).astype(np.uint8)
    small = read(thumbnail(Plate("chequer", grey, lossless=True), 40), tint=1)
    assert small.shape == (50, 40)
    assert np.abs(small.astype(int) - 188).max() <= 2


def test_thumbnail_never_enlarges():
    """A plate narrower than asked for keeps its size."""
    assert read(thumbnail(Plate("tone", np.full((20, 30), 90, np.uint8), lossless=False), 480), tint=1).shape == (
        20,
        30,
    )
