"""The first page of a view: the picture, and beside it an empty place of the same size with the same squares."""

from __future__ import annotations

from builder.paper.document import Document
from builder.paper.page import Page
from builder.paper.spread import Spread
from builder.sheets.frames import Box, corner_marks, frame, square_mm
from builder.sheets.furniture import SMALL_PT, foot, head
from builder.sheets.plates import printed_plate
from builder.sheets.view_sheet import ViewSheet
from builder.words.words import Words, number

BESIDE_MARK_MM = 2.0
"""A caption stands this far beside a corner mark."""


def add_front(document: Document, sheet: ViewSheet, lay: Spread, words: Words) -> Page:
    """The picture and the place to draw, on one page or on two that face each other; returns the first."""
    first = document.page(lay.width_mm, lay.height_mm)
    head(first, sheet, words, sheet.where)
    wide, high = lay.frame_width_mm, lay.frame_height_mm
    full: Box = (*lay.full, wide, high)
    empty: Box = (*lay.empty, wide, high)
    first.picture(printed_plate(sheet.picture.file, wide), *full, sheet.picture.alt)
    frame(first, full, sheet, over_picture=True)
    first.text(full[0], full[1] + high + 3.6, f"{sheet.picture.title}, {sheet.lighting}", SMALL_PT, tag="Caption")
    last = first
    if lay.pages == 2:
        foot(first, words)
        last = document.page(lay.width_mm, lay.height_mm)
        head(last, sheet, words, words("sheets.space"), again=True)
    frame(last, empty, sheet, over_picture=False)
    with last.artifact():
        corner_marks(last, empty)
    said = f"{words('sheets.space')}. {size_words(sheet, lay, words)} {_marks_words(sheet, lay, words)}".rstrip()
    last.paragraph(
        empty[0] + BESIDE_MARK_MM, empty[1] + high + 0.8, wide - 2 * BESIDE_MARK_MM, said, SMALL_PT, "Caption"
    )
    foot(last, words)
    return first


def size_words(sheet: ViewSheet, lay: Spread, words: Words) -> str:
    """How large the drawing is, and the form in it."""
    scale = lay.frame_width_mm / sheet.size_px[0]
    left, top, right, bottom = sheet.box_px
    sizes = {
        "width": number(lay.frame_width_mm),
        "height": number(lay.frame_height_mm),
        "form_width": number((right - left) * scale, 0),
        "form_height": number((bottom - top) * scale, 0),
    }
    return words("sheets.size", **sizes)


def _marks_words(sheet: ViewSheet, lay: Spread, words: Words) -> str:
    """What both frames share."""
    if sheet.marks == "grid":
        return words("sheets.squares", side=number(square_mm(sheet, lay.frame_width_mm)))
    return words("sheets.levels") if sheet.marks == "sight-size" else ""
