from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from builder.sheets.plates import printed_plate


def opened(file: bytes) -> np.ndarray:
    with Image.open(io.BytesIO(file)) as picture:
        assert picture.mode == "L"
        return np.asarray(picture)


def test_a_plate_no_finer_than_paper_shows_keeps_its_pixels(folder: Path) -> None:
    """1200 px on 124 mm are 246 dpi: every pixel is the stored one."""
    with Image.open(folder / "tone" / "plate.webp") as plate:
        stored = np.asarray(plate.convert("L"))
    assert np.array_equal(opened(printed_plate(folder / "tone" / "plate.webp", 124.0)), stored)


def test_a_small_print_is_reduced_to_300_dpi_in_linear_light(tmp_path: Path) -> None:
    """Black and white pixels in turn are half the light: code 188 (IEC 61966-2-1), not the mean code 128."""
    board = (np.indices((1200, 1200)).sum(0) % 2 * 255).astype(np.uint8)
    Image.fromarray(board).save(tmp_path / "plate.webp", lossless=True)
    small = opened(printed_plate(tmp_path / "plate.webp", 25.4 * 2))
    assert small.shape == (600, 600)
    assert np.abs(small.astype(int) - 188).max() <= 1


def test_the_same_plate_gives_the_same_bytes(folder: Path) -> None:
    """Twice written, once kept."""
    file = folder / "tone" / "plate.webp"
    assert printed_plate(file, 60.0) == printed_plate(file, 60.0)
    assert opened(printed_plate(file, 60.0)).shape[1] == pytest.approx(60 / 25.4 * 300, abs=1)
