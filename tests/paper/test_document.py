from __future__ import annotations

import hashlib
import io
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pypdf
import pytest
from PIL import Image

from builder.paper.document import Document
from builder.paper.formats import FORMATS
from builder.paper.page import Page
from tests.paper.rasters import longest_run_mm, raster, said

RAMP = np.tile(np.arange(256, dtype=np.uint8), (64, 1))


def file_of(pixels: np.ndarray, kind: str = "PNG", **how: object) -> bytes:
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, kind, **how)
    return out.getvalue()


def drawn() -> Document:
    """A document with one of everything."""
    document = Document("Probe – Größe", "de", "A. Tutor")
    page = document.page(210, 297)
    page.text(20, 20, "Mask, view 45", 16, bold=True, tag="H1")
    page.picture(file_of(RAMP), 20, 40, 100, 40, "a ramp of greys")
    page.paragraph(20, 90, 60, "Squint until two shapes are left, and draw these before anything else.", 9)
    with page.artifact():
        page.text(105, 290, "running foot", 8, anchor="middle")
    page.bar(20, 150)
    with page.group("TOC"), page.group("TOCI"):
        page.text(20, 200, "The second page", link="second")
    document.bookmark("First", "first")
    page = document.page(297, 420)
    page.picture(file_of(RAMP), 20, 40, 100, 40, "the ramp again")
    page.text(20, 100, "The end", oblique=True)
    document.bookmark("Second", "second", level=1)
    return document


def read(document: Document) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(document.bytes()))


def test_same_pages_give_the_same_bytes() -> None:
    """Written twice, and in processes with other hash seeds and another time zone, the file is the same."""
    here = hashlib.sha256(drawn().bytes()).hexdigest()
    assert hashlib.sha256(drawn().bytes()).hexdigest() == here
    code = "import hashlib, tests.paper.test_document as t; print(hashlib.sha256(t.drawn().bytes()).hexdigest())"
    for seed, zone in (("1", "Asia/Tokyo"), ("2", "America/Lima")):
        done = subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "PYTHONPATH": str(Path(__file__).parents[2])},
            check=True,
            capture_output=True,
            text=True,
        )
        assert done.stdout.strip() == here


def test_other_pages_have_another_identity() -> None:
    """The identity follows what is on the pages, and no date is written (ISO 32000-1, 14.3.3 and 14.4)."""
    one, two = read(drawn()), drawn()
    two.pages[0].text(20, 250, "more")
    assert one.trailer["/ID"] != read(two).trailer["/ID"]
    assert set(one.metadata or {}) == {"/Title", "/Author", "/Creator", "/Producer"}


def test_says_how_it_wants_to_be_printed_and_read() -> None:
    """PrintScaling none (CHECKS.md section 6), title shown, language, marks: in the catalogue."""
    root = read(drawn()).trailer["/Root"]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"].value is True
    assert root["/Lang"] == "de"
    assert bool(root["/MarkInfo"]["/Marked"])
    assert read(drawn()).metadata.title == "Probe – Größe"  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("name", "width", "height"), [("a4", 595.276, 841.890), ("a3", 841.890, 1190.551), ("letter", 612.0, 792.0)]
)
def test_pages_are_as_large_as_the_paper(name: str, width: float, height: float) -> None:
    """Points of CHECKS.md section 6 (ISO 216; 25.4 / 72 mm a point); Letter is 8.5 x 11 in."""
    paper = FORMATS[name]
    document = Document("Probe", "en")
    document.page(paper.width_mm, paper.height_mm).text(10, 10, "x")
    box = read(document).pages[0].mediabox
    assert float(box.width) == pytest.approx(width, abs=0.01)
    assert float(box.height) == pytest.approx(height, abs=0.01)


def test_bar_is_100_mm(tmp_path: Path) -> None:
    """Measured in the raster at 600 dpi (CHECKS.md section 6: 100 mm within 0.1 mm in the file)."""
    document = Document("Probe", "en")
    document.page(210, 297).bar(33.3, 77.7)
    pixels = raster(document.bytes(), tmp_path, 600)
    assert longest_run_mm(pixels, 600) == pytest.approx(100, abs=0.1)
    left = np.flatnonzero((pixels < 128).any(0))[0] / 600 * 25.4
    assert left == pytest.approx(33.3, abs=0.1)


def test_fonts_are_embedded(tmp_path: Path) -> None:
    """poppler finds only embedded subsets, each with its way back to letters."""
    rows = said(drawn().bytes(), tmp_path, "pdffonts").splitlines()[2:]
    assert len(rows) == 3
    assert all(row.split()[-5:-2] == ["yes", "yes", "yes"] for row in rows)
    assert all("BitstreamVeraSans" in row for row in rows)


def test_reads_in_the_order_in_which_it_was_drawn(tmp_path: Path) -> None:
    """poppler's walk through the structure tree meets heading, figure, text and link in order, and no running foot."""
    words = [
        line.strip().strip('"') for line in said(drawn().bytes(), tmp_path, "pdfinfo", "-struct-text").splitlines()
    ]
    told = "Squint until two shapes are left, and draw these before anything else."
    order = [words.index(part) for part in ("Mask, view 45", told, "100 mm", "The second page", "The end")]
    assert order == sorted(order)
    tags = [word.split(" ")[0].rstrip(":") for word in words]
    told_of = [tag for tag in tags if tag in ("Document", "H1", "Figure", "P", "TOC", "TOCI", "Link")]
    assert told_of == ["Document", "H1", "Figure", "P", "Figure", "TOC", "TOCI", "P", "Link", "Figure", "P"]
    assert "running foot" not in words
    assert "running foot" in read(drawn()).pages[0].extract_text()


def test_text_can_be_copied() -> None:
    """pypdf reads the letters, those beyond ASCII too."""
    document = Document("Probe", "en")
    document.page(210, 297).text(20, 20, "Größe 45° × 12 – “so”")
    assert read(document).pages[0].extract_text().strip() == "Größe 45° × 12 – “so”"


def test_every_piece_has_its_parent() -> None:
    """Each numbered piece on a page leads through the tree of parents to an element that holds it, and back."""
    reader = read(drawn())
    numbers = reader.trailer["/Root"]["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    parents = {int(numbers[at]): numbers[at + 1].get_object() for at in range(0, len(numbers), 2)}
    for page in reader.pages:
        code = page.get_contents().get_data().decode()  # type: ignore[union-attr]
        pieces = [int(part.split(">>")[0]) for part in code.split("/MCID ")[1:]]
        held = parents[int(page["/StructParents"])]
        assert pieces == list(range(len(held)))
        for piece in pieces:
            kids = [kid.get_object() for kid in held[piece].get_object()["/K"]]
            assert any(kid.get("/MCID") == piece and kid["/Pg"].get_object() == page for kid in kids)
        for note in page.get("/Annots", []):
            element = parents[int(note.get_object()["/StructParent"])]
            assert element["/S"] == "/Link"
            assert any(kid.get("/Obj") and kid["/Obj"].get_object() == note.get_object() for kid in element["/K"])


def test_figures_have_words() -> None:
    """Every figure of the tree carries its words."""
    reader = read(drawn())
    found = []

    def walk(node: pypdf.generic.DictionaryObject) -> None:
        if node.get("/S") == "/Figure":
            found.append(node["/Alt"])
        for kid in node.get("/K", []):
            if "/S" in kid.get_object():
                walk(kid.get_object())

    walk(reader.trailer["/Root"]["/StructTreeRoot"]["/K"][0].get_object())
    assert found == ["a ramp of greys", "100 mm", "the ramp again"]


def test_a_picture_is_kept_once_and_as_it_is() -> None:
    """Two pages share one image; its greys are the file's, one channel, in the file's own compressed bytes."""
    reader = read(drawn())
    shared = {
        page["/Resources"]["/XObject"].raw_get(name).idnum
        for page in reader.pages
        for name in page["/Resources"]["/XObject"]
    }
    assert len(shared) == 1
    image = reader.pages[0].images[0].image
    assert image is not None and image.mode == "L"
    assert np.array_equal(np.asarray(image), RAMP)


def test_a_jpeg_goes_in_untouched() -> None:
    """The stream of the image is the file, byte for byte, so that nothing is lost twice."""
    jpeg = file_of(RAMP, "JPEG", quality=85)
    document = Document("Probe", "en")
    document.page(210, 297).picture(jpeg, 20, 20, 50, 50, "ramp")
    objects = read(document).pages[0]["/Resources"]["/XObject"]
    stream = objects[next(iter(objects))].get_object()
    assert stream["/ColorSpace"] == "/DeviceGray"
    assert bytes(stream._data) == jpeg


def test_other_pictures_are_laid_on_white() -> None:
    """Half clear black gives middle grey; a WebP keeps its greys."""
    clear = np.zeros((4, 4, 4), np.uint8)
    clear[..., 3] = 128
    document = Document("Probe", "en")
    page = document.page(210, 297)
    page.picture(file_of(clear), 20, 20, 50, 50, "")
    page.picture(file_of(RAMP, "WEBP", lossless=True), 20, 90, 50, 50, "")
    first, second = (np.asarray(one.image) for one in read(document).pages[0].images)
    assert np.abs(first.astype(int) - 127).max() <= 1
    assert np.array_equal(second if second.ndim == 2 else second[..., 0], RAMP)


def test_shapes_fill_by_even_odd_and_clips_cut(tmp_path: Path) -> None:
    """A ring in a ring is a hole; grey 0.5 is code 128; beyond a clip nothing is drawn."""
    document = Document("Probe", "en")
    page = document.page(50, 50)
    outer, inner = [(5, 5), (25, 5), (25, 25), (5, 25)], [(10, 10), (20, 10), (20, 20), (10, 20)]
    page.paths([outer, inner], 0.0, fill=0.5)
    with page.clip(30, 30, 5, 5):
        page.rectangle(25, 25, 20, 20, 0.0, fill=0.0)
    pixels = raster(document.bytes(), tmp_path, 254)
    assert abs(int(pixels[75, 75]) - 128) <= 1
    assert pixels[150, 150] == 255
    assert pixels[325, 325] == 0
    assert pixels[420, 420] == pixels[280, 280] == 255


@pytest.mark.parametrize(("anchor", "place"), [("start", 0.0), ("middle", 0.5), ("end", 1.0)])
def test_anchors(anchor: str, place: float, tmp_path: Path) -> None:
    """The named end of the letters stands at x."""
    document = Document("Probe", "en")
    document.page(200, 50).text(100, 25, "IIIIIIII", 12, anchor=anchor)  # type: ignore[arg-type]
    columns = np.flatnonzero((raster(document.bytes(), tmp_path, 254) < 128).any(0)) / 10
    assert columns[0] + place * (columns[-1] - columns[0]) == pytest.approx(100, abs=0.6)


def test_dashes_and_widths(tmp_path: Path) -> None:
    """A line 2 mm wide is 2 mm wide; dashes of 3 and 2 mm come every 5 mm."""
    document = Document("Probe", "en")
    page = document.page(100, 30)
    page.line([(10, 10), (90, 10)], 2.0)
    page.line([(10, 20), (90, 20)], 1.0, dash=(3, 2))
    pixels = raster(document.bytes(), tmp_path, 254) < 128
    assert pixels[:150, 500].sum() == pytest.approx(20, abs=1)
    starts = np.flatnonzero(np.diff(pixels[200].astype(int)) == 1)
    assert np.allclose(np.diff(starts), 50, atol=1)


def test_links_and_bookmarks_lead_to_their_pages() -> None:
    """The link of page 1 opens page 2; the second bookmark lies under the first."""
    reader = read(drawn())
    link = reader.pages[0]["/Annots"][0].get_object()
    assert link["/Dest"][0].get_object() == reader.pages[1]
    first, under = reader.outline
    assert (first.title, reader.get_destination_page_number(first)) == ("First", 0)
    assert [(one.title, reader.get_destination_page_number(one)) for one in under] == [("Second", 1)]


def test_turned_text_runs_upwards(tmp_path: Path) -> None:
    """At 90 degrees the letters stand in a narrow column that ends above where it began."""
    document = Document("Probe", "en")
    document.page(100, 100).text(50, 80, "upwards and on", 12, rotated_deg=90)
    rows, columns = np.nonzero(raster(document.bytes(), tmp_path, 254) < 128)
    assert rows.max() <= 800 and rows.min() < 600
    assert columns.max() - columns.min() < 60 and columns.max() <= 520


def test_a_page_takes_what_is_drawn_late() -> None:
    """Contents can be written when the page numbers are known."""
    document = Document("Probe", "en")
    first: Page = document.page(210, 297)
    document.page(210, 297)
    first.text(20, 20, f"{len(document.pages)} pages")
    assert "2 pages" in read(document).pages[0].extract_text()
