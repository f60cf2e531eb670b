"""The grid's lines, names and facts."""

from __future__ import annotations

import numpy as np
import pytest

from builder.form.grid import column_name, grid_drawing, grid_facts
from builder.form.looked import Looked, look_at
from builder.form.occluding import occluding_strokes
from builder.form.stroke import Drawing
from builder.form.stroke_svg import mark_size_px
from builder.model.model import Part
from builder.study.description import Guides
from tests.plates.known_light import eye_at, look
from tests.scenes import box, scene_model


def drawn(looked: Looked) -> Drawing:
    return grid_drawing(looked, occluding_strokes(looked))


def plate(squares: int, size: tuple[int, int]) -> Looked:
    """A plate of 100 x 60 in the middle of a picture 200 high, seen from far in front."""
    model = scene_model(box(100, 10, 60, Part.MODEL).moved(0, 0, -30))
    eye = eye_at(np.zeros(3), 0.0, 0.0, 1e5, 100.0, size)
    return look_at(model, look(model, eye), (), Guides(squares=squares))


@pytest.mark.parametrize(
    ("squares", "size", "rows"), [(6, (240, 300), 8), (4, (240, 300), 5), (5, (300, 240), 4), (3, (240, 240), 3)]
)
def test_squares_are_square_and_counted(squares: int, size: tuple[int, int], rows: int) -> None:
    """Lines are one side apart both ways from the top left corner; the frame is the picture's."""
    drawing = drawn(plate(squares, size))
    side = size[0] / squares
    lines = np.array([stroke.points for stroke in drawing.strokes if stroke.kind == "grid"])
    upright = lines[lines[:, 0, 0] == lines[:, 1, 0]]
    level = lines[lines[:, 0, 1] == lines[:, 1, 1]]
    np.testing.assert_allclose(upright[:, 0, 0], side * np.arange(1, squares))
    np.testing.assert_allclose(level[:, 0, 1], side * np.arange(1, rows))
    assert (np.abs(upright[:, :, 1]) == [0, size[1]]).all() and (np.abs(level[:, :, 0]) == [0, size[0]]).all()
    (frame,) = (stroke for stroke in drawing.strokes if stroke.kind == "grid-frame")
    assert frame.closed and frame.points.min(axis=0).tolist() == [0, 0] and frame.points.max(axis=0).tolist() == [*size]
    assert grid_facts(plate(squares, size))["grid_rows"] == rows


def test_columns_have_letters_and_rows_numbers_inside_their_squares() -> None:
    """A to F across; 1 to 8 down, the last half a row; every mark wholly inside its square."""
    drawing = drawn(plate(6, (240, 300)))
    size = mark_size_px(drawing)
    columns = [mark for mark in drawing.marks if mark.kind == "column"]
    rows = [mark for mark in drawing.marks if mark.kind == "row"]
    assert [mark.text for mark in columns] == list("ABCDEF")
    assert [int(mark.x // 40) for mark in columns] == list(range(6))
    assert [mark.text for mark in rows] == list("12345678")
    assert [int(mark.y // 40) for mark in rows] == list(range(8))
    assert all(size <= mark.y <= 300 - 0.2 * size for mark in drawing.marks)


def test_a_row_too_low_for_its_number_has_none() -> None:
    """4 squares of 60 down 305 leave a row of 5 px."""
    marks = [mark.text for mark in drawn(plate(4, (240, 305))).marks if mark.kind == "row"]
    assert marks == ["1", "2", "3", "4", "5"]


def test_facts_name_the_squares_of_the_ends() -> None:
    """The plate's image is 150 x 90 about (120, 150): its left end in column B of six, its foot in row 5."""
    facts = grid_facts(plate(6, (240, 300)))
    assert facts["grid_squares"] == 6 and facts["grid_square_sheet_mm"] == pytest.approx(124 / 6)
    assert facts["grid_left_square"] == "B4" and facts["grid_right_square"] == "E4"
    assert str(facts["grid_top_square"]).endswith("3") and str(facts["grid_bottom_square"]).endswith("5")


def test_columns_after_z() -> None:
    """As in a table: Z, AA, AB .. AZ, BA."""
    assert [column_name(number) for number in (0, 25, 26, 27, 51, 52)] == ["A", "Z", "AA", "AB", "AZ", "BA"]
