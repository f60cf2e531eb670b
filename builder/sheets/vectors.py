"""A drawing of strokes from its file to the page: lines stay lines."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Literal, cast
from xml.etree import ElementTree

import numpy as np

from builder.errors import Problem, StoreError
from builder.form.stroke import Drawing, Mark, Stroke
from builder.form.stroke_svg import DASH, STROKE_SHARE, mark_size_px, plain_width_px
from builder.paper.fonts import MM_PER_POINT
from builder.paper.page import Page

_SVG = "{http://www.w3.org/2000/svg}"
LEAST_LINE_MM = 0.1
"""Thinner lines break up in a laser printer (from memory)."""
LEAST_MARK_PT = 5.5
"""Smaller letters cannot be read at arm's length (from memory)."""


def read_drawing(file: Path) -> Drawing:
    """The drawing that :func:`builder.form.stroke_svg.drawing_svg` wrote, within a tenth of a pixel.

    Raises:
        StoreError: where the file is no such drawing.

    """
    try:
        root = ElementTree.parse(file).getroot()
        _, _, width, height = (int(part) for part in root.get("viewBox", "").split())
        plain = min(width, height) * STROKE_SHARE
        strokes = tuple(_stroke(path, plain) for path in root.iter(f"{_SVG}path"))
        return Drawing(root.findtext(f"{_SVG}title") or "", width, height, strokes, tuple(_marks(root)))
    except (ElementTree.ParseError, ValueError, AssertionError) as error:
        raise StoreError(Problem(str(file), "is not a drawing", do="remove the store and build again")) from error


def draw(page: Page, drawing: Drawing, x: float, y: float, width_mm: float, least_mm: float = LEAST_LINE_MM) -> None:
    """The drawing with its top left corner at (x, y), ``width_mm`` wide; cut off at its edges.

    Marks that would be smaller than :data:`LEAST_MARK_PT` are left out.
    """
    scale = width_mm / drawing.width_px
    height_mm = drawing.height_px * scale
    plain = plain_width_px(drawing) * scale
    with page.clip(x, y, width_mm, height_mm):
        for stroke in drawing.strokes:
            dash = [length * max(plain, least_mm) for length in DASH] if stroke.dashed else []
            points = stroke.points * scale + (x, y)
            page.line(points, max(stroke.weight * plain, least_mm), dash=dash, closed=stroke.closed)
        size_pt = mark_size_px(drawing) * scale / MM_PER_POINT
        for mark in drawing.marks if size_pt >= LEAST_MARK_PT else ():
            page.text(x + mark.x * scale, y + mark.y * scale, mark.text, size_pt, anchor=mark.anchor)


def _stroke(path: ElementTree.Element, plain: float) -> Stroke:
    text = path.get("d", "")
    closed = text.endswith("z")
    places = text.removeprefix("M").removesuffix("z").split("L")
    points = np.array([[float(part) for part in place.split()] for place in places])
    weight = float(path.get("stroke-width", "0")) / plain
    return Stroke(points, path.get("class", ""), weight, closed, path.get("stroke-dasharray") is not None)


def _marks(root: ElementTree.Element) -> Iterator[Mark]:
    for text in root.iter(f"{_SVG}text"):
        anchor = text.get("text-anchor", "start")
        yield Mark(
            float(text.get("x", "0")),
            float(text.get("y", "0")),
            text.text or "",
            text.get("class", ""),
            cast(Literal["start", "middle", "end"], anchor),
        )
