"""Pages put into a PDF, with their pictures, links and tags."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping

from reportlab.pdfbase.pdfdoc import (
    PDFArray,
    PDFDictionary,
    PDFDocument,
    PDFName,
    PDFObjectReference,
    PDFPage,
    PDFStream,
    PDFString,
    PDFZCompress,
)

from builder.paper.bounds import bounds_mm
from builder.paper.operators import POINTS_PER_MM, drawn
from builder.paper.outline import Bookmark, whole_page
from builder.paper.page import Box, Clip, Element, Line, Page, Picture
from builder.paper.pictures import image_stream
from builder.paper.tags import Attributes, Tags, cell_attributes, figure_attributes


class _Page(PDFPage):  # type: ignore[misc]
    """A page with its place in the tree of tags."""

    __NoDefault__ = (*PDFPage.__NoDefault__, "StructParents", "Tabs")
    ExtGState = None
    _shadingUsed: Mapping[str, object] = {}


class Writer:
    """Writes page after page into ``pdf``; ``named`` gives what links lead to, ``count`` is how many pages come."""

    def __init__(self, pdf: PDFDocument, named: Mapping[str, Bookmark], count: int) -> None:
        self.pdf = pdf
        self.named = named
        self.tags = Tags(count)
        self.pictures: dict[bytes, str] = {}
        self.digest = hashlib.sha256()

    def add(self, page: Page) -> None:
        """Write the next page."""
        self.tags.open_page()
        links: list[PDFObjectReference] = []
        code = "\n".join(self._element(element, page, links) for element in page.elements)
        names = sorted({self._picture(thing.file) for thing in _pictures(page)})
        sheet = _Page()
        sheet.pagewidth = page.width_mm * POINTS_PER_MM
        sheet.pageheight = page.height_mm * POINTS_PER_MM
        sheet.Contents = PDFStream(content=code.encode("ascii"), filters=[PDFZCompress])
        sheet.XObjects = PDFDictionary({name: PDFObjectReference(name) for name in names})
        sheet.hasImages = bool(names)
        sheet.Annots = PDFArray(links) if links else None
        sheet.StructParents = self.tags.page
        sheet.Tabs = PDFName("S")
        self.pdf.addPage(sheet)
        self.digest.update(f"{sheet.pagewidth} {sheet.pageheight} {code}".encode())

    def _element(self, element: Element, page: Page, links: list[PDFObjectReference]) -> str:
        code = "\n".join(
            drawn(thing, page.height_mm, self.pdf, self._picture(thing.file) if isinstance(thing, Picture) else "")
            for thing in element.things
        )
        if all(isinstance(thing, Clip) for thing in element.things):
            return code
        if element.tag is None:
            return f"/Artifact BMC\n{code}\nEMC"
        if not element.link:
            piece = self.tags.add(element.tag, element.path, element.alt, _about(element, page))
            return f"/{element.tag} <</MCID {piece}>> BDC\n{code}\nEMC"
        name = f"Link{len(self.tags.links)}"
        piece, order = self.tags.add_link(element.tag, element.path, name)
        self.pdf.Reference(self._link(element, page, order), name)
        links.append(PDFObjectReference(name))
        return f"/Link <</MCID {piece}>> BDC\n{code}\nEMC"

    def _link(self, element: Element, page: Page, order: int) -> PDFDictionary:
        assert element.box is not None and element.link in self.named, f"no bookmark is called {element.link}"
        mark = self.named[element.link]
        said = "".join(thing.text for thing in element.things if isinstance(thing, Line))
        return PDFDictionary(
            {
                "Type": PDFName("Annot"),
                "Subtype": PDFName("Link"),
                "Rect": PDFArray(list(_edges(element.box, page))),
                "Contents": PDFString(mark.title or said),
                "Border": PDFArray([0, 0, 0]),
                "F": 4,
                "Dest": whole_page(mark.page),
                "StructParent": order,
            }
        )

    def _picture(self, file: bytes) -> str:
        """The name of a picture's image, which is put into the document at its first use."""
        if file not in self.pictures:
            self.pictures[file] = f"Picture{len(self.pictures)}"
            self.pdf.Reference(image_stream(file), self.pictures[file])
            self.digest.update(file)
        return self.pictures[file]


def _about(element: Element, page: Page) -> Attributes:
    if element.cell:
        return cell_attributes(element.cell.heads, element.cell.columns)
    box = bounds_mm(element.things) if element.tag == "Figure" else None
    return figure_attributes(*_edges(box, page)) if box else ()


def _edges(box: Box, page: Page) -> tuple[float, float, float, float]:
    """Left, bottom, right and top of a box, points from the page's lower left corner, to a thousandth."""
    left, top, wide, tall = box
    bottom = page.height_mm - top - tall
    edges = (round(edge * POINTS_PER_MM, 3) for edge in (left, bottom, left + wide, bottom + tall))
    a, b, c, d = edges
    return a, b, c, d


def _pictures(page: Page) -> list[Picture]:
    return [thing for element in page.elements for thing in element.things if isinstance(thing, Picture)]
