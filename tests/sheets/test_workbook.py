from __future__ import annotations

import dataclasses
import hashlib
import io
import os
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest

from builder.paper.document import Document
from builder.paper.formats import FORMATS
from builder.paper.spread import spread
from builder.sheets.view_sheet import ViewSheet
from builder.sheets.workbook import Cover, workbook
from builder.words.words import load_words
from tests.sheets.conftest import view_sheet

COVER = Cover("Mask", "A mask for the tests.", "Made for the tests.", "7 views", 47)
NUMBERS = (53, 47, 41, 25, 48, 46, 62)


def sheets(folder: Path) -> tuple[ViewSheet, ...]:
    return tuple(view_sheet(folder, number, 1 + place // 3) for place, number in enumerate(NUMBERS))


def book(folder: Path, paper: str = "a4", height: float | None = None, cover: Cover = COVER) -> Document:
    lay = spread(FORMATS[paper], 0.8, height)
    assert lay is not None
    return workbook(cover, sheets(folder), FORMATS[paper], lay, load_words("en"))


def read(document: Document) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(document.bytes()))


@pytest.mark.parametrize(("paper", "height"), [("a4", None), ("letter", None), ("a4", 200.0)])
def test_contents_lead_to_the_pages_they_name(folder: Path, paper: str, height: float | None) -> None:
    """Each link of the contents opens the page whose printed number stands beside it, which shows that view."""
    reader = read(book(folder, paper, height))
    contents = next(page for page in reader.pages if "Contents" in page.extract_text())
    lines = [line for line in contents.extract_text().splitlines() if ", Side lamp" in line]
    assert len(lines) == len(NUMBERS)
    opened = [note.get_object()["/Dest"][0].get_object() for note in contents["/Annots"]]
    pages = {number: opened[row] for row, number in enumerate(NUMBERS)}
    for number, page in pages.items():
        place = next(n for n, one in enumerate(reader.pages, 1) if one == page)
        text = reader.pages[place - 1].extract_text()
        assert text.split()[0] == str(number)
        assert f"page {place} of {len(reader.pages)}" in text
        assert str(place) in contents.extract_text()
        assert place % 2 == 1, "a view begins on the front of a leaf"


def test_views_keep_their_order(folder: Path) -> None:
    """Bookmarks: cover, contents, the views in the order given, the checks."""
    reader = read(book(folder))
    titles = [mark.title for mark in reader.outline]
    assert titles == ["Mask", "Contents", *(f"{number}: View of {number}" for number in NUMBERS), "Check yourself"]
    pages = [reader.get_destination_page_number(mark) for mark in reader.outline]
    assert pages == sorted(pages)


def test_every_page_says_which_it_is(folder: Path) -> None:
    """Page n of all, on every page."""
    reader = read(book(folder))
    for number, page in enumerate(reader.pages, 1):
        assert f"page {number} of {len(reader.pages)}" in page.extract_text()


def test_checks_come_after_the_drawing(folder: Path) -> None:
    """What a student checks stands on the last pages alone."""
    reader = read(book(folder))
    told = [n for n, page in enumerate(reader.pages) if "values cover view" in page.extract_text()]
    assert told == [len(reader.pages) - 1]
    assert all(f"cover view {number}" in " ".join(reader.pages[-1].extract_text().split()) for number in NUMBERS)


def test_each_view_has_its_card_for_the_table(folder: Path) -> None:
    """It stands right behind the view's own leaf, and the next view still begins on the front of one."""
    reader = read(book(folder))
    for number in NUMBERS:
        title = f"View {number}, Side lamp: at your own table"
        card = next(n for n, page in enumerate(reader.pages) if title in page.extract_text())
        assert reader.pages[card - 2].extract_text().split()[0] == str(number)
        assert card % 2 == 0


def test_long_words_on_the_cover_go_on(folder: Path) -> None:
    """The longest that a study may say of itself and its maker is all there."""
    cover = dataclasses.replace(COVER, about="word " * 398 + "about-ends", credit="name " * 198 + "credit-ends")
    text = " ".join(page.extract_text() for page in read(book(folder, cover=cover)).pages[:3])
    assert "about-ends" in text and "credit-ends" in text


def test_a_picture_is_kept_once(folder: Path) -> None:
    """Seven views with the same plates: one picture of each printed size, not seven."""
    reader = read(book(folder))
    names = {
        page["/Resources"]["/XObject"].raw_get(name).idnum
        for page in reader.pages
        for name in page["/Resources"].get("/XObject", {})
    }
    assert len(names) <= 4


def test_the_same_workbook_gives_the_same_bytes(folder: Path) -> None:
    """Here, and in processes with other hash seeds."""
    here = hashlib.sha256(book(folder).bytes()).hexdigest()
    code = (
        "import hashlib, sys, pathlib; from tests.sheets.test_workbook import book;"
        "print(hashlib.sha256(book(pathlib.Path(sys.argv[1])).bytes()).hexdigest())"
    )
    for seed in ("1", "2"):
        done = subprocess.run(
            [sys.executable, "-c", code, str(folder)],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(Path(__file__).parents[2])},
            check=True,
            capture_output=True,
            text=True,
        )
        assert done.stdout.strip() == here
