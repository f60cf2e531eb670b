"""What is drawn on a page, as the operators of a PDF content stream (ISO 32000-1, annex A)."""

from __future__ import annotations

import numpy as np
from reportlab.pdfbase.pdfdoc import PDFDocument

from builder.arrays import Floats
from builder.paper.fonts import MM_PER_POINT, font, printable
from builder.paper.page import Clip, Line, Paths, Picture

POINTS_PER_MM = 1 / MM_PER_POINT


def drawn(thing: Paths | Line | Picture | Clip, height_mm: float, pdf: PDFDocument, image: str) -> str:
    """The operators that draw ``thing`` on a page ``height_mm`` high; ``image`` is the name of a picture's image."""
    match thing:
        case Paths():
            return _paths(thing, height_mm)
        case Line():
            return _line(thing, height_mm, pdf)
        case Picture():
            size = _numbers(thing.width_mm * POINTS_PER_MM, 0, 0, thing.height_mm * POINTS_PER_MM)
            x, y = thing.x * POINTS_PER_MM, (height_mm - thing.y - thing.height_mm) * POINTS_PER_MM
            return f"q {size} {_numbers(x, y)} cm /{image} Do Q"
        case Clip(None):
            return "Q"
        case Clip((x, y, wide, tall)):
            return f"q {_box(x, y, wide, tall, height_mm)} re W n"
    raise AssertionError(thing)


def _paths(shape: Paths, height_mm: float) -> str:
    parts = ["q"]
    if shape.fill is not None:
        parts.append(f"{_number(shape.fill)} g")
    if shape.width_mm:
        parts.append(f"{_number(shape.grey)} G {_number(shape.width_mm * POINTS_PER_MM)} w 1 J 1 j")
        if shape.dash:
            parts.append(f"[{_numbers(*(length * POINTS_PER_MM for length in shape.dash))}] 0 d 0 J")
    for ring in shape.rings:
        points = _points(ring, height_mm)
        parts.append(
            f"{points[0]} m " + " ".join(f"{point} l" for point in points[1:]) + (" h" if shape.closed else "")
        )
    parts.append(
        {(True, True): "B*", (True, False): "f*", (False, True): "S"}.get(
            (shape.fill is not None, bool(shape.width_mm)), "n"
        )
    )
    return " ".join([*parts, "Q"])


def _line(line: Line, height_mm: float, pdf: PDFDocument) -> str:
    face = font(line.style)
    angle = np.deg2rad(line.rotated_deg)
    cos, sin = float(np.cos(angle)), float(np.sin(angle))
    at = _numbers(cos, sin, -sin, cos, line.x * POINTS_PER_MM, (height_mm - line.y) * POINTS_PER_MM)
    shown = " ".join(
        f"{face.getSubsetInternalName(subset, pdf)} {_number(line.size_pt)} Tf <{codes.hex()}> Tj"
        for subset, codes in face.splitString(printable(line.text, line.style), pdf)
    )
    return f"{_number(line.grey)} g BT {at} Tm {shown} ET"


def _points(ring: Floats, height_mm: float) -> list[str]:
    placed = np.column_stack([ring[:, 0], height_mm - ring[:, 1]]) * POINTS_PER_MM
    return [f"{_number(x)} {_number(y)}" for x, y in placed.tolist()]


def _box(x: float, y: float, wide: float, tall: float, height_mm: float) -> str:
    return _numbers(*(v * POINTS_PER_MM for v in (x, height_mm - y - tall, wide, tall)))


def _numbers(*values: float) -> str:
    return " ".join(_number(value) for value in values)


def _number(value: float) -> str:
    """Three places: a third of a thousandth of a millimetre."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
