"""A document of pages, written as a PDF: the same pages give the same bytes.

Tagged in reading order, with its title and language; fonts embedded; marked to be printed without scaling. There is no
date in it, and its identity is made from what is on its pages.
"""

from __future__ import annotations

from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFDocument, PDFInfo, PDFString, ViewerPreferencesPDFDictionary

from builder.paper.fonts import write_fonts
from builder.paper.metadata import CREATOR, PRODUCER, metadata_stream
from builder.paper.outline import Bookmark, write_outline
from builder.paper.page import Page
from builder.paper.writer import Writer

VERSION = 1, 7


class _Info(PDFInfo):  # type: ignore[misc]
    """What the document says of itself, without a date."""

    def format(self, document: PDFDocument) -> bytes:
        words = {"Title": PDFString(self.title), "Creator": PDFString(CREATOR), "Producer": PDFString(PRODUCER)}
        if self.author:
            words["Author"] = PDFString(self.author)
        return bytes(PDFDictionary(words).format(document))


class Document:
    """Pages to be printed."""

    def __init__(self, title: str, language: str, author: str = "") -> None:
        """``language`` is a tag like ``en`` (BCP 47); a name of the author may be left out."""
        self.title = title
        self.language = language
        self.author = author
        self.pages: list[Page] = []
        self.bookmarks: list[Bookmark] = []

    def page(self, width_mm: float, height_mm: float) -> Page:
        """A new last page. What was drawn on earlier pages may still be added to."""
        page = Page(width_mm, height_mm)
        self.pages.append(page)
        return page

    def bookmark(self, title: str, name: str, page: Page | None = None, level: int = 0) -> None:
        """Name a page (the last, if none is given) for links, and list it beside the pages in a viewer.

        ``level`` 0 stands outermost; a deeper one stands under the last one before it that is less deep. An empty
        ``title`` names the page without listing it.
        """
        number = next(n for n, one in enumerate(self.pages) if one is (page or self.pages[-1]))
        assert name not in {mark.name for mark in self.bookmarks}, f"{name} is a bookmark already"
        self.bookmarks.append(Bookmark(title, name, number, level))

    def bytes(self) -> bytes:
        """The document as a PDF file."""
        assert self.pages, "a document has a page"
        pdf = PDFDocument(dummyoutline=1, compression=1, invariant=1, pdfVersion=VERSION, lang=self.language)
        pdf.info = _Info()
        pdf.setTitle(self.title)
        pdf.setAuthor(self.author)
        writer = Writer(pdf, {mark.name: mark for mark in self.bookmarks}, len(self.pages))
        for page in self.pages:
            writer.add(page)
        writer.tags.write(pdf)
        pdf.Catalog.Outlines = None
        write_outline(pdf, [mark for mark in self.bookmarks if mark.title])
        preferences = ViewerPreferencesPDFDictionary()
        preferences["PrintScaling"] = "None"
        preferences["DisplayDocTitle"] = "true"
        pdf.Catalog.ViewerPreferences = preferences
        pdf.Catalog.Metadata = metadata_stream(self.title, self.language, self.author)
        write_fonts(pdf)
        identity = writer.digest.hexdigest()[:32].encode()
        pdf._ID = b"[<%b> <%b>]" % (identity, identity)
        return bytes(pdf.format())
