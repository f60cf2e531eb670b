"""The workbook of a study: cover, how to print it, contents, a leaf for every view, and the checks at the end."""

from __future__ import annotations

import contextlib
import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from builder.paper.document import Document
from builder.paper.fonts import MM_PER_POINT, width_mm
from builder.paper.formats import Paper
from builder.paper.page import Page
from builder.paper.spread import FOOT_MM, MARGIN_MM, Spread
from builder.sheets.answers import add_answers
from builder.sheets.columns import in_columns, pages_of
from builder.sheets.furniture import TEXT_PT, foot, number_pages
from builder.sheets.leaf import add_leaf
from builder.sheets.plates import printed_plate
from builder.sheets.task_text import Block, set_blocks
from builder.sheets.view_sheet import ViewSheet
from builder.table.sheet import add_card
from builder.words.words import Words

HEADING_PT = 14.0
ROW_MM, WEEK_MM = 6.4, 9.0
BASE_MM, NUMBER_MM = 4.4, 8.0
"""Where the letters of a row stand, and its view's number ends."""
GAP_MM = 12.0
TOP_MM = MARGIN_MM + 16.0


@dataclass(frozen=True, slots=True)
class Cover:
    """What the first page says besides the title."""

    title: str
    about: str
    credit: str
    counts: str
    number: int
    """Of the view that is shown."""


def workbook(
    cover: Cover,
    sheets: Sequence[ViewSheet],
    paper: Paper,
    lay: Spread,
    words: Words,
) -> Document:
    """The whole workbook: behind each view's own pages the card for the student's table."""
    document = Document(words("sheets.workbook_title", study=cover.title), words.language)
    _add_cover(document, cover, sheets, paper, lay, words)
    rows = _rows(sheets)
    room = (lay.width_mm - 2 * MARGIN_MM - GAP_MM) / 2
    lefts = (MARGIN_MM, MARGIN_MM + room + GAP_MM) if lay.width_mm > lay.height_mm else (MARGIN_MM,)
    wide = room if len(lefts) == 2 else lay.width_mm - 2 * MARGIN_MM
    placed = in_columns(rows, lefts, TOP_MM, lay.height_mm - MARGIN_MM - 20.0)
    contents = pages_of(placed, lambda: document.page(lay.width_mm, lay.height_mm))
    document.bookmark(words("sheets.contents"), "contents", contents[0])
    _fill_leaf(document, lay, words)
    firsts: dict[int, Page] = {}
    for sheet in sheets:
        firsts[sheet.number] = add_leaf(document, sheet, lay, words)
        add_card(document, paper, sheet.table, words)
        _fill_leaf(document, lay, words)
    answers = add_answers(document, sheets, lay, words)
    numbers = {number: _number(document, page) for number, page in firsts.items()}
    for page in contents:
        page.text(MARGIN_MM, MARGIN_MM + 7.0, words("sheets.contents"), HEADING_PT, bold=True, tag="H1")
    for (number, heads), run in itertools.groupby(placed, lambda each: (each.page, isinstance(each.row, int))):
        page = contents[number]
        with contextlib.nullcontext() if heads else page.group("TOC"):
            for each in run:
                if each.row is None:
                    assert answers is not None, "a row stands for what is there"
                    base = each.y + BASE_MM + WEEK_MM - ROW_MM
                    _line(page, "", words("sheets.answers"), "answers", each.x, base, wide, _number(document, answers))
                elif isinstance(each.row, int):
                    page.text(each.x, each.y + 6.4, words("sheets.week", n=each.row), TEXT_PT, bold=True, tag="H2")
                else:
                    _entry(page, each.row, each.x, each.y, wide, numbers[each.row.number])
    for page in contents:
        foot(page, words)
    number_pages(document, words, cover.title)
    return document


def _rows(sheets: Sequence[ViewSheet]) -> list[tuple[ViewSheet | int | None, float, bool]]:
    """The views, with a heading for each week, its number; ``None`` for the checks at the end."""
    rows: list[tuple[ViewSheet | int | None, float, bool]] = []
    week = 0
    for sheet in sheets:
        if sheet.week != week:
            week = sheet.week
            rows.append((week, WEEK_MM, True))
        rows.append((sheet, ROW_MM, False))
    if any(sheet.task and sheet.task.self_check for sheet in sheets):
        rows.append((None, WEEK_MM, False))
    return rows


def _entry(page: Page, sheet: ViewSheet, x: float, y: float, wide: float, number: int) -> None:
    text = f"{sheet.title or sheet.where}, {sheet.lighting}"
    _line(page, str(sheet.number), text, f"view-{sheet.number}", x, y + BASE_MM, wide, number)


def _line(page: Page, mark: str, text: str, target: str, x: float, base: float, wide: float, number: int) -> None:
    """A line of the contents that leads to its page: ``mark``, ``text``, and dots to the page's number."""
    left, right = x, x + wide
    if mark:
        x, wide = x + NUMBER_MM + 3.0, wide - NUMBER_MM - 3.0
    while width_mm(text, TEXT_PT) > wide - 14.0:
        text = f"{text[:-2].rstrip()}…"
    size = TEXT_PT * MM_PER_POINT
    row = (left, base - size, right - left, 1.3 * size)
    with page.group("TOCI"), page.whole("Reference", link=target, box=row):
        if mark:
            gap = width_mm(" ", TEXT_PT, "bold")
            page.text(left + NUMBER_MM + gap, base, f"{mark} ", TEXT_PT, bold=True, anchor="end")
        page.text(x, base, f"{text} ", TEXT_PT)
        page.text(x + wide, base, str(number), TEXT_PT, anchor="end")
    with page.artifact():
        page.line([(x + width_mm(text, TEXT_PT) + 2.0, base), (x + wide - 9.0, base)], 0.25, 0.5, dash=(0.3, 1.5))


def _fill_leaf(document: Document, lay: Spread, words: Words) -> None:
    """End on the back of a leaf, so that each view begins on the front of one."""
    if len(document.pages) % 2:
        page = document.page(lay.width_mm, lay.height_mm)
        page.text(MARGIN_MM, MARGIN_MM + 7.0, words("sheets.notes"), TEXT_PT, grey=0.35)


def _add_cover(
    document: Document, cover: Cover, sheets: Sequence[ViewSheet], paper: Paper, lay: Spread, words: Words
) -> None:
    """Title, picture and how to print; on a further page what long texts still have to say."""
    page = document.page(lay.width_mm, lay.height_mm)
    document.bookmark(cover.title, "cover")
    shown = next(sheet for sheet in sheets if sheet.number == cover.number)
    left, top = MARGIN_MM, MARGIN_MM + 2.0
    wide, high = lay.width_mm - 2 * MARGIN_MM, lay.height_mm - 2 * MARGIN_MM - FOOT_MM - 2.0
    if lay.width_mm > lay.height_mm:
        width = min(high * shown.ratio, 0.5 * wide)
        picture = (left + wide - width, top, width, width / shown.ratio)
        text = (left, top, wide - width - GAP_MM, high)
    else:
        height = min(0.45 * high, wide / shown.ratio)
        picture = (left + (wide - height * shown.ratio) / 2, top + high - height, height * shown.ratio, height)
        text = (left, top, wide, high - height - GAP_MM / 2)
    page.picture(printed_plate(shown.picture.file, picture[2]), *picture, shown.picture.alt)
    rest = set_blocks(page, tuple(_cover_blocks(cover, paper, lay, words)), (text,))
    foot(page, words)
    while rest:
        page = document.page(lay.width_mm, lay.height_mm)
        left_over = set_blocks(page, rest, ((left, top, wide, high),))
        assert len(left_over) < len(rest), "no paragraph is longer than a page"
        rest = left_over
        foot(page, words)


def _cover_blocks(cover: Cover, paper: Paper, lay: Spread, words: Words) -> Iterator[Block]:
    yield Block(cover.title, "H1", size=2.8)
    yield from (Block(line, "P", size=1.1, before=0.8) for line in cover.about.splitlines() if line.strip())
    yield Block(cover.counts, "aim", before=0.9)
    yield Block(words("sheets.about_heading"), "H2", size=1.5, before=1.2)
    turn = words("sheets.about_lying" if lay.width_mm > lay.height_mm else "sheets.about_upright")
    sides = words("sheets.about_sides" if lay.pages == 1 else "sheets.about_facing")
    size = words("sheets.about_size", paper=paper.title)
    rest = (words(f"sheets.about_{part}") for part in ("paper", "overlay", "order"))
    yield from (Block(text, "P", before=0.5) for text in (size, f"{sides} {turn}", *rest))
    yield Block(words("sheets.cautions"), "caution", before=0.9)
    yield from (Block(line, "P", size=0.9, before=0.9) for line in cover.credit.splitlines() if line.strip())


def _number(document: Document, page: Page) -> int:
    return 1 + next(number for number, one in enumerate(document.pages) if one is page)
