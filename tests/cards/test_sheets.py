"""The printed cards: true to scale, the same every time, tiles that meet, numbers where they belong."""

from __future__ import annotations

import io
import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import shapely
from PIL import Image
from pypdf import PdfReader
from shapely import LineString

from builder.cards.card_svg import card_svg
from builder.cards.flat import flat, tiles
from builder.cards.sheets import card_sheets, flats
from builder.paper.fonts import width_mm
from builder.sections.sliced import Body
from builder.words.words import load_words
from tests.cards.bodies import block, cards_of, mushroom, uneven_towers

DPI = 600
SAY = load_words()


def dark(pdf: bytes, page: int, folder: Path) -> np.ndarray:
    """(rows, columns) whether a pixel of the page is dark, by poppler."""
    (folder / "cards.pdf").write_bytes(pdf)
    command = ["pdftoppm", "-r", str(DPI), "-f", str(page), "-l", str(page), "-gray", str(folder / "cards.pdf")]
    made = subprocess.run(command, capture_output=True, check=True).stdout
    return np.asarray(Image.open(io.BytesIO(made)).convert("L")) < 128


def longest_run_mm(row: np.ndarray) -> float:
    ends = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(np.int8), [0]])))
    return float((ends[1::2] - ends[::2]).max(initial=0)) * 25.4 / DPI


def test_bar_and_card_are_true_on_paper(tmp_path: Path) -> None:
    """100 mm within 0.1 (CHECKS.md section 6); the profile is 80 mm high within 0.1, and a line's 0.25."""
    sheets = card_sheets(cards_of(block), "Block", SAY)
    page = dark(sheets.pdf, sheets.pages, tmp_path)
    bar = max(longest_run_mm(row) for row in page[-int(30 / 25.4 * DPI) :])
    assert bar == pytest.approx(100.0, abs=0.1)
    edge = max(longest_run_mm(row) for row in page[: -int(30 / 25.4 * DPI)])
    assert edge == pytest.approx(80.25, abs=0.1)


def test_same_bytes_again() -> None:
    """PDF and SVG."""
    cards = cards_of(mushroom)
    assert card_sheets(cards, "M", SAY).pdf == card_sheets(cards, "M", SAY).pdf
    assert card_svg(cards, "M", SAY) == card_svg(cards, "M", SAY)


def test_every_card_is_named_on_a_page_and_in_the_directions() -> None:
    """Footprint, profile and contours 1 to 6, each with a bar of its own."""
    cards = cards_of(block)
    sheets = card_sheets(cards, "Block", SAY)
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(sheets.pdf)).pages]
    assert len(pages) == sheets.pages
    assert all("100 mm on paper" in text for text in pages)
    rows = next(block.rows for block in sheets.blocks if block.kind == "table" and block.rows[0][0] == "Card")
    assert [row[0] for row in rows[1:]] == ["F", "P", "1", "2", "3", "4", "5", "6"]
    assert rows[3][2:4] == ("60.0 mm", "40.0 mm")


def test_svg_is_in_true_millimetres() -> None:
    """Size in mm equals the view box; card 3 is 60 x 40; a slot in thin card is one line."""
    text = card_svg(cards_of(block), "Block", SAY).decode()
    size = re.search(r'width="([\d.]+)mm" height="([\d.]+)mm" viewBox="0 0 ([\d.]+) ([\d.]+)"', text)
    assert size is not None
    assert size.groups()[:2] == size.groups()[2:]
    group = text[text.index('id="card-3"') :].split("</g>")[0]
    paths = [np.array(re.findall(r"[\d.]+", d), float).reshape(-1, 2) for d in re.findall(r' d="([^"]+)"', group)]
    outline = max(paths, key=len)
    assert np.ptp(outline, axis=0) == pytest.approx((60.0, 40.0), abs=0.1)
    assert sum(len(path) == 2 for path in paths) >= 1


def test_tiles_meet() -> None:
    """A card in four tiles: every line that crosses a join stands at the same place on both sides of it."""
    card = cards_of(block, height_mm=400.0).of("contour")[2]
    whole = flat(card, "", "")
    made = tiles(whole, 200.0, 150.0, 10.0)
    assert len(made) == 4
    for one, other, axis in ((made[0], made[1], 0), (made[0], made[2], 1)):
        crossings = []
        for tile in (one, other):
            join = [line for stroke, line in tile.lines if stroke == "join" and np.ptp(line[:, axis]) < 1e-9]
            (at,) = {round(float(line[0, axis]), 6) for line in join}
            ends = [(at, -1e3), (at, 1e3)] if axis == 0 else [(-1e3, at), (1e3, at)]
            hits = [LineString(line).intersection(LineString(ends)) for stroke, line in tile.lines if stroke == "cut"]
            crossings.append(sorted(round(float(hit.y if axis == 0 else hit.x), 4) for hit in hits if not hit.is_empty))
        assert crossings[0] == crossings[1] != []
    covered = sum(tile.width_mm * tile.height_mm for tile in made)
    assert covered == pytest.approx((whole.width_mm + 10) * (whole.height_mm + 10))


def test_tiles_fit_the_page_and_no_card_leaves_it() -> None:
    """A large block on A4: nothing is drawn outside the printable width."""
    cards = cards_of(block, height_mm=400.0)
    sheets = card_sheets(cards, "Block", SAY)
    assert sheets.pages > len(flats(cards, SAY))
    for page in PdfReader(io.BytesIO(sheets.pdf)).pages:
        assert float(page.mediabox.width) == pytest.approx(595.276, abs=0.01)


@pytest.mark.parametrize("body", [block, mushroom])
@pytest.mark.parametrize("kind", ["inner", "outer"])
def test_words_stay_on_their_card(body: Callable[[], Body], kind: str) -> None:
    """The name and its caption, as wide as their letters, lie within the outline, and no slot or fold runs through."""
    cards = cards_of(body, kind=kind)
    for card, laid in zip(cards.cards, flats(cards, SAY), strict=True):
        x0, _, _, y1 = shapely.total_bounds([*card.whole.geoms, *card.guides, *card.folds])
        for word in laid.words:
            if word.size_pt == 6.0:
                continue
            half = width_mm(word.text, word.size_pt, "bold" if word.bold else "regular") / 2
            x, y = x0 + word.x, y1 - word.y - word.down_mm
            block_of = shapely.box(x - half, y, x + half, y + 0.73 * word.size_pt * 25.4 / 72)
            if word.size_pt > 4.5:
                assert card.whole.buffer(0.1).contains(block_of), (card.name, word.text)
                assert not any(fold.intersects(block_of) for fold in card.folds), (card.name, word.text)
                assert not any(slot.area.intersects(block_of) for slot in card.slots), (card.name, word.text)


def test_every_height_has_its_tick_on_the_templates() -> None:
    """Also where the form is higher beside the profile's plane than in it: a low tower there, a high one beside it."""
    cards = cards_of(uneven_towers, kind="outer")
    heights = sorted({card.place_mm for card in cards.of("contour")})
    assert heights[-1] > 70.0
    for card in cards.of("profile"):
        assert sorted({line.bounds[1] for line in card.guides}) == pytest.approx(heights)
        assert all(card.whole.buffer(0.01).intersects(line) for line in card.guides)
        assert card.whole.bounds[3] >= heights[-1] + 6.0 - 1e-6


def test_a_table_goes_on_with_its_head(tmp_path: Path) -> None:
    """Where it runs over a page, the page after begins with the names of its columns."""
    cards = cards_of(block, count=40, height_mm=600.0)
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(card_sheets(cards, "Block", SAY).pdf)).pages]
    heads = [text for text in pages if "Depth or height" in text]
    assert len(heads) >= 2
