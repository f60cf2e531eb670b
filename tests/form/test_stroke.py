"""Strokes on paper and as SVG."""

from __future__ import annotations

from xml.etree import ElementTree

import numpy as np

from builder.form.stroke import Drawing, Mark, Stroke
from builder.form.stroke_picture import INK, PAPER, drawing_grey
from builder.form.stroke_svg import drawing_svg, plain_width_px

SVG = "{http://www.w3.org/2000/svg}"


def drawing() -> Drawing:
    level = Stroke(np.array([(100.0, 250.0), (400.0, 250.0)]), "level", 2.0)
    square = Stroke(np.array([(50.0, 50.0), (90.0, 50.0), (90.0, 90.0)]), "square", closed=True)
    axis = Stroke(np.array([(450.5, 20.0), (450.5, 480.0)]), "axis", dashed=True)
    return Drawing("A & B", 500, 500, (level, square, axis), (Mark(250.0, 240.0, "1/2", "half"),))


def test_picture_has_lines_where_they_are_drawn() -> None:
    """A level line 2 px wide on the border of two rows darkens both alike, and nothing beside it."""
    grey = drawing_grey(drawing())
    assert grey.shape == (500, 500)
    assert (grey[249, 110:390] < INK + 12).all() and (grey[250, 110:390] < INK + 12).all()
    assert (grey[255:480, 110:390] == PAPER).all()
    assert grey[50, 70] < PAPER and grey[70, 90] < PAPER and grey[70, 70] < PAPER  # closed by its third side
    cover = (PAPER - grey[20:460, 450].astype(float)) / (PAPER - INK)
    assert abs(cover.mean() - 7 / 11) < 0.05  # a dash is 6 wide and rounded by half a width at both ends, of 11


def test_svg_names_every_line_and_escapes_its_title() -> None:
    """The file is well formed; paths have their kind as class and the plain width times their weight."""
    made = drawing()
    root = ElementTree.fromstring(drawing_svg(made))
    assert root.find("{*}title").text == "A & B"  # type: ignore[union-attr]
    paths = {path.get("class"): path for path in root.iter(f"{SVG}path")}
    assert set(paths) == {"level", "square", "axis"}
    assert float(paths["level"].get("stroke-width") or 0) == 2 * plain_width_px(made)
    assert (paths["square"].get("d") or "").endswith("z") and paths["axis"].get("stroke-dasharray")
    assert [text.text for text in root.iter(f"{SVG}text")] == ["1/2"]
