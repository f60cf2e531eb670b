"""The tree that tells a reader what is on the pages and in which order (ISO 32000-1, 14.7 and 14.8)."""

from __future__ import annotations

from dataclasses import dataclass, field

from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFDocument, PDFName, PDFObjectReference, PDFString

ROOT, TREE = "StructRoot", "StructDocument"
Attributes = tuple[tuple[str, object], ...]
"""What else is told of an element, by name, beginning with ``O``: who owns the names (ISO 32000-1, 14.8.5)."""


def cell_attributes(heads: str, columns: int) -> Attributes:
    """Of a table's cell: what it heads and over how many columns it reaches (ISO 32000-1, table 349)."""
    scope = (("Scope", PDFName(heads)),) if heads else ()
    span = (("ColSpan", columns),) if columns > 1 else ()
    return (("O", PDFName("Table")), *scope, *span) if scope or span else ()


def figure_attributes(left: float, bottom: float, right: float, top: float) -> Attributes:
    """Of a figure: where it stands, points from the page's lower left corner (ISO 32000-1, table 344)."""
    box = PDFArray([left, bottom, right, top])
    return ("O", PDFName("Layout")), ("Placement", PDFName("Block")), ("BBox", box)


@dataclass(slots=True)
class Node:
    """One element of the tree and what it holds in reading order: nodes, numbered pieces of a page, links."""

    name: str
    tag: str
    parent: str
    alt: str = ""
    about: Attributes = ()
    held: list[str | tuple[int, int] | tuple[int, int, str]] = field(default_factory=list)


class Tags:
    """The tree as it grows, page by page."""

    def __init__(self, pages: int) -> None:
        """``pages`` is how many pages will come: links are numbered after them."""
        self.count = pages
        self.nodes = {TREE: Node(TREE, "Document", ROOT)}
        self.pieces: list[list[str]] = []
        self.links: list[str] = []
        self._groups: dict[tuple[int, int], str] = {}

    def open_page(self) -> None:
        """Begin the next page."""
        self.pieces.append([])

    @property
    def page(self) -> int:
        """The number of the page just begun, from 0: its key in the tree of parents."""
        return len(self.pieces) - 1

    def add(self, tag: str, path: tuple[tuple[int, str], ...], alt: str = "", about: Attributes = ()) -> int:
        """A new element on the page just begun, within the groups of ``path``; returns its piece's number there."""
        return self._piece(self._node(tag, self._group(path), alt, about))

    def add_link(self, tag: str, path: tuple[tuple[int, str], ...], annotation: str) -> tuple[int, int]:
        """The same for text that leads elsewhere; the second number is its annotation's key in the tree of parents."""
        name = self._node("Link", self._node(tag, self._group(path)))
        piece = self._piece(name)
        self.nodes[name].held.append((self.page, piece, annotation))
        self.links.append(name)
        return piece, self.count + len(self.links) - 1

    def _group(self, path: tuple[tuple[int, str], ...]) -> str:
        parent = TREE
        for number, tag in path:
            if (self.page, number) not in self._groups:
                self._groups[self.page, number] = self._node(tag, parent)
            parent = self._groups[self.page, number]
        return parent

    def _node(self, tag: str, parent: str, alt: str = "", about: Attributes = ()) -> str:
        name = f"Struct{len(self.nodes)}"
        self.nodes[name] = Node(name, tag, parent, alt, about)
        self.nodes[parent].held.append(name)
        return name

    def _piece(self, name: str) -> int:
        self.pieces[-1].append(name)
        number = len(self.pieces[-1]) - 1
        self.nodes[name].held.append((self.page, number))
        return number

    def write(self, pdf: PDFDocument) -> None:
        """Put the tree into the document, once all pages stand; page n is the object ``Page<n + 1>``."""
        for node in self.nodes.values():
            words: dict[str, object] = {
                "Type": PDFName("StructElem"),
                "S": PDFName(node.tag),
                "P": PDFObjectReference(node.parent),
                "K": PDFArray([_held(one) for one in node.held]),
            }
            if node.alt:
                words["Alt"] = PDFString(node.alt)
            if node.about:
                words["A"] = PDFDictionary(dict(node.about))
            pdf.Reference(PDFDictionary(words), node.name)
        numbers: list[object] = []
        for page, names in enumerate(self.pieces):
            numbers += [page, PDFArray([PDFObjectReference(name) for name in names])]
        for link, name in enumerate(self.links):
            numbers += [self.count + link, PDFObjectReference(name)]
        root = {
            "Type": PDFName("StructTreeRoot"),
            "K": PDFArray([PDFObjectReference(TREE)]),
            "ParentTree": PDFDictionary({"Nums": PDFArray(numbers)}),
            "ParentTreeNextKey": self.count + len(self.links),
        }
        pdf.Catalog.StructTreeRoot = pdf.Reference(PDFDictionary(root), ROOT)
        pdf.Catalog.MarkInfo = PDFDictionary({"Marked": "true"})


def _held(one: str | tuple[int, int] | tuple[int, int, str]) -> object:
    if isinstance(one, str):
        return PDFObjectReference(one)
    page = PDFObjectReference(f"Page{one[0] + 1}")
    if len(one) == 3:
        return PDFDictionary({"Type": PDFName("OBJR"), "Pg": page, "Obj": PDFObjectReference(one[2])})
    return PDFDictionary({"Type": PDFName("MCR"), "Pg": page, "MCID": one[1]})
