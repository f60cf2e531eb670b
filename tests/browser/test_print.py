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


@pytest.fixture
def printed(quiet: Page, address: str, tmp_path: Path) -> Path:
    """The sheet as Chromium prints it, paper as its style says."""
    quiet.goto(f"{address}/{SHEET}")
    quiet.wait_for_function("document.querySelector('[data-plate-picture]').complete")
    path = tmp_path / "sheet.pdf"
    quiet.pdf(path=str(path), prefer_css_page_size=True, print_background=True)
    return path


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
