from __future__ import annotations

import dataclasses
import io
from pathlib import Path

import numpy as np
import pypdf
import pytest
from PIL import Image

from builder.paper.formats import FORMATS
from builder.paper.spread import FOOT_MM, MARGIN_MM, Spread, spread
from builder.sheets.back import SCALE_MM
from builder.sheets.leaf import sheet_document
from builder.sheets.overlay import overlay_document
from builder.sheets.view_sheet import ViewSheet
from builder.words.words import load_words
from tests.paper.rasters import longest_run_mm, raster, said
from tests.sheets.conftest import LINE_X, LINE_Y, WIDTH

WORDS = load_words("en")
DPI = 600


def laid(paper: str = "a4", height: float | None = None) -> Spread:
    lay = spread(FORMATS[paper], 0.8, height)
    assert lay is not None
    return lay


def read(data: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(data))


def lines_along(pixels: np.ndarray, limit: int) -> np.ndarray:
    """Middles of dark stretches along a row of pixels, mm."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], (pixels < limit).astype(np.int8), [0]])))
    return (edges[::2] + edges[1::2]) / 2 / DPI * 25.4


def test_both_frames_are_as_large_as_they_say(sheet: ViewSheet, tmp_path: Path) -> None:
    """Measured in the raster: the empty frame is 124 x 155 mm in squares of 124/6 mm, and so is the picture."""
    lay = laid()
    pixels = raster(sheet_document(sheet, lay, WORDS).bytes(), tmp_path, DPI)
    per_mm = DPI / 25.4
    top, left = round((lay.empty[1] + 10) * per_mm), round((lay.empty[0] - 3) * per_mm)
    across = lines_along(pixels[top, left : left + round(132 * per_mm)], 220) + left / per_mm
    grid = across[across > lay.empty[0] - 0.5]
    assert np.allclose(np.diff(grid), 124 / 6, atol=0.1) and len(grid) == 7
    column = round((lay.empty[0] + 10) * per_mm)
    down = lines_along(pixels[round((lay.empty[1] - 0.5) * per_mm) :, column], 220)
    down = down[down < 156] - 0.5
    assert down[0] == pytest.approx(0, abs=0.1)
    assert np.allclose(np.diff(down)[:7], 124 / 6, atol=0.1)
    assert down.max() == pytest.approx(155, abs=0.1)
    image = read(sheet_document(sheet, lay, WORDS).bytes()).pages[0]
    code = image.get_contents().get_data().decode()  # type: ignore[union-attr]
    wide, high = (
        float(part) / 72 * 25.4 for part in code.split(" cm /Picture0 Do")[0].rsplit("q ", 1)[1].split()[:4:3]
    )
    assert (wide, high) == (pytest.approx(124, abs=0.01), pytest.approx(155, abs=0.01))


def test_the_picture_loses_nothing(sheet: ViewSheet) -> None:
    """The image in the PDF has the stored plate's pixels, in one grey channel."""
    image = read(sheet_document(sheet, laid(), WORDS).bytes()).pages[0].images[0].image
    with Image.open(sheet.picture.file) as plate:
        assert image is not None and image.mode == "L"
        assert np.array_equal(np.asarray(image), np.asarray(plate.convert("L")))


@pytest.mark.parametrize("paper", sorted(FORMATS))
def test_every_page_has_a_bar_of_100_mm(sheet: ViewSheet, paper: str, tmp_path: Path) -> None:
    """Measured at 600 dpi in the foot of every page (CHECKS.md section 6: within 0.1 mm)."""
    data = sheet_document(sheet, laid(paper), WORDS).bytes()
    for page in range(1, len(read(data).pages) + 1):
        top = round((laid(paper).height_mm - 20) / 25.4 * DPI)
        foot = raster(data, tmp_path, DPI, page, (0, top, round(115 / 25.4 * DPI), round(20 / 25.4 * DPI)))
        assert longest_run_mm(foot, DPI) == pytest.approx(100, abs=0.1)


def test_swatches_are_the_greys_of_their_values(sheet: ViewSheet, tmp_path: Path) -> None:
    """Values 1, 3, 5, 7, 9 are codes 28, 72, 121, 173, 227 (CHECKS.md section 1), in the raster to a code."""
    data = sheet_document(sheet, laid(), WORDS).bytes()
    pixels = raster(data, tmp_path, 254, 2)
    row = pixels[round(10 * (210 - MARGIN_MM - FOOT_MM - SCALE_MM + 8))]
    found = [int(row[round(10 * (MARGIN_MM + (step + 0.5) * 82 / 5))]) for step in range(5)]
    assert np.abs(np.array(found) - [28, 72, 121, 173, 227]).max() <= 1


def test_line_studies_are_lines(sheet: ViewSheet) -> None:
    """On the page of studies only plates are pictures; the block-in is drawn."""
    page = read(sheet_document(sheet, laid(), WORDS).bytes()).pages[1]
    assert len(page.images) == 2


def test_a_long_task_goes_on_and_loses_no_word(sheet: ViewSheet) -> None:
    """Sixty long steps take further pages; every step is there once, in order, and no letter is smaller than 7.5 pt."""
    steps = tuple(f"Step number{n} " + "look at it again and again, " * 9 for n in range(60))
    assert sheet.task is not None
    long = dataclasses.replace(sheet, task=dataclasses.replace(sheet.task, steps=steps))
    reader = read(sheet_document(long, laid(), WORDS).bytes())
    assert len(reader.pages) > 2
    text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    found = [text.index(f"number{n} ") for n in range(60)]
    assert found == sorted(found)
    assert text.count("look at it again and again,") == 540
    for page in reader.pages:
        code = page.get_contents().get_data().decode()  # type: ignore[union-attr]
        assert min(float(part.rsplit(" ", 1)[1]) for part in code.split(" Tf")[:-1]) >= 7.5


def test_a_short_task_keeps_to_two_pages(sheet: ViewSheet) -> None:
    """Picture and place in front, studies and task behind; and without a task or planes the sheet still stands."""
    assert len(read(sheet_document(sheet, laid(), WORDS).bytes()).pages) == 2
    bare = dataclasses.replace(sheet, task=None, studies=sheet.studies[:2], swatches=())
    assert len(read(sheet_document(bare, laid(), WORDS).bytes()).pages) == 2


def test_a_large_frame_has_a_page_of_its_own(sheet: ViewSheet, tmp_path: Path) -> None:
    """At 200 mm picture and place face each other; the empty page says the size."""
    data = sheet_document(sheet, laid("a4", 200), WORDS).bytes()
    reader = read(data)
    assert len(reader.pages) == 3
    assert len(reader.pages[0].images) == 1 and len(reader.pages[1].images) == 0
    assert "160 × 200 mm" in reader.pages[1].extract_text()


def test_the_reading_order_is_that_of_the_page(sheet: ViewSheet, tmp_path: Path) -> None:
    """poppler's walk through the tags: number, title, picture, place to draw; then task, steps, scale, studies."""
    words = said(sheet_document(sheet, laid(), WORDS).bytes(), tmp_path, "pdfinfo", "-struct-text")
    order = ['"45 View of 45"', "Figure", "Your drawing", '"Values"', "Put every shape", "Make a scale"]
    order += ["Draw the outline", "The darkest place", "Tap charcoal", "Scale of values", "Five values"]
    order += ["Few straight lines", "Middle planes"]
    at = -1
    for part in order:
        assert (at := words.find(part, at + 1)) >= 0, part


def test_sight_size_marks_stand_at_ends_and_halves(sheet: ViewSheet, tmp_path: Path) -> None:
    """Box 300..900 by 300..1200 px at 124/1200 mm a pixel: levels 31, 77.5 and 124 mm below the frame's top."""
    lay = laid()
    marked = dataclasses.replace(sheet, marks="sight-size")
    pixels = raster(sheet_document(marked, lay, WORDS).bytes(), tmp_path, DPI)
    per_mm = DPI / 25.4
    for x in (lay.full[0], lay.empty[0]):
        column = pixels[:, round((x - 0.6) * per_mm)]
        levels = lines_along(column, 128) - lay.empty[1]
        for level in (31.0, 77.5, 124.0):
            assert np.abs(levels - level).min() < 0.1


def test_the_overlay_lies_on_the_place_to_draw(sheet: ViewSheet, tmp_path: Path) -> None:
    """Its lines stand where the picture's pixels would, in the frame of the empty place, and are no picture."""
    lay = laid()
    data = overlay_document(sheet, lay, WORDS).bytes()
    page = read(data).pages[0]
    assert len(page.images) == 0
    pixels = raster(data, tmp_path, DPI)
    per_mm, scale = DPI / 25.4, 124 / WIDTH
    across = lines_along(pixels[round((lay.empty[1] + 30) * per_mm)], 150)
    down = lines_along(pixels[: round(180 * per_mm), round((lay.empty[0] + 60) * per_mm)], 150)
    assert np.abs(across - (lay.empty[0] + LINE_X * scale)).min() < 0.1
    assert np.abs(down - (lay.empty[1] + LINE_Y * scale)).min() < 0.1
    front = raster(sheet_document(sheet, lay, WORDS).bytes(), tmp_path, DPI)
    row = round((lay.empty[1] - 3) * per_mm)
    assert np.allclose(
        [mark for mark in lines_along(front[row], 128) if mark > lay.empty[0] - 1][:1],
        [mark for mark in lines_along(pixels[row], 128) if mark > lay.empty[0] - 1][:1],
        atol=0.05,
    )


def test_the_overlay_tells_of_what_is_on_it(sheet: ViewSheet) -> None:
    """Its size, and not the squares, which it has not: only the sheet tells of them."""
    told = {
        make: read(make(sheet, laid(), WORDS).bytes()).pages[0].extract_text()
        for make in (sheet_document, overlay_document)
    }
    assert all("124 × 155 mm" in " ".join(text.split()) for text in told.values())
    assert ["Squares of" in text for text in told.values()] == [True, False]


def test_the_same_sheet_gives_the_same_bytes(sheet: ViewSheet) -> None:
    """Sheet and overlay, made twice."""
    for make in (sheet_document, overlay_document):
        assert make(sheet, laid(), WORDS).bytes() == make(sheet, laid(), WORDS).bytes()


def test_fonts_are_embedded(sheet: ViewSheet, tmp_path: Path) -> None:
    """poppler lists only embedded subsets, in sheet and overlay."""
    for make in (sheet_document, overlay_document):
        rows = said(make(sheet, laid(), WORDS).bytes(), tmp_path, "pdffonts").splitlines()[2:]
        assert rows and all(row.split()[-5:-2] == ["yes", "yes", "yes"] for row in rows)
