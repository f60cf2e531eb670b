"""Marks for drawing at the size seen, on boxes and balls of known image."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from builder.form.looked import Looked, look_at
from builder.form.occluding import occluding_strokes
from builder.form.sight_size import sheet_mm_per_px, sight_size_drawing, sight_size_facts
from builder.form.stroke import Drawing
from builder.form.stroke_svg import mark_size_px
from builder.model.model import Part
from builder.study.description import Guides
from tests.plates.known_light import eye_at, look
from tests.scenes import Piece, ball, box, scene_model


def drawn(looked: Looked) -> Drawing:
    return sight_size_drawing(looked, occluding_strokes(looked))


def plate(piece: Piece, aim: tuple[float, float, float] = (0, 0, 0), half: float = 100.0) -> Looked:
    model = scene_model(piece)
    eye = eye_at(np.array(aim), 0.0, 0.0, 1e5, half, (240, 300))
    return look_at(model, look(model, eye), (), Guides())


def upright(drawing: Drawing, kind: str) -> list[float]:
    return [stroke.points[0, 0] for stroke in drawing.strokes if stroke.kind == kind]


def test_lines_stand_on_the_box_and_its_halves() -> None:
    """Image of 150 x 90 px (1.5 px a mm) about (105, 150): every line within a pixel."""
    drawing = drawn(plate(box(100, 10, 60, Part.MODEL).moved(0, 0, -30), (10.0, 0.0, 0.0)))
    level = [stroke.points[0, 1] for stroke in drawing.strokes if stroke.kind == "level"]
    assert level == pytest.approx([105, 150, 195], abs=1)
    assert upright(drawing, "plumb") == pytest.approx([30, 105, 180], abs=1)
    assert upright(drawing, "plumb-middle") == [120]
    quarters = np.array([stroke.points.mean(axis=0) for stroke in drawing.strokes if stroke.kind == "quarter"])
    expected = [
        (30, 127.5),
        (180, 127.5),
        (67.5, 105),
        (67.5, 195),
        (30, 172.5),
        (180, 172.5),
        (142.5, 105),
        (142.5, 195),
    ]
    np.testing.assert_allclose(quarters, expected, atol=1)


def test_half_that_is_the_plumb_line_is_drawn_once() -> None:
    """A ball in the middle has its half on the dashed line."""
    drawing = drawn(plate(ball(60.0, 4)))
    assert upright(drawing, "plumb") == pytest.approx([30, 210], abs=1)
    (middle,) = (stroke for stroke in drawing.strokes if stroke.kind == "plumb-middle")
    assert middle.dashed and middle.points[0, 0] == 120


def test_marks_are_lengths_on_the_sheet() -> None:
    """240 px are 124 mm on the sheet: 150 px are 77.5 mm, 90 px 46.5 mm, to the pixel."""
    looked = plate(box(100, 10, 60, Part.MODEL).moved(0, 0, -30))
    assert sheet_mm_per_px(looked) == pytest.approx(124 / 240)
    facts = sight_size_facts(looked)
    assert facts["sight_width_sheet_mm"] == pytest.approx(77.5, abs=0.6)
    assert facts["sight_height_sheet_mm"] == pytest.approx(46.5, abs=0.6)
    texts = {kind: [mark.text for mark in drawn(looked).marks if mark.kind == kind] for kind in
             ("height", "width")}  # fmt: skip
    for kind, length in (("height", 46.5), ("width", 77.5)):
        zero, half, whole = texts[kind]
        assert zero == "0" and whole.endswith(" mm") and half.startswith("1/2: ")
        assert float(whole.removesuffix(" mm")) == pytest.approx(length, abs=0.6)
        assert float(half[5:].removesuffix(" mm")) == pytest.approx(length / 2, abs=0.4)


def test_sheet_covers_the_view_from_its_distance() -> None:
    """A sheet 124 mm wide, half of it at tan 124/2/distance, covers the eye's half angle."""
    looked = plate(ball(60.0, 3))
    distance = sight_size_facts(looked)["sight_eye_to_sheet_mm"]
    assert np.arctan(62.0 / distance) == pytest.approx(np.arctan(looked.eye.tan_x))


@pytest.mark.parametrize(
    "piece",
    [
        box(8, 5, 120, Part.MODEL).moved(0, 0, -60),
        box(120, 5, 4, Part.MODEL),
        box(155, 5, 195, Part.MODEL).moved(0, 0, -97.5),
        box(20, 5, 20, Part.MODEL).moved(60, 0, 60),
    ],
)
def test_marks_lie_in_the_picture_and_apart(piece: Piece) -> None:
    """Slim, flat, filling and out of the middle: no mark leaves the picture or lies on another of its kind."""
    drawing = drawn(plate(piece))
    size = mark_size_px(drawing)
    for kind in ("height", "width"):
        marks = [mark for mark in drawing.marks if mark.kind == kind]
        assert {marks[0].text, marks[-1].text} >= {"0"} and len(marks) >= 2
        spans = []
        for mark in marks:
            reach = 0.55 * size * len(mark.text)
            start = mark.x - {"start": 0.0, "middle": reach / 2, "end": reach}[mark.anchor]
            assert start >= -0.01 and start + reach <= 240.01 and size * 0.7 <= mark.y <= 300
            spans.append((start, start + reach) if kind == "width" else (mark.y - size, mark.y))
        spans.sort()
        if len(spans) == 3:
            assert all(first[1] <= second[0] for first, second in pairwise(spans))
