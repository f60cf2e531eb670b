"""What is worded in the store is kept by the phrases it says: all of them, and none that only others say."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest

from builder.cards.card_svg import card_svg
from builder.cards.sheets import card_sheets
from builder.code import ROOT
from builder.jobs import cards, sheets, tables
from builder.paper.formats import FORMATS
from builder.sheets.leaf import sheet_document
from builder.sheets.overlay import overlay_document
from builder.sheets.view_sheet import ViewSheet
from builder.sheets.workbook import Cover, workbook
from builder.table.sheet import card_document
from builder.words.words import Words, load_words
from tests.cards.bodies import cards_of, mushroom
from tests.sheets import conftest

folder, sheet = conftest.folder, conftest.sheet


class Heard(dict[str, str]):
    """Phrases that remember which were asked for."""

    def __init__(self, phrases: Mapping[str, str]) -> None:
        super().__init__(phrases)
        self.keys_asked: set[str] = set()

    def __getitem__(self, key: str) -> str:
        self.keys_asked.add(key)
        return super().__getitem__(key)


@pytest.fixture
def words() -> Words:
    """Words of its own for each test, whose phrases remember."""
    first = load_words()
    return replace(first, phrases=Heard(first.phrases))


def heard(words: Words) -> set[str]:
    assert isinstance(words.phrases, Heard) and words.phrases.keys_asked
    return words.phrases.keys_asked


def test_a_sheet_and_an_overlay_say_what_they_are_kept_by(sheet: ViewSheet, words: Words) -> None:
    lay = sheets.lay_out(FORMATS["a4"], sheet.ratio, None)
    for marks in ("grid", "sight-size"):
        sheet_document(replace(sheet, marks=marks), lay, words)
        overlay_document(replace(sheet, marks=marks), lay, words)
    assert heard(words) <= words.of(*sheets.SAID).keys()


def test_a_workbook_says_what_it_is_kept_by(folder: Path, words: Words) -> None:
    views = tuple(conftest.view_sheet(folder, number, 1) for number in (45, 61))
    lay = sheets.lay_out(FORMATS["a4"], views[0].ratio, None)
    workbook(Cover("Mask", "About.", "Credit.", "2 views", 61), views, FORMATS["a4"], lay, words)
    assert heard(words) <= words.of(*sheets.SAID_IN_WORKBOOK).keys()


def test_cards_for_a_table_say_what_they_are_kept_by(sheet: ViewSheet, words: Words) -> None:
    card_document((sheet.table,), FORMATS["a4"], words)
    assert heard(words) <= words.of(*tables.SAID).keys()


def test_section_cards_say_what_they_are_kept_by(words: Words) -> None:
    cut = cards_of(mushroom)
    card_sheets(cut, "Mushroom", words)
    card_svg(cut, "Mushroom", words)
    assert heard(words) <= words.of(*cards.SAID).keys()


@pytest.mark.parametrize(("room", "said"), [("sheets", sheets.SAID), ("table", tables.SAID), ("cards", cards.SAID)])
def test_no_phrase_in_a_rooms_code_is_left_out(room: str, said: tuple[str, ...]) -> None:
    """Whatever branch is taken: the first name of every key written in the code is among those it is kept by."""
    texts = [path.read_text(encoding="utf-8") for path in sorted((ROOT / room).glob("*.py"))]
    keys = [
        key for text in texts for key in re.findall(r"""\b(?:say|words|words\.count)\(\s*f?["']([a-z_]+)\.""", text)
    ]
    assert len(keys) > 10
    assert set(keys) <= set(said)
