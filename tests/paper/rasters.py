"""Printed pages as poppler sees them: a reader of PDF that is not ours."""

from __future__ import annotations

import io
import subprocess
from pathlib import Path

import numpy as np
from PIL import Image

from builder.arrays import Bytes


def raster(pdf: bytes, folder: Path, dpi: int, page: int = 1, cut: tuple[int, int, int, int] | None = None) -> Bytes:
    """Page ``page`` (from 1) of the file as grey pixels (h, w) uint8 at ``dpi``; of it only what lies in ``cut``: left,
    top, width and height, px.
    """
    file = folder / "page.pdf"
    file.write_bytes(pdf)
    part = [word for name, value in zip("xyWH", cut or (), strict=False) for word in (f"-{name}", str(value))]
    command = ["pdftoppm", "-r", str(dpi), "-f", str(page), "-l", str(page), *part, "-gray", str(file)]
    done = subprocess.run(command, check=True, capture_output=True)
    with Image.open(io.BytesIO(done.stdout)) as picture:
        return np.asarray(picture.convert("L"))


def said(pdf: bytes, folder: Path, *command: str) -> str:
    """What a command of poppler's says of the file."""
    file = folder / "page.pdf"
    file.write_bytes(pdf)
    return subprocess.run([*command, str(file)], check=True, capture_output=True, text=True).stdout


def longest_run_mm(pixels: Bytes, dpi: int) -> float:
    """The longest unbroken dark line along a row, mm."""
    longest = 0
    for row in pixels < 128:
        edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(np.int8), [0]])))
        longest = max(longest, int((edges[1::2] - edges[::2]).max(initial=0)))
    return longest / dpi * 25.4
