from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.errors import StoreError
from builder.form.stroke import Drawing, Mark, Stroke
from builder.form.stroke_svg import drawing_svg
from builder.paper.document import Document
from builder.sheets.vectors import draw, read_drawing
from tests.paper.rasters import raster

PLACES = st.lists(st.tuples(st.floats(0, 800), st.floats(0, 1000)), min_size=2, max_size=9)


@given(st.lists(st.tuples(PLACES, st.booleans(), st.booleans(), st.floats(0.3, 3)), min_size=1, max_size=4))
def test_what_was_written_is_read(tmp_path_factory: pytest.TempPathFactory, lines: list) -> None:
    """A drawing comes back from its file within a tenth of a pixel, and its weights within what is written of them."""
    strokes = tuple(
        Stroke(np.array(points), "edge", weight, closed, dashed) for points, closed, dashed, weight in lines
    )
    drawing = Drawing("A & B", 800, 1000, strokes, (Mark(10.0, 20.0, "<K>", "name", "end"),))
    file = tmp_path_factory.mktemp("svg") / "drawing.svg"
    file.write_bytes(drawing_svg(drawing))
    again = read_drawing(file)
    assert (again.title, again.width_px, again.height_px, again.marks) == ("A & B", 800, 1000, drawing.marks)
    for one, two in zip(again.strokes, strokes, strict=True):
        assert (one.kind, one.closed, one.dashed) == (two.kind, two.closed, two.dashed)
        assert np.abs(one.points - two.points).max() <= 0.05 + 1e-9
        assert one.weight == pytest.approx(two.weight, abs=0.005)


def test_lines_come_out_where_and_as_thick_as_they_are(tmp_path: Path) -> None:
    """Drawn half a millimetre a pixel: a line at px 100 of weight 2 (1/250 of 800 px) stands at 50 mm, 1.6 mm wide."""
    drawing = Drawing("Line", 800, 1000, (Stroke(np.array([(100.0, 0.0), (100.0, 1000.0)]), "edge", 2.0),))
    document = Document("Probe", "en")
    draw(document.page(420, 520), drawing, 10.0, 10.0, 400.0)
    dark = np.flatnonzero(raster(document.bytes(), tmp_path, 254)[2600] < 128) / 10
    assert (dark[0] + dark[-1]) / 2 == pytest.approx(60.0, abs=0.1)
    assert dark[-1] - dark[0] == pytest.approx(1.6, abs=0.15)


def test_letters_too_small_to_read_are_left_out() -> None:
    """At a tenth of a millimetre a pixel marks are 1.6 mm high (4.5 pt) and not written; at half they are."""
    drawing = Drawing(
        "Marks", 800, 1000, (Stroke(np.array([(0.0, 0.0), (9.0, 9.0)]), "e"),), (Mark(400.0, 500.0, "K", "name"),)
    )
    for width, written in ((80.0, False), (400.0, True)):
        page = Document("Probe", "en").page(420, 520)
        draw(page, drawing, 0.0, 0.0, width)
        assert any(getattr(thing, "text", "") == "K" for each in page.elements for thing in each.things) is written


@pytest.mark.parametrize("text", ["", "<svg/>", '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 a b"/>'])
def test_a_damaged_file_is_said_to_be_one(tmp_path: Path, text: str) -> None:
    """No traceback: one sentence."""
    file = tmp_path / "drawing.svg"
    file.write_text(text)
    with pytest.raises(StoreError, match="is not a drawing"):
        read_drawing(file)
