"""Whether a reader who does not see the pages is told all that is on them: PDF/UA-1 (ISO 14289-1:2014) on one of each.

The conditions are those that a program can check; each names its clause of ISO 14289-1 and its failure condition in the
Matterhorn Protocol 1.1, both from memory. Read with pypdf, which is not ours.
"""

from __future__ import annotations

import io
import itertools
import re
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

import pypdf
import pytest
from pypdf.generic import ContentStream, DictionaryObject

from builder.cards.sheets import card_sheets
from builder.paper.formats import FORMATS
from builder.paper.spread import spread
from builder.sheets.leaf import sheet_document
from builder.sheets.overlay import overlay_document
from builder.sheets.workbook import Cover, workbook
from builder.table.sheet import card_document
from builder.words.words import load_words
from tests.cards.bodies import cards_of, mushroom
from tests.sheets.conftest import view_sheet

WORDS = load_words("en")
KINDS = ("sheet", "facing", "overlay", "workbook", "table", "cards")
STANDARD = """
Document Part Art Sect Div BlockQuote Caption TOC TOCI Index NonStruct Private P H H1 H2 H3 H4 H5 H6 L LI Lbl LBody
Table TR TH TD THead TBody TFoot Span Quote Note Reference BibEntry Code Link Annot Ruby Warichu Figure Formula Form
"""
"""ISO 32000-1, 14.8.4."""
PAINTS = {b"S", b"s", b"f", b"F", b"f*", b"B", b"B*", b"b", b"b*", b"Do", b"Tj", b"TJ", b"'", b'"', b"sh"}
"""ISO 32000-1, annex A: what puts marks on a page."""
NAMES = {
    "dc": "http://purl.org/dc/elements/1.1/",
    "ua": "http://www.aiim.org/pdfua/ns/id/",
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
}


@pytest.fixture(scope="module")
def printed(folder: Path) -> dict[str, bytes]:
    """One of each kind of file."""
    sheet = view_sheet(folder, 45, 1)
    paper = FORMATS["a4"]
    beside, facing = spread(paper, 0.8), spread(paper, 0.8, 200.0)
    assert beside is not None and facing is not None
    cover = Cover("Mask", "A mask for the tests.", "Made for the tests.", "3 views", 47)
    views = [view_sheet(folder, number, 1 + place // 2) for place, number in enumerate((53, 47, 41))]
    return {
        "sheet": sheet_document(sheet, beside, WORDS).bytes(),
        "facing": sheet_document(sheet, facing, WORDS).bytes(),
        "overlay": overlay_document(sheet, beside, WORDS).bytes(),
        "workbook": workbook(cover, views, paper, beside, WORDS).bytes(),
        "table": card_document([sheet.table, sheet.table], paper, WORDS).bytes(),
        "cards": card_sheets(cards_of(mushroom), "Mushroom", WORDS).pdf,
    }


@pytest.fixture(params=KINDS)
def kind(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def reader(kind: str, printed: dict[str, bytes]) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(printed[kind]))


def root(reader: pypdf.PdfReader) -> DictionaryObject:
    return reader.trailer["/Root"].get_object()


def kids(node: DictionaryObject) -> list[DictionaryObject]:
    """The structure elements in an element."""
    return [kid.get_object() for kid in node.get("/K", []) if "/S" in kid.get_object()]


def elements(reader: pypdf.PdfReader) -> Iterator[tuple[DictionaryObject, DictionaryObject | None]]:
    """Every element with its parent, in reading order."""

    def walk(node: DictionaryObject, over: DictionaryObject | None) -> Iterator:
        yield node, over
        for kid in kids(node):
            yield from walk(kid, node)

    for top in kids(root(reader)["/StructTreeRoot"]):
        yield from walk(top, None)


def tag(node: DictionaryObject | None) -> str:
    return "" if node is None else node["/S"].removeprefix("/")


def told(reader: pypdf.PdfReader, name: str) -> list[DictionaryObject]:
    return [node for node, _ in elements(reader) if tag(node) == name]


def test_has_a_title_that_viewers_show(reader: pypdf.PdfReader) -> None:
    """7.1: dc:title in XMP, equal to that of the file, and DisplayDocTitle (06-003, 07-001, 07-002)."""
    packet = ElementTree.fromstring(root(reader)["/Metadata"].get_data().decode())
    title = packet.find(".//dc:title/rdf:Alt/rdf:li", NAMES)
    assert title is not None and title.text and title.text == reader.metadata.title  # type: ignore[union-attr]
    assert root(reader)["/ViewerPreferences"]["/DisplayDocTitle"].value is True


def test_says_what_it_claims(reader: pypdf.PdfReader) -> None:
    """Clause 5: pdfuaid:part is 1 (06-002); XMP is a stream of its own type, not packed (ISO 32000-1, 14.3.2)."""
    stream = root(reader)["/Metadata"]
    assert (stream["/Type"], stream["/Subtype"]) == ("/Metadata", "/XML") and "/Filter" not in stream
    part = ElementTree.fromstring(stream.get_data().decode()).find(".//ua:part", NAMES)
    assert part is not None and part.text == "1"


def test_has_a_language_and_is_marked(reader: pypdf.PdfReader) -> None:
    """7.2: Lang (11-006); 7.1 and 6.2: Marked true, Suspects not (01-007)."""
    assert root(reader)["/Lang"] == "en"
    assert bool(root(reader)["/MarkInfo"]["/Marked"]) and not root(reader)["/MarkInfo"].get("/Suspects")


def test_everything_drawn_is_read_or_an_artifact(reader: pypdf.PdfReader) -> None:
    """7.1: no mark outside both, none inside both (01-003, 01-004, 01-005), each piece once and in order."""
    for page in reader.pages:
        open_now: list[str] = []
        pieces = []
        for operands, operator in ContentStream(page.get_contents(), reader).operations:
            if operator in (b"BDC", b"BMC"):
                assert not open_now, "one in another"
                open_now.append(operands[0])
                if operator == b"BDC":
                    pieces.append(int(operands[1]["/MCID"]))
                else:
                    assert operands[0] == "/Artifact"
            elif operator == b"EMC":
                open_now.pop()
            elif operator in PAINTS:
                assert open_now, f"{operator!r} outside"
        assert pieces == list(range(len(pieces))) and not open_now


def test_pieces_and_elements_lead_to_each_other(reader: pypdf.PdfReader) -> None:
    """ISO 32000-1, 14.7.4.4: by the tree of parents from page and piece to the element that holds it, all pieces so."""
    numbers = root(reader)["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    parents = {int(numbers[at]): numbers[at + 1].get_object() for at in range(0, len(numbers), 2)}
    held = {}
    for node, _ in elements(reader):
        for kid in map(pypdf.generic.PdfObject.get_object, node["/K"]):
            if "/MCID" in kid:
                held[kid["/Pg"].indirect_reference.idnum, int(kid["/MCID"])] = node
    count = 0
    for page in reader.pages:
        for piece, node in enumerate(parents[int(page["/StructParents"])]):
            assert held[page.indirect_reference.idnum, piece] == node.get_object()  # type: ignore[union-attr]
            count += 1
    assert count == len(held)


def test_types_are_the_standards(reader: pypdf.PdfReader) -> None:
    """7.1: standard structure types only, so no map of roles is needed (02-001)."""
    assert {tag(node) for node, _ in elements(reader)} <= set(STANDARD.split())


def test_figures_have_words_and_a_place(reader: pypdf.PdfReader) -> None:
    """7.3: Alt, not empty (13-004); BBox on its page (ISO 32000-1, 14.8.5.4.3)."""
    figures = told(reader, "Figure")
    assert figures
    width, height = (max(float(getattr(page.mediabox, side)) for page in reader.pages) for side in ("width", "height"))
    for figure in figures:
        assert str(figure["/Alt"]).strip()
        left, bottom, right, top = map(float, figure["/A"]["/BBox"])
        assert 0 <= left < right <= width and 0 <= bottom < top <= height


def test_headings_descend_step_by_step(reader: pypdf.PdfReader) -> None:
    """7.4.2: the first is H1, and none skips a level (14-002, 14-003); each says something."""
    levels = [int(tag(node)[1]) for node, _ in elements(reader) if re.fullmatch("H[1-6]", tag(node))]
    assert levels and levels[0] == 1
    assert all(after <= before + 1 for before, after in itertools.pairwise(levels))


def test_tables_have_heads_and_full_rows(reader: pypdf.PdfReader, kind: str) -> None:
    """7.5 and 7.2: TR in Table, cells in TR, rows of one width, TH with its Scope (15-003, 09-004)."""
    tables = told(reader, "Table")
    assert bool(tables) == (kind in ("workbook", "table", "cards"))
    for node, over in elements(reader):
        if tag(node) in ("TR", "TH", "TD"):
            assert tag(over) == ("Table" if tag(node) == "TR" else "TR")
    for table in tables:
        rows = [kids(row) for row in kids(table)]
        assert len({sum(int(cell.get("/A", {}).get("/ColSpan", 1)) for cell in row) for row in rows}) == 1
        assert all(tag(cell) == "TH" for cell in rows[0])
        for cell in (cell for row in rows for cell in row):
            assert tag(cell) in ("TH", "TD")
            assert tag(cell) == "TD" or cell["/A"]["/Scope"] in ("/Row", "/Column")


def test_lists_are_whole(reader: pypdf.PdfReader) -> None:
    """7.2 and 7.6: L holds LI, LI holds Lbl and LBody, TOC holds TOCI (09-005 to 09-008); no list is parted."""
    inside = {"L": {"LI"}, "LI": {"Lbl", "LBody"}, "TOC": {"TOCI"}}
    before = ""
    for node, over in elements(reader):
        if tag(node) in inside:
            assert {tag(kid) for kid in kids(node)} == inside[tag(node)]
        if tag(node) in ("LI", "TOCI", "Lbl", "LBody"):
            assert tag(node) in inside[tag(over)]
    for node, _ in elements(reader):
        for one in kids(node):
            assert not (tag(one) == before == "L" and len(kids(one)) == 1)
            before = tag(one)


def test_links_say_where_they_lead(reader: pypdf.PdfReader) -> None:
    """7.18.5: in a Link element, with words in Contents (28-011, 28-012); 7.18.3: tabs by structure (28-008)."""
    linked = {
        kid["/Obj"].get_object()["/StructParent"]
        for node in told(reader, "Link")
        for kid in map(pypdf.generic.PdfObject.get_object, node["/K"])
        if "/Obj" in kid
    }
    notes = [note.get_object() for page in reader.pages for note in page.get("/Annots", [])]
    assert {note["/StructParent"] for note in notes} == linked
    assert all(str(note["/Contents"]).strip() for note in notes)
    assert all(page["/Tabs"] == "/S" for page in reader.pages)


def test_fonts_are_embedded_and_lead_back_to_letters(reader: pypdf.PdfReader) -> None:
    """7.21.4: embedded (31-009); 7.21.7: ToUnicode, never to U+0000, U+FEFF or U+FFFE (31-028 to 31-030)."""
    fonts = {
        font.indirect_reference.idnum: font.get_object()
        for page in reader.pages
        for font in map(pypdf.generic.PdfObject.get_object, page["/Resources"]["/Font"].values())
    }
    assert fonts
    for font in fonts.values():
        assert font["/FontDescriptor"]["/FontFile2"].get_data()
        pairs = re.findall(r"^<(..)> <(....)>$", font["/ToUnicode"].get_data().decode(), re.MULTILINE)
        assert pairs and not {code for _, code in pairs} & {"0000", "FEFF", "FFFE"}
