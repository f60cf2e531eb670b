"""The second page of a view: small studies to copy, each with an empty frame of its size, and the prompt."""

from __future__ import annotations

from collections.abc import Sequence

from builder.paper.document import Document
from builder.paper.page import Page
from builder.paper.spread import FOOT_MM, HEAD_MM, MARGIN_MM, Spread
from builder.sheets.frames import EDGE_MM
from builder.sheets.furniture import SMALL_PT, fits_foot, foot, head
from builder.sheets.plates import printed_plate
from builder.sheets.task_text import Block, Column, blocks_fit, set_blocks, task_blocks
from builder.sheets.vectors import draw, read_drawing
from builder.sheets.view_sheet import Study, Swatch, ViewSheet
from builder.words.words import Words

GAP_MM, BETWEEN_MM, CAPTION_MM = 6.0, 3.0, 4.5
TEXTS_MM = (82.0, 94.0, 106.0, 118.0)
"""Width of the prompt beside the studies on a page that lies: the least that has room for all of it."""
SCALE_MM = 27.0
"""Height of the scale of greys with the one to be hatched under it."""
SMALL_LINE_MM = 0.18
"""Least width of a line in a small study."""


def add_back(document: Document, sheet: ViewSheet, lay: Spread, words: Words) -> None:
    """The page of studies, and another for what a long prompt still has to say."""
    page = document.page(lay.width_mm, lay.height_mm)
    head(page, sheet, words, words("sheets.studies"), again=True)
    top, left = MARGIN_MM + HEAD_MM, MARGIN_MM
    wide, high = lay.width_mm - 2 * MARGIN_MM, lay.height_mm - 2 * MARGIN_MM - HEAD_MM - FOOT_MM
    short_credit = fits_foot(sheet.credit, lay.width_mm)
    blocks = (
        *(task_blocks(sheet.task, words) if sheet.task else ()),
        *(() if short_credit else (Block(sheet.credit, "P", before=1.0),)),
    )
    lying = lay.width_mm > lay.height_mm
    if lying:
        tall = high - SCALE_MM - GAP_MM
        text = next((text for text in TEXTS_MM if blocks_fit(blocks, ((left, top, text, tall),))), TEXTS_MM[-1])
        studies: Column = (left + text + GAP_MM + 2.0, top, wide - text - GAP_MM - 2.0, high)
        columns: tuple[Column, ...] = ((left, top, text, tall),)
        scale: Column = (left, top + high - SCALE_MM, text, SCALE_MM)
        free = high - CAPTION_MM - BETWEEN_MM - 2 * _frame_size(sheet, studies[2], high)[1]
        if free >= SCALE_MM and not blocks_fit(blocks, columns):
            columns = ((left, top, text, high),)
            scale = (studies[0], top + high - SCALE_MM, studies[2], SCALE_MM)
    else:
        size = _frame_size(sheet, wide, high)
        taken = 2 * size[1] + BETWEEN_MM + CAPTION_MM
        studies = (left, top + high - taken, wide, taken)
        half = (wide - GAP_MM) / 2
        room = high - taken - GAP_MM
        columns = ((left, top, half, room), (left + half + GAP_MM, top, half, room - SCALE_MM - 3.0))
        scale = (left + half + GAP_MM, top + room - SCALE_MM, half, SCALE_MM)
    rest = set_blocks(page, blocks, columns) if blocks else ()
    _scale(page, sheet.swatches, scale, words)
    _studies(page, sheet, studies)
    foot(page, words, sheet.credit if short_credit else "")
    while rest:
        page = document.page(lay.width_mm, lay.height_mm)
        head(page, sheet, words, words("sheets.studies"), again=True)
        half = (wide - GAP_MM) / 2
        left_over = set_blocks(page, rest, ((left, top, half, high), (left + half + GAP_MM, top, half, high)))
        assert len(left_over) < len(rest), "no sentence of a prompt is longer than a page"
        rest = left_over
        foot(page, words)


def _frame_size(sheet: ViewSheet, wide: float, high: float) -> tuple[float, float]:
    """Width and height of a small study: all in a row, and the row twice, one over the other."""
    count = len(sheet.studies)
    width = min((wide - GAP_MM * (count - 1)) / count, (high - BETWEEN_MM - CAPTION_MM) / 2 * sheet.ratio)
    return width, width / sheet.ratio


def _studies(page: Page, sheet: ViewSheet, room: Column) -> None:
    x, y, wide, high = room
    width, height = _frame_size(sheet, wide, high)
    step = (wide - width) / max(len(sheet.studies) - 1, 1)
    for number, study in enumerate(sheet.studies):
        at = x + number * step
        page.text(at, y + 3.0, study.title, SMALL_PT + 0.5, bold=True, tag="H2")
        _study(page, study, at, y + CAPTION_MM, width, height)
        with page.artifact():
            for row in (0, 1):
                page.rectangle(at, y + CAPTION_MM + row * (height + BETWEEN_MM), width, height, EDGE_MM)


def _study(page: Page, study: Study, x: float, y: float, wide: float, high: float) -> None:
    if study.file.suffix == ".svg":
        with page.figure(study.alt):
            draw(page, read_drawing(study.file), x, y, wide, SMALL_LINE_MM)
    else:
        page.picture(printed_plate(study.file, wide), x, y, wide, high, study.alt)


def _scale(page: Page, swatches: Sequence[Swatch], room: Column, words: Words) -> None:
    """Greys with their Munsell values, and as many empty ones to be matched with the pencil."""
    x, y, wide, _ = room
    if not swatches:
        return
    page.text(x, y + 3.0, words("sheets.scale"), SMALL_PT + 0.5, bold=True, tag="H2")
    side, high = wide / len(swatches), 8.0
    with page.figure(words("sheets.scale_alt", values=", ".join(each.value for each in swatches))):
        for number, each in enumerate(swatches):
            page.rectangle(x + number * side, y + 4.5, side, high, 0.0, fill=each.code / 255)
            page.rectangle(x + number * side, y + 4.5, side, high, EDGE_MM, 0.35)
            page.rectangle(x + number * side, y + 4.5 + high, side, high, EDGE_MM, 0.35)
            page.text(x + (number + 0.5) * side, y + 4.5 + 2 * high + 3.4, each.value, SMALL_PT, anchor="middle")
