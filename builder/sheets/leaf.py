"""The sheet of one view: its pages, by themselves or in a workbook."""

from __future__ import annotations

from builder.paper.document import Document
from builder.paper.page import Page
from builder.paper.spread import Spread
from builder.sheets.back import add_back
from builder.sheets.front import add_front
from builder.sheets.furniture import number_pages
from builder.sheets.view_sheet import ViewSheet
from builder.words.words import Words


def add_leaf(document: Document, sheet: ViewSheet, lay: Spread, words: Words) -> Page:
    """All pages of a view, with its bookmark; returns the first."""
    first = add_front(document, sheet, lay, words)
    document.bookmark(
        words("sheets.view", number=sheet.number, title=sheet.title).strip(" :"), f"view-{sheet.number}", first
    )
    add_back(document, sheet, lay, words)
    return first


def sheet_document(sheet: ViewSheet, lay: Spread, words: Words) -> Document:
    """The pages of a view as a document of its own."""
    document = Document(words("sheets.sheet_title", study=sheet.study, number=sheet.number), words.language)
    add_leaf(document, sheet, lay, words)
    number_pages(document, words, f"{sheet.study} {sheet.number}")
    return document
