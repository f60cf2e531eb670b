"""A grid of squares over the whole picture, for copying square by square."""

from __future__ import annotations

import math

import numpy as np

from builder.form.looked import Looked
from builder.form.occluding import outline_strokes
from builder.form.stroke import Drawing, Mark, Stroke
from builder.form.stroke_svg import MARK_SHARE, SHEET_WIDTH_MM

LINE, OUTLINE = 0.4, 0.7
"""Weights of the grid's lines and of the sculpture's outline under them."""
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def grid_drawing(looked: Looked, contours: tuple[Stroke, ...]) -> Drawing:
    """The study's number of squares across, counted from the picture's top left corner as on a sheet of paper.

    Columns have letters, rows numbers, as teachers name squares (common practice, no source). Where the height is not
    a whole number of squares the last row is cut off by the picture's edge; it is numbered where a number fits.
    """
    width, height = looked.eye.width_px, looked.eye.height_px
    side = square_px(looked)
    size = min(width, height) * MARK_SHARE
    x, y = np.arange(1, looked.guides.squares) * side, np.arange(1, math.ceil(height / side - 1e-9)) * side
    upright = [Stroke(np.array([(at, 0.0), (at, height)]), "grid", LINE) for at in x.tolist()]
    level = [Stroke(np.array([(0.0, at), (width, at)]), "grid", LINE) for at in y.tolist()]
    corners = np.array([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)])
    frame = Stroke(corners, "grid-frame", LINE, closed=True)
    columns = [
        Mark((number + 0.5) * side, 1.2 * size, column_name(number), "column")
        for number in range(looked.guides.squares)
    ]
    rows = []
    for number in range(len(y) + 1):
        first, last = number * side, min((number + 1) * side, height)
        if last - first > 1.5 * size:
            rows.append(Mark(0.4 * size, (first + last) / 2 + 0.35 * size, str(number + 1), "row", "start"))
    strokes = (*outline_strokes(contours, OUTLINE), frame, *upright, *level)
    return Drawing("Grid", width, height, strokes, (*columns, *rows))


def grid_facts(looked: Looked) -> dict[str, float | int | str]:
    """The grid's size, and the squares in which the subject reaches farthest up, down, left and right.

    ``grid_squares`` across; ``grid_rows`` down, a row that is cut off among them; ``grid_square_sheet_mm`` side of a
    square on the printed sheet; ``grid_top_square`` and so on, such as "C2".
    """
    side = square_px(looked)
    left, top, right, bottom = looked.box_px
    rows, columns = np.nonzero(looked.subject)
    ends = {"top": rows == top, "bottom": rows == bottom - 1, "left": columns == left, "right": columns == right - 1}
    facts: dict[str, float | int | str] = {
        "grid_squares": looked.guides.squares,
        "grid_rows": math.ceil(looked.eye.height_px / side - 1e-9),
        "grid_square_sheet_mm": SHEET_WIDTH_MM / looked.guides.squares,
    }
    for name, there in ends.items():
        middle = np.count_nonzero(there) // 2
        x, y = int(columns[there][middle]) + 0.5, int(rows[there][middle]) + 0.5
        facts[f"grid_{name}_square"] = f"{column_name(int(x // side))}{int(y // side) + 1}"
    return facts


def square_px(looked: Looked) -> float:
    """Side of a square."""
    return looked.eye.width_px / looked.guides.squares


def column_name(number: int) -> str:
    """A, B, .. Z, AA, AB, .. for columns 0, 1, ..."""
    name = ""
    number += 1
    while number > 0:
        number, letter = divmod(number - 1, len(LETTERS))
        name = LETTERS[letter] + name
    return name
