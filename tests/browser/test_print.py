"""A sheet prints on one A4 page at true size."""

from __future__ import annotations

import itertools
import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Page

DPI = 600
SHEET = "studies/egg/sheet-002.html#side-lamp/values-3/values"
OUTLINES = "studies/egg/sheet-002.html#window/families/values/alone"


def printed_page(page: Page, address: str, path: Path) -> Path:
    """A page as Chromium prints it, paper as its style says."""
    page.goto(address)
    page.wait_for_function("[...document.querySelectorAll('.cw-layers img')].every(each => each.complete)")
    page.pdf(path=str(path), prefer_css_page_size=True, print_background=True)
    return path


@pytest.fixture
def printed(quiet: Page, address: str, tmp_path: Path) -> Path:
    """The sheet with a value study."""
    return printed_page(quiet, f"{address}/{SHEET}", tmp_path / "sheet.pdf")


@pytest.fixture(autouse=True)
def poppler() -> None:
    """The measuring needs pdftoppm and pdftotext (Debian package poppler-utils)."""
    assert shutil.which("pdftoppm"), "install poppler-utils"


def grey_page(pdf: Path) -> np.ndarray:
    """(h, w) uint8, the first page at ``DPI``."""
    subprocess.run(["pdftoppm", "-r", str(DPI), "-png", "-singlefile", str(pdf), str(pdf.with_suffix(""))], check=True)
    return np.asarray(Image.open(pdf.with_suffix(".png")).convert("L"))


def test_check_bar_measures_100_mm(printed: Path) -> None:
    """The longest black run across the left half of the page is the check bar: 100 mm within 0.1 mm."""
    dark = grey_page(printed) < 96
    # The bar is the only run longer than 90 mm and thinner than 1 mm, plates being far higher.
    longest = 0
    for row in dark:
        edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(np.int8), [0]))))
        runs = edges[1::2] - edges[::2]
        runs = runs[(runs * 25.4 / DPI > 90.0) & (runs * 25.4 / DPI < 110.0)]
        longest = max(longest, int(runs.max(initial=0)))
    assert longest * 25.4 / DPI == pytest.approx(100.0, abs=0.1)


def test_one_a4_page_with_what_was_chosen(printed: Path) -> None:
    """One page, 210 x 297 mm within 0.2 mm, with the lighting, the steps and the prompt of the address."""
    info = subprocess.run(["pdfinfo", str(printed)], check=True, capture_output=True, text=True).stdout
    assert re.search(r"Pages:\s+1\n", info)
    size = re.search(r"Page size:\s+([\d.]+) x ([\d.]+) pts", info)
    assert size
    assert [float(size[1]) * 25.4 / 72, float(size[2]) * 25.4 / 72] == pytest.approx([210.0, 297.0], abs=0.2)
    text = subprocess.run(
        ["pdftotext", "-layout", str(printed), "-"], check=True, capture_output=True, text=True
    ).stdout
    words = " ".join(text.split())
    assert "Side lamp, Three values" in words
    assert "Place every part of the side lamp on a scale of five." in words
    assert "tall window" not in words.lower()
    assert "this line must measure 100 mm" in words
    assert "Back to the view" not in words
    assert "Is one edge lost?" not in words


def test_swatches_print_in_their_greys(printed: Path) -> None:
    """The three swatches stand lightest first in the codes of their middle values: 209, 121 and 42 (ASTM D1535)."""
    page = grey_page(printed)
    column = page[:, int(150.0 / 25.4 * DPI)]
    edges = np.flatnonzero(np.diff(column.astype(int)) != 0)
    bands = [int(column[low + 1]) for low, high in itertools.pairwise(edges) if high - low > 8.0 / 25.4 * DPI]
    assert [band for band in bands if band != 255] == pytest.approx([209, 121, 42], abs=1)


def test_outlines_print_alone_at_the_size_of_the_picture(quiet: Page, address: str, tmp_path: Path) -> None:
    """In the place of the picture, 124 mm wide, stand black lines on white: the egg's ellipse is 0.68 of that wide and
    0.8 of its height of 155 mm high, within the width of its line."""
    page = grey_page(printed_page(quiet, f"{address}/{OUTLINES}", tmp_path / "outlines.pdf"))
    px_per_mm = DPI / 25.4
    lines = page < 200
    # The frame's sides are the only upright lines as high as the picture: it reaches from the ends of the right one.
    sides = np.flatnonzero(lines.sum(axis=0) > 150.0 * px_per_mm)
    left, right = sides[0], sides[-1]
    top = np.flatnonzero(lines[:, right])[0]
    bottom = top + np.flatnonzero(~lines[top:, right])[0] - 1
    assert [(right - left) / px_per_mm, (bottom - top) / px_per_mm] == pytest.approx([124.0, 155.0], abs=0.6)
    frame = int(1.0 * px_per_mm)
    inside = page[top + frame : bottom - frame, left + frame : right - frame]
    across, down = np.flatnonzero((inside < 96).any(axis=0)), np.flatnonzero((inside < 96).any(axis=1))
    size = [(across[-1] - across[0]) / px_per_mm, (down[-1] - down[0]) / px_per_mm]
    assert size == pytest.approx([0.68 * 124.0, 0.8 * 155.0], abs=0.7)
    assert np.mean(inside > 250) > 0.95


def test_families_print_with_their_legend(quiet: Page, address: str, tmp_path: Path) -> None:
    """One page with the six names, what is said of the family rule, and the lines of the outlines."""
    pdf = printed_page(quiet, f"{address}/{OUTLINES}", tmp_path / "families.pdf")
    info = subprocess.run(["pdfinfo", str(pdf)], check=True, capture_output=True, text=True).stdout
    assert re.search(r"Pages:\s+1\n", info)
    text = subprocess.run(["pdftotext", str(pdf), "-"], check=True, capture_output=True, text=True).stdout
    words = " ".join(text.split())
    for name in ("Highlight", "Light", "Halftone", "Core shadow", "Cast shadow", "Reflected light"):
        assert name in words
    assert "Light families, outlines alone" in words
    assert "lower left of the form" in words
    assert "edge of a cast shadow" in words
