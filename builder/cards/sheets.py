"""The printed pages: directions first, then every card true to size with a check bar on each page."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from builder.cards.build_text import Block, build_text
from builder.cards.card import Card
from builder.cards.card_set import CardSet
from builder.cards.flat import Flat, Stroke, flat
from builder.cards.layout import Placed, laid_out
from builder.paper.document import Document
from builder.paper.formats import FORMATS
from builder.paper.page import Cell, Page
from builder.words.words import Words

EDGE_MM, HEAD_MM, FOOT_MM = 8.0, 9.0, 14.0
"""Margins that printers leave white; the running head; the line of the check bar."""
ROW_ROOM_MM, IN_FROM_MM = 10.0, 6.0
"""What a row of a table may take; how far the text of an item stands in."""
LETTERS = (12, 60)
"""The longest cell of a column is taken for no shorter and no longer than this when columns share the width."""
KEY_MM = 17.0
"""Length of a line in the key: longer than the longest dash with its gap and dot."""
STROKES: dict[Stroke, dict[str, Any]] = {
    "cut": {"width_mm": 0.25},
    "fold": {"width_mm": 0.25, "dash": (2.5, 1.5)},
    "join": {"width_mm": 0.25, "dash": (6.0, 1.5, 1.0, 1.5)},
    "guide": {"width_mm": 0.15, "grey": 0.55},
}


@dataclass(frozen=True, slots=True)
class CardSheets:
    """The PDF, how many pages and sheets of card it has, and the directions in it."""

    pdf: bytes
    pages: int
    blocks: tuple[Block, ...]


def card_sheets(cards: CardSet, study: str, say: Words) -> CardSheets:
    """Everything to print for a set of cards."""
    paper = FORMATS[cards.choice.paper]
    wide, tall = paper.width_mm - 2 * EDGE_MM, paper.height_mm - 2 * EDGE_MM - HEAD_MM - FOOT_MM
    pages = laid_out(flats(cards, say), wide, tall)
    blocks = build_text(cards, len(pages), paper.title, say)
    title = say("cards.title", study=study)
    document = Document(title, say.language)
    _Text(document, paper.width_mm, paper.height_mm).write(title, blocks)
    text_pages = len(document.pages)
    total = text_pages + len(pages)
    for placed in pages:
        page = document.page(paper.width_mm, paper.height_mm)
        document.bookmark(", ".join(one.flat.key for one in placed), f"page-{len(document.pages)}", page)
        _card_page(page, placed, title, say)
    for number, page in enumerate(document.pages, 1):
        with page.artifact():
            page.text(
                paper.width_mm - EDGE_MM, EDGE_MM + 4, say("cards.page_of", page=number, pages=total), 7.5, anchor="end"
            )
        if number <= text_pages:
            page.bar(EDGE_MM, paper.height_mm - EDGE_MM - 5, say("cards.bar"))
    return CardSheets(document.bytes(), total, blocks)


def flats(cards: CardSet, say: Words) -> list[Flat]:
    """Every card laid flat, in the order in which they are put together."""
    return [flat(card, _caption(card, cards, say), _title(card, say)) for card in cards.cards]


def _title(card: Card, say: Words) -> str:
    width, depth = card.extents_mm
    return say("cards.alt_card", name=card.name, width=f"{width:.1f}", depth=f"{depth:.1f}")


def _caption(card: Card, cards: CardSet, say: Words) -> str:
    outer = cards.choice.kind == "outer"
    if card.role == "contour" and outer:
        side = say("cards.side_left" if card.name.endswith("L") else "cards.side_right")
        return say("cards.caption_half", height=f"{card.place_mm:.1f}", side=side)
    if card.role == "profile" and outer:
        return say("cards.caption_template")
    return say(f"cards.caption_{card.role}", height=f"{card.place_mm:.1f}")


def _card_page(page: Page, placed: Sequence[Placed], title: str, say: Words) -> None:
    page.text(EDGE_MM, EDGE_MM + 4, title, 9, bold=True, tag="H1")
    left, top = EDGE_MM, EDGE_MM + HEAD_MM
    for one in placed:
        with page.figure(one.flat.title):
            for stroke, points in one.flat.lines:
                page.line(np.add(points, (left + one.x, top + one.y)), **STROKES[stroke])
            for word in one.flat.words:
                x, y = left + one.x + word.x, top + one.y + word.y
                at = (x + word.down_mm, y) if word.turned else (x, y + word.down_mm)
                turn = 90.0 if word.turned else 0.0
                page.text(*at, word.text, word.size_pt, word.bold, "middle", rotated_deg=turn)
    low = page.height_mm - EDGE_MM - 5
    page.bar(EDGE_MM, low, say("cards.bar"))
    with page.artifact():
        x = EDGE_MM + 108.0
        for name in ("cut", "fold", "join", "guide"):
            page.line([(x, low), (x + KEY_MM, low)], **STROKES[name])
            page.text(x + KEY_MM / 2, low + 3.6, say(f"cards.key_{name}"), 6.5, anchor="middle")
            x += 21.0


class _Text:
    """Sets blocks on pages, one after another."""

    def __init__(self, document: Document, width_mm: float, height_mm: float) -> None:
        self.document, self.width, self.height = document, width_mm, height_mm
        self.left, self.wide = EDGE_MM + 7, width_mm - 2 * EDGE_MM - 14
        self.bottom = height_mm - EDGE_MM - FOOT_MM - 2
        self.y = 0.0
        self.page = self._next()

    def _next(self) -> Page:
        self.y = EDGE_MM + HEAD_MM + 3
        self.page = self.document.page(self.width, self.height)
        return self.page

    def write(self, title: str, blocks: Sequence[Block]) -> None:
        """The title and all blocks; items that follow each other are one list a page."""
        self.document.bookmark(title, "directions")
        self.y += self.page.paragraph(self.left, self.y, self.wide, title, 15, "H1", bold=True) + 2
        for kind, run in itertools.groupby(blocks, lambda block: block.kind):
            if kind in ("step", "item"):
                self._list([block.text for block in run], numbered=kind == "step")
                continue
            for block in run:
                self._block(block)

    def _block(self, block: Block) -> None:
        if block.kind == "table":
            self._table(block.rows)
            return
        if block.kind == "heading":
            self._room(18.0)
            self.y += 2.5
            self.y += self.page.paragraph(self.left, self.y, self.wide, block.text, 11, "H2", bold=True) + 1
            return
        self._room(_about_mm(block.text))
        self.y += self.page.paragraph(self.left, self.y, self.wide, block.text, 9) + 1

    def _list(self, items: Sequence[str], numbered: bool) -> None:
        done = 0
        while done < len(items):
            self._room(_about_mm(items[done]))
            with self.page.group("L"):
                first = done
                while done < len(items) and (done == first or self._fits(_about_mm(items[done]))):
                    with self.page.group("LI"):
                        mark = f"{done + 1}" if numbered else "\u2022"
                        self.page.paragraph(self.left, self.y, IN_FROM_MM, mark, 9, "Lbl")
                        at, wide = self.left + IN_FROM_MM, self.wide - IN_FROM_MM
                        self.y += self.page.paragraph(at, self.y, wide, items[done], 9, "LBody") + 1
                    done += 1

    def _table(self, rows: Sequence[Sequence[str]]) -> None:
        longest = [float(np.clip(max(len(cell) for cell in column), *LETTERS)) for column in zip(*rows, strict=True)]
        share = [letters / sum(longest) for letters in longest]
        done = 1
        while done < len(rows):
            self._room(2 * ROW_ROOM_MM)
            with self.page.group("Table"):
                self._row(rows[0], share, head=True)
                first = done
                while done < len(rows) and (done == first or self._fits(ROW_ROOM_MM)):
                    self._row(rows[done], share, head=False)
                    done += 1

    def _row(self, row: Sequence[str], share: Sequence[float], head: bool) -> None:
        tall, x = 0.0, self.left
        with self.page.group("TR"):
            for column, (part, text) in enumerate(zip(share, row, strict=True)):
                cell = Cell("Column" if head else "" if column else "Row")
                wide = part * self.wide - 2
                tall = max(tall, self.page.paragraph(x, self.y, wide, text, 8.5, bold=head, cell=cell))
                x += part * self.wide
        self.y += tall + 0.6
        with self.page.artifact():
            self.page.line([(self.left, self.y), (self.left + self.wide, self.y)], 0.1, 0.6)
        self.y += 0.6

    def _fits(self, tall_mm: float) -> bool:
        return self.y + tall_mm <= self.bottom

    def _room(self, tall_mm: float) -> None:
        if not self._fits(tall_mm):
            self._next()


def _about_mm(text: str) -> float:
    """About how high a text stands; never less than it does."""
    return 5.0 * (1 + len(text) // 95)
