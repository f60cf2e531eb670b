"""The drawing of all cards for a cutting machine, opened in Chromium at 100 %, is true to size."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page

from builder.cards.card_svg import card_svg
from builder.words.words import load_words
from tests.cards.bodies import block, cards_of

PX_PER_MM = 96 / 25.4
"""CSS Values and Units 3, section 6.2: an inch is 96 px."""
BOX = """path => { const at = document.querySelector(path).getBoundingClientRect(); return [at.width, at.height]; }"""


@pytest.fixture
def drawing(quiet: Page, tmp_path: Path) -> Page:
    """The cards of a block 60 x 40 x 80 mm."""
    file = tmp_path / "cards.svg"
    file.write_bytes(card_svg(cards_of(block), "Block", load_words()))
    quiet.goto(file.as_uri())
    return quiet


def test_the_bar_is_a_hundred_millimetres(drawing: Page) -> None:
    """377.95 px, to a twentieth of a px, at one device pixel a px."""
    assert drawing.evaluate("devicePixelRatio") == 1
    wide, _ = drawing.evaluate(BOX, "#bar-100-mm")
    assert wide == pytest.approx(100 * PX_PER_MM, abs=0.05)


def test_cards_have_their_size(drawing: Page) -> None:
    """A contour 60 x 40 mm, by its outline; it may lie turned."""
    wide, high = drawing.evaluate(BOX, "#card-3 path.cut")
    assert sorted((wide, high)) == pytest.approx([40 * PX_PER_MM, 60 * PX_PER_MM], abs=0.1)
