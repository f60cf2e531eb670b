"""The overlay: the line drawing at the student's size, to be printed on clear film and laid over the drawing."""

from __future__ import annotations

from builder.paper.document import Document
from builder.paper.spread import Spread
from builder.sheets.frames import EDGE_MM, corner_marks
from builder.sheets.front import BESIDE_MARK_MM, size_words
from builder.sheets.furniture import SMALL_PT, foot, head
from builder.sheets.vectors import draw, read_drawing
from builder.sheets.view_sheet import ViewSheet
from builder.words.words import Words


def overlay_document(sheet: ViewSheet, lay: Spread, words: Words) -> Document:
    """One page whose frame lies exactly where the empty place of the sheet does."""
    document = Document(words("sheets.overlay_title", study=sheet.study, number=sheet.number), words.language)
    page = document.page(lay.width_mm, lay.height_mm)
    head(page, sheet, words, words("sheets.overlay_use"), signed=False)
    box = (*lay.empty, lay.frame_width_mm, lay.frame_height_mm)
    with page.figure(sheet.lines.alt):
        draw(page, read_drawing(sheet.lines.file), *lay.empty, lay.frame_width_mm)
    said = f"{words('sheets.overlay_how')} {size_words(sheet, lay, words)}"
    below = lay.empty[1] + lay.frame_height_mm + 0.8
    page.paragraph(lay.empty[0] + BESIDE_MARK_MM, below, box[2] - 2 * BESIDE_MARK_MM, said, SMALL_PT, "Caption")
    with page.artifact():
        page.rectangle(*box, EDGE_MM, 0.5)
        corner_marks(page, box)
    foot(page, words)
    return document
