"""What every page of a view has: its number and title at the head, the check bar and the running foot."""

from __future__ import annotations

import contextlib

from builder.paper.document import Document
from builder.paper.fonts import width_mm, wrapped
from builder.paper.page import Page
from builder.paper.spread import FOOT_MM, MARGIN_MM
from builder.sheets.view_sheet import ViewSheet
from builder.words.words import Words

TITLES_PT = (13.0, 11.5, 10.0)
"""The largest in which a title fits its line."""
TEXT_PT, SMALL_PT = 8.5, 7.5
NUMBER_PT = 26.0
BAR_ROOM_MM = 106.0
"""What the check bar takes, with the space beside it."""
FOOT_LINES = 2
LINES_MM = 46.0
"""Length of the lines for name and date."""


def head(page: Page, sheet: ViewSheet, words: Words, more: str, signed: bool = True, again: bool = False) -> None:
    """Number, title and lighting, with ``more`` of what the page is; lines for name and date where it is ``signed``.

    Where the view has been named on the page before, ``again``, a reader is told only ``more``.
    """
    left, right = MARGIN_MM, page.width_mm - MARGIN_MM
    after = left + width_mm(str(sheet.number), NUMBER_PT, "bold") + 4.0
    room = right - after - (LINES_MM + 14.0 if signed else 0.0)
    title = sheet.title or sheet.study
    size = next((size for size in TITLES_PT if width_mm(title, size, "bold") <= room), TITLES_PT[-1])
    below = f"{sheet.study} · {sheet.lighting}" if sheet.title else sheet.lighting
    with page.artifact() if again else contextlib.nullcontext():
        with page.whole("H1"):
            page.text(left, MARGIN_MM + 8.5, f"{sheet.number} ", NUMBER_PT, bold=True)
            page.text(after, MARGIN_MM + 4.2, _cut(title, size, room), size, bold=True)
        page.text(after, MARGIN_MM + 8.4, _cut(below, TEXT_PT, room), TEXT_PT)
    page.text(after, MARGIN_MM + 12.2, _cut(more, TEXT_PT, room), TEXT_PT)
    with page.artifact():
        for row, word in enumerate((words("sheet.name"), words("sheet.date")) if signed else ()):
            y = MARGIN_MM + 3.0 + 6.0 * row
            page.text(right - LINES_MM - 2.0, y, word, SMALL_PT, anchor="end")
            page.line([(right - LINES_MM, y + 0.4), (right, y + 0.4)], 0.2, 0.35)


def foot(page: Page, words: Words, beside: str = "") -> None:
    """The check bar, with ``beside`` it a line or two in small letters (:func:`fits_foot`)."""
    page.bar(MARGIN_MM, page.height_mm - MARGIN_MM - 4.5, words("sheets.bar"))
    if beside:
        top = page.height_mm - MARGIN_MM - FOOT_MM + 6.0
        page.paragraph(MARGIN_MM + BAR_ROOM_MM, top, _beside_bar(page.width_mm), beside, SMALL_PT)


def fits_foot(text: str, page_width_mm: float) -> bool:
    """Whether ``text`` has room beside the check bar, over the number of the page."""
    return len(wrapped(text, SMALL_PT, _beside_bar(page_width_mm))) <= FOOT_LINES


def _beside_bar(page_width_mm: float) -> float:
    return page_width_mm - 2 * MARGIN_MM - BAR_ROOM_MM


def number_pages(document: Document, words: Words, running: str) -> None:
    """Write on every page which one it is, and of how many, once all stand."""
    for number, page in enumerate(document.pages, 1):
        with page.artifact():
            text = f"{running} · {words('sheets.page', n=number, of=len(document.pages))}"
            page.text(page.width_mm - MARGIN_MM, page.height_mm - MARGIN_MM, text, SMALL_PT, anchor="end", grey=0.35)


def _cut(text: str, size_pt: float, room_mm: float) -> str:
    """The text, its end left out where there is no room for it."""
    if width_mm(text, size_pt, "bold") <= room_mm:
        return text
    fits = next(
        n for n in range(len(text) - 1, 0, -1) if width_mm(f"{text[:n]}…", size_pt, "bold") <= room_mm or n == 1
    )
    return f"{text[:fits].rstrip()}…"
