"""What a student checks after drawing, view by view: the last pages of a workbook."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from builder.paper.document import Document
from builder.paper.page import Page
from builder.paper.spread import MARGIN_MM, Spread
from builder.sheets.columns import in_columns, pages_of
from builder.sheets.furniture import TEXT_PT, foot
from builder.sheets.task_text import Block, block_height_mm, set_placed
from builder.sheets.view_sheet import ViewSheet
from builder.words.words import Words

HEADING_PT = 14.0
GAP_MM = 9.0
TOP_MM = MARGIN_MM + 16.0
BETWEEN_MM, HEADING_OVER_MM = 0.8, 2.0


def add_answers(document: Document, sheets: Sequence[ViewSheet], lay: Spread, words: Words) -> Page | None:
    """The pages of checks, in columns; returns the first, or ``None`` where no view has any."""
    blocks = list(_blocks(sheets))
    if not blocks:
        return None
    count = 3 if lay.width_mm > lay.height_mm else 2
    wide = (lay.width_mm - 2 * MARGIN_MM - (count - 1) * GAP_MM) / count
    lefts = [MARGIN_MM + column * (wide + GAP_MM) for column in range(count)]
    rows = [
        (
            block,
            block_height_mm(block, wide, TEXT_PT) + BETWEEN_MM + _over_mm(block),
            block.kind == "H2",
        )
        for block in blocks
    ]
    placed = in_columns(rows, lefts, TOP_MM, lay.height_mm - MARGIN_MM - 12.0)
    pages = pages_of(placed, lambda: document.page(lay.width_mm, lay.height_mm))
    document.bookmark(words("sheets.answers"), "answers", pages[0])
    for page in pages:
        page.text(MARGIN_MM, MARGIN_MM + 7.0, words("sheets.answers"), HEADING_PT, bold=True, tag="H1")
        page.text(MARGIN_MM, MARGIN_MM + 11.5, words("sheets.answers_about"), TEXT_PT)
    for number, page in enumerate(pages):
        here = [each for each in placed if each.page == number]
        set_placed(page, [(each.row, each.x, each.y + _over_mm(each.row), wide) for each in here], TEXT_PT)
        foot(page, words)
    return pages[0]


def _over_mm(block: Block) -> float:
    """Space over a block beside what all have."""
    return HEADING_OVER_MM if block.kind == "H2" else 0.0


def _blocks(sheets: Sequence[ViewSheet]) -> Iterator[Block]:
    for sheet in sheets:
        if sheet.task and sheet.task.self_check:
            yield Block(f"{sheet.number}  {sheet.task.title}", "H2")
            for item in sheet.task.self_check:
                yield Block(item, "LI", "•")
