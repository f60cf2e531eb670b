"""Bookmarks: names of pages, for links and for the list beside the pages in a viewer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFDocument, PDFName, PDFObjectReference, PDFString


@dataclass(frozen=True, slots=True)
class Bookmark:
    """A page by name. ``page`` counts from 0; ``level`` 0 is outermost; without a ``title`` it is not listed."""

    title: str
    name: str
    page: int
    level: int


def whole_page(page: int) -> PDFArray:
    """Where a link to page ``page``, counted from 0, leads: all of it fits the window."""
    return PDFArray([PDFObjectReference(f"Page{page + 1}"), PDFName("Fit")])


def write_outline(pdf: PDFDocument, marks: Sequence[Bookmark]) -> None:
    """List ``marks`` in the document (ISO 32000-1, 12.3.3), each under the last one before it of a lower level."""
    if not marks:
        return
    above = [_above(marks, row) for row in range(len(marks))]
    rows: dict[int | None, list[int]] = {}
    for row, over in enumerate(above):
        rows.setdefault(over, []).append(row)
    for row, mark in enumerate(marks):
        beside = rows[above[row]]
        place = beside.index(row)
        words: dict[str, object] = {
            "Title": PDFString(mark.title),
            "Parent": _entry(above[row]),
            "Dest": whole_page(mark.page),
        }
        if place:
            words["Prev"] = _entry(beside[place - 1])
        if place + 1 < len(beside):
            words["Next"] = _entry(beside[place + 1])
        if row in rows:
            words |= {"First": _entry(rows[row][0]), "Last": _entry(rows[row][-1]), "Count": -len(rows[row])}
        pdf.Reference(PDFDictionary(words), f"Outline{row}")
    top = rows[None]
    words = {"Type": PDFName("Outlines"), "First": _entry(top[0]), "Last": _entry(top[-1]), "Count": len(top)}
    pdf.Catalog.Outlines = pdf.Reference(PDFDictionary(words), "Outline")
    pdf.Catalog.PageMode = PDFName("UseOutlines")


def _above(marks: Sequence[Bookmark], row: int) -> int | None:
    if marks[row].level == 0:
        return None
    over = next((back for back in range(row - 1, -1, -1) if marks[back].level < marks[row].level), None)
    assert over is not None, "a bookmark below the outermost level stands under another"
    return over


def _entry(row: int | None) -> PDFObjectReference:
    return PDFObjectReference("Outline" if row is None else f"Outline{row}")
