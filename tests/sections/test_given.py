"""A study by contours: read to sections, or one sentence that says which contour is wrong.

The sentences are our own; the expected numbers are worked out by hand from the points beside them.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given as drawn_by
from hypothesis import settings
from hypothesis import strategies as st

from builder.errors import CastwalkError
from builder.sections.given import given
from builder.sections.sections import Sections
from builder.study.read import read_study

WHERE = "models/block/study.yml"
SQUARE = "[[-20, -20], [20, -20], [20, 20], [-20, 20]]"
ARCH = "[[-20, 0], [0, -20], [20, 0]]"
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
    'width="100mm" height="80mm" viewBox="0 0 200 160">%s</svg>'
)
HEIGHTS = "sections: {svg: levels.svg, heights: [0, 20, 40]}"

Read = Callable[..., Sections]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Reads the text of a study, with a drawing beside it."""

    def sections_of(text: str, drawing: str | None = None) -> Sections:
        return _read(tmp_path, text, drawing)

    return sections_of


def _read(project: Path, text: str, drawing: str | None = None) -> Sections:
    folder = project / "models" / "block"
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "study.yml").write_text("title: Block\n" + text, encoding="utf-8")
    if drawing is not None:
        (folder / "levels.svg").write_text(drawing, encoding="utf-8")
    source = read_study(folder / "study.yml", project).contours
    assert source is not None
    return given(source)


def block(rows: list[tuple[int, float, str]], head: str = "") -> str:
    """The text of `sections:`; the first contour stands in the line after `contours:`."""
    lines = [f"    - {{number: {number}, height: {height:g}, points: {points}}}" for number, height, points in rows]
    return "\n".join(["sections:", *([f"  {head}"] if head else []), "  contours:", *lines, ""])


def three(points: str, head: str = "") -> str:
    """Three contours at 0, 20 and 40, the second with these points."""
    ends = SQUARE if "relief" not in head else ARCH
    return block([(1, 0, ends), (2, 20, points), (3, 40, ends)], head)


def test_points_are_read_in_their_unit(read: Read) -> None:
    sections = read(three(SQUARE, "unit: cm"))
    assert [(one.number, one.height_mm) for one in sections.contours] == [(1, 0.0), (2, 200.0), (3, 400.0)]
    assert np.ptp(sections.contours[1].rings[0], axis=0).tolist() == [400.0, 400.0]


def test_a_relief_is_closed_along_its_back(read: Read) -> None:
    ring = read(three(ARCH, "{kind: relief, back: 5}".strip("{}").replace(", ", "\n  "))).contours[0].rings[0]
    assert {tuple(point) for point in ring.tolist()} == {(-20, 0), (0, -20), (20, 0), (20, 5), (-20, 5)}


def test_a_drawing_is_read_at_true_scale_with_its_front_lowest(read: Read) -> None:
    """200 units are 100 mm, so a unit is half a millimetre; the mark stands at 60, 80."""
    path = '<path %s="%s" d="M 40 60 H 80 V 120 H 40 Z"/>'
    body = path % ("id", "contour-1") + path % ("inkscape:label", "2")
    body += '<g transform="translate(10 0)"><path id="3" d="M 30 60 H 70 V 120 H 30 Z"/></g>'
    mark = '<circle id="origin" cx="60" cy="80" r="2"/>'
    sections = read(HEIGHTS, SVG % (body + mark))
    for contour in sections.contours:
        corners = {tuple(point) for point in np.round(contour.rings[0], 3).tolist()}
        assert corners == {(-10, 10), (10, 10), (10, -20), (-10, -20)}


def test_a_drawn_circle_is_as_round_as_it_is_said_to_be(read: Read) -> None:
    """r = 50 units = 25 mm; no straight piece is farther than 0.02 mm from it."""
    circles = "".join(f'<circle id="{number}" cx="100" cy="80" r="50"/>' for number in (1, 2, 3))
    ring = read(HEIGHTS, SVG % circles).contours[0].rings[0]
    middles = (ring + np.roll(ring, -1, axis=0)) / 2
    assert np.abs(np.linalg.norm(ring, axis=1) - 25).max() < 1e-3
    assert 25 - np.linalg.norm(middles, axis=1).min() < 0.021


RELIEF = "kind: relief\n  back: 5"
PROFILE = "profile: [[%s], [-20, 40]]"
SENTENCES = [
    (
        three("[[-20, -20], [20, 20], [20, -20], [-20, 20]]"),
        "5: contour 2 crosses or touches itself near x = 0.0, y = 0.0 mm; an outline goes round once; check the order "
        "of its points there.",
    ),
    (
        three("[[0, 0], [9, 9]]"),
        "5: contour 2 has fewer than 3 points; an outline takes 3 or more that differ; add more.",
    ),
    (
        three("[[0, 0], [0.5, 0], [0.5, 0.5]]"),
        "5: contour 2 encloses 0.12 square mm; an outline takes 1 or more; check its points and `unit`.",
    ),
    (
        block([(1, 0, SQUARE), (2, 40, SQUARE), (3, 20, SQUARE)]),
        "6: contour 3 is at 20 mm and contour 2 at 40 mm; heights rise with the numbers, by 0.1 mm or more; change one "
        "of them.",
    ),
    (
        block([(1, 0, SQUARE), (3, 20, SQUARE), (3, 40, SQUARE)]),
        "6: contour 3 stands here and in line 5; each number stands once; change or remove one of them.",
    ),
    (
        block([(1, 0, SQUARE), (2, 20, SQUARE)]),
        "2: there are 2 contours; a form takes at least 3; add more.",
    ),
    (
        three("[[-20, 0], [0, 9], [20, 0]]", RELIEF),
        "7: contour 2 reaches 4 mm behind the back; the relief's back is at y = 5 mm; move one of them.",
    ),
    (
        three("[[-20, 0], [0, -20], [20, 0], [-20, 0]]", RELIEF),
        "7: contour 2 is closed; a contour of a relief is open at the back; open it there, or write `kind: closed`.",
    ),
    (
        three("[[-20, -23], [20, -23], [20, 20], [-20, 20]]", PROFILE % "-20, 0"),
        "6: contour 2 is 3.0 mm before the profile at the height 20 mm; they meet within 1 mm; move one of them.",
    ),
    (
        three(SQUARE, PROFILE % "-20, 9"),
        "3: `profile` goes from 9 to 40 mm; it takes the heights of all contours, 0 to 40 mm; add points to it.",
    ),
    (
        three(SQUARE, PROFILE % "-20, 40"),
        "3: point 2 of `profile`, at 40 mm, is no higher than the one before it; its points rise from the base up; put "
        "them in order or leave one out.",
    ),
    (
        three("[[40, 0], [60, 0], [60, 9]]"),
        "5: contour 2 lies wholly beside contour 1; neighbours overlap, seen from above; add contours between them.",
    ),
    (
        three("[[-20, -20], [20, -20], [20, 20], [-20, 20], [-20, 19.9], [19.9, 19.9], [19.9, -19.9], [-20, -19.9]]"),
        "5: contour 2 has an outline 0.12 mm wide near x = 19.9, y = -19.9 mm; a form of this size takes 0.2 mm or "
        "more; make it wider or leave it out.",
    ),
    (
        three("[[-9999, 0], [9999, -9], [9999, 9]]"),
        "2: the contours reach over 19,998 mm; a form takes 10 to 3,000 mm; check their `unit`.",
    ),
]


@pytest.mark.parametrize(("text", "sentence"), SENTENCES)
def test_what_cannot_be_lofted_is_told_by_its_contour(text: str, sentence: str, read: Read) -> None:
    with pytest.raises(CastwalkError) as caught:
        read(text)
    assert str(caught.value) == f"{WHERE}:{sentence}"


LINE = '<path id="%s" d="M 40 60 H 80 V 120 H 40 %s"/>'
DRAWINGS = [
    ("GIF89a", "which is not an SVG file", "export the drawing as SVG"),
    ("<html/>", "which is not an SVG file", "export the drawing as SVG"),
    (
        (SVG % LINE).replace("100mm", "100"),
        "which has no size in mm, cm or in",
        "give the drawing's width and height in mm",
    ),
    (SVG % "<text>7</text>", "which has a text in it", "turn it into a path or take it out"),
    (
        SVG % (LINE % ("nose", "Z")),
        "which has a path named `nose`",
        "name each path by its contour's number, such as `contour-7`",
    ),
    (SVG % (LINE % ("1", "Z") * 2), "which has contour 1 twice", "give every path a number of its own"),
    (SVG % "", "which has no path in it", "turn text and pictures into paths"),
]


@pytest.mark.parametrize(("drawing", "found", "do"), DRAWINGS)
def test_what_is_no_drawing_of_contours_is_refused(drawing: str, found: str, do: str, read: Read) -> None:
    with pytest.raises(CastwalkError) as caught:
        read(HEIGHTS, drawing)
    assert str(caught.value) == f"{WHERE}:2: `svg` is `levels.svg`, {found}; it takes a drawing at true scale; {do}."


def test_an_open_path_is_refused_for_a_closed_form(read: Read) -> None:
    """From 40, 60 to 40, 120 in half millimetres: 30 mm."""
    with pytest.raises(CastwalkError, match="contour 2 is open: its ends are 30 mm apart"):
        read(HEIGHTS, SVG % (LINE % (1, "Z") + LINE % (2, "") + LINE % (3, "Z")))


def test_a_drawing_with_another_count_than_heights_is_refused(read: Read) -> None:
    with pytest.raises(CastwalkError, match="`heights` has 3 numbers and the drawing 1 contours"):
        read(HEIGHTS, SVG % (LINE % (1, "Z")))


_NUMBER = st.one_of(
    st.integers(-60, 60), st.floats(), st.sampled_from(["x", ".nan", ".inf", "-.inf", "''", "[]", "~", "1e400"])
)
_POINT = st.lists(_NUMBER, min_size=1, max_size=3)
_ROW = st.tuples(_NUMBER, _NUMBER, st.lists(_POINT, max_size=6))
_HEAD = st.sampled_from(["", "kind: relief\n  back: 5", "unit: in", "profile: [[0, 0], [0, 9]]", "profile at: 3"])


@settings(max_examples=200, deadline=None, derandomize=True)
@drawn_by(rows=st.lists(_ROW, max_size=5), head=_HEAD)
def test_whatever_is_written_ends_in_sections_or_a_sentence(rows: list, head: str, tmp_path_factory) -> None:
    lines = [f"    - {{number: {n}, height: {h}, points: {str(p).replace(chr(39), '')}}}" for n, h, p in rows]
    text = "\n".join(["sections:", *([f"  {head}"] if head else []), "  contours:", *lines, ""])
    try:
        assert len(_read(tmp_path_factory.getbasetemp() / "fuzz", text).contours) >= 3
    except CastwalkError as error:
        assert all(problem.where.startswith(WHERE) for problem in error.problems)
