"""A drawing of strokes as a file of its own: SVG, one unit a pixel."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from builder.form.stroke import Drawing, Mark, Stroke

SHEET_WIDTH_MM = 124.0
"""Width of a plate on the printed sheet, which a file printed by itself has too."""
STROKE_SHARE = 1 / 500
"""Width of a plain line against the picture's shorter side: 0.25 mm on the sheet."""
MARK_SHARE = 0.02
"""Size of letters against the picture's shorter side: 2.5 mm on the sheet, from memory the least that reads easily."""
DASH = (6.0, 5.0)
"""Length of dash and gap in widths of a plain line."""


def drawing_svg(drawing: Drawing) -> bytes:
    """A complete SVG file; the picture's top left corner is the origin.

    Lines and letters have the current colour, black in a file opened by itself; each has its kind as class. Places are
    tenths of a pixel.
    """
    plain = plain_width_px(drawing)
    parts = [
        *svg_opening(drawing.title, drawing.width_px, drawing.height_px),
        '<g fill="none" stroke="currentColor" stroke-linejoin="round" stroke-linecap="round">',
        *(stroke_path(stroke, plain) for stroke in drawing.strokes),
        "</g>",
        *_letters(drawing),
        "</svg>",
    ]
    return ("\n".join(parts) + "\n").encode()


def svg_opening(title: str, width_px: int, height_px: int) -> tuple[str, str]:
    """The first lines of a file that is one unit a pixel and, printed by itself, as wide as the plate on the sheet."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{SHEET_WIDTH_MM:g}mm"'
        f' height="{SHEET_WIDTH_MM * height_px / width_px:g}mm" viewBox="0 0 {width_px} {height_px}" role="img">',
        f"<title>{escape(title)}</title>",
    )


def plain_width_px(drawing: Drawing) -> float:
    """Width of a stroke of weight 1."""
    return min(drawing.width_px, drawing.height_px) * STROKE_SHARE


def mark_size_px(drawing: Drawing) -> float:
    """Height that marks are written in."""
    return min(drawing.width_px, drawing.height_px) * MARK_SHARE


def stroke_path(stroke: Stroke, plain: float) -> str:
    """One stroke as a path; ``plain`` is the width of a plain line in px."""
    places = [f"{_number(x)} {_number(y)}" for x, y in stroke.points.tolist()]
    dashes = f' stroke-dasharray="{DASH[0] * plain:.1f} {DASH[1] * plain:.1f}"' if stroke.dashed else ""
    end = "z" if stroke.closed else ""
    return (
        f'<path class="{escape(stroke.kind)}" stroke-width="{stroke.weight * plain:.2f}"{dashes}'
        f' d="M{"L".join(places)}{end}"/>'
    )


def mark_text(mark: Mark, size: float) -> str:
    """One mark as a text element, ``size`` px high."""
    return (
        f'<text class="{escape(mark.kind)}" x="{_number(mark.x)}" y="{_number(mark.y)}" font-size="{_number(size)}"'
        f' text-anchor="{mark.anchor}">{escape(mark.text)}</text>'
    )


def _letters(drawing: Drawing) -> Iterator[str]:
    if drawing.marks:
        yield '<g fill="currentColor" font-family="sans-serif">'
        for mark in drawing.marks:
            yield mark_text(mark, mark_size_px(drawing))
        yield "</g>"


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
