"""The frames of a sheet: edge, corner marks, and the grid or the marks that picture and empty place share."""

from __future__ import annotations

import math
from collections.abc import Iterator

from builder.form.grid import column_name
from builder.paper.page import Page
from builder.sheets.view_sheet import ViewSheet

EDGE_MM, GRID_MM, RIM_MM = 0.2, 0.12, 0.35
"""Widths of a frame's edge, of a line of its grid, and of the white that parts such a line from a picture."""
PALE = 0.72
"""Grey of a grid that is drawn over: it can be rubbed past, and copies still show it (chosen by eye)."""
CORNER_MM, CLEAR_MM = 4.0, 1.2
"""Length of a corner mark, and how far from the corner it begins."""
LETTER_PT = 7.5
HALF = 0.5

Box = tuple[float, float, float, float]
"""Left, top, width, height, mm."""


def corner_marks(page: Page, box: Box) -> None:
    """Two short lines outside each corner, so that a clear sheet can be laid over exactly."""
    x, y, wide, high = box
    for at_x, out_x in ((x, -1), (x + wide, 1)):
        for at_y, out_y in ((y, -1), (y + high, 1)):
            near, far = CLEAR_MM, CLEAR_MM + CORNER_MM
            page.line([(at_x + out_x * near, at_y), (at_x + out_x * far, at_y)], EDGE_MM)
            page.line([(at_x, at_y + out_y * near), (at_x, at_y + out_y * far)], EDGE_MM)


def frame(page: Page, box: Box, sheet: ViewSheet, over_picture: bool) -> None:
    """The frame's edge and what both frames share; over a picture its lines are dark with a white rim, else pale."""
    with page.artifact():
        if sheet.marks == "grid":
            _grid(page, box, sheet, over_picture)
        elif sheet.marks == "sight-size":
            _sight(page, box, sheet)
        page.rectangle(*box, EDGE_MM)


def square_mm(sheet: ViewSheet, width_mm: float) -> float:
    """Side of a square of the grid in a frame of that width."""
    return width_mm / sheet.squares


def _grid(page: Page, box: Box, sheet: ViewSheet, over_picture: bool) -> None:
    x, y, wide, high = box
    side = square_mm(sheet, wide)
    lines = [((x + n * side, y), (x + n * side, y + high)) for n in range(1, sheet.squares)]
    rows = math.ceil(high / side - 1e-9)
    lines += [((x, y + n * side), (x + wide, y + n * side)) for n in range(1, rows)]
    for line in lines:
        if over_picture:
            page.line(line, RIM_MM, 1.0)
        page.line(line, GRID_MM, 0.0 if over_picture else PALE)
    for n in range(sheet.squares):
        page.text(x + (n + HALF) * side, y - 1.4, column_name(n), LETTER_PT, anchor="middle")
    for n in range(rows):
        top, foot = y + n * side, min(y + (n + 1) * side, y + high)
        if foot - top > 3.0:
            page.text(x - 1.4, (top + foot) / 2 + 0.9, str(n + 1), LETTER_PT, anchor="end")


def _sight(page: Page, box: Box, sheet: ViewSheet) -> None:
    """Short lines outside the frame at top, half and foot, left, half and right of the subject, and through it."""
    x, y, wide, high = box
    scale = wide / sheet.size_px[0]
    left, top, right, bottom = sheet.box_px
    for at in _ends_and_half(top, bottom):
        level = y + at * scale
        page.line([(x - 4.0, level), (x, level)], 0.3)
        page.line([(x, level), (x + wide, level)], GRID_MM, 0.45, dash=(1.0, 1.5))
    for at in _ends_and_half(left, right):
        plumb = x + at * scale
        page.line([(plumb, y - 4.0), (plumb, y)], 0.3)
        page.line([(plumb, y), (plumb, y + high)], GRID_MM, 0.45, dash=(1.0, 1.5))


def _ends_and_half(start: float, end: float) -> Iterator[float]:
    yield from (start, (start + end) / 2, end)
