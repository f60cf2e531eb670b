"""Drawings of outlines, read back as another program would."""

from __future__ import annotations

import re
from functools import partial
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.form.looked import look_at
from builder.model.tracer import Tracer
from builder.plates.clean import clean_steps
from builder.plates.outline_svg import LARGEST_SHARE, SMALLEST_SHARE, font_size_px, outline_svg
from builder.plates.outlines import find_outlines
from builder.plates.shown import show
from builder.plates.values import ISLAND_SHARE, make_values, step_codes
from tests.plates.known_light import moon
from tests.plates.label_pictures import GRAIN, SEEDS, grey, patches, waves
from tests.plates.read_svg import SVG, apart_px, area_of_labels, lines_of, read_numbers, read_shapes

PATCHED = st.builds(patches, SEEDS, st.just(150), st.just(120), st.integers(1, 14), st.integers(1, 6))
WAVED = st.builds(waves, SEEDS, st.just(150), st.just(120), st.integers(2, 9))


def draw(labels: np.ndarray, title: str = "Shapes") -> bytes:
    return outline_svg(find_outlines(labels), {label: str(label + 1) for label in range(9)}, title)


@settings(max_examples=40)  # reading a drawing back takes long
@given(PATCHED | WAVED)
def test_drawing_and_picture_agree(labels):
    """Borders drawn and painted lie within a pixel of each other, whichever way one looks; shares within 0.5 %."""
    shapes = read_shapes(draw(labels))
    assert apart_px(shapes, labels) <= 1.0
    painted = np.bincount(labels.ravel(), minlength=9)
    assert np.abs(area_of_labels(shapes, 9) - painted).max() / labels.size <= 0.005


@pytest.mark.parametrize("steps", sorted(ISLAND_SHARE))
def test_drawing_and_plate_of_a_view_agree(steps):
    """The same of a view of a lit ball, value study and drawing as they are handed out; and of its shares."""
    model, lit, sight = moon(50.0, 30.0, size=160)
    plate = make_values(show(look_at(model, sight), lit, Tracer(model.scene)), steps)
    labels = np.searchsorted(step_codes(steps), plate.grey).astype(np.uint8)
    shapes = read_shapes(plate.drawing)
    assert apart_px(shapes, labels) <= 1.0
    shares = area_of_labels(shapes, steps) / labels.size
    assert shares == pytest.approx(plate.facts[f"values_{steps}_picture_shares"], abs=0.005)
    assert len(shapes) > 1


@given(PATCHED)
def test_shapes_cover_the_picture_without_overlap(labels):
    """Filled, the shapes leave no gap and cover nothing twice, but for slivers where tenths are rounded."""
    shapes = read_shapes(draw(labels))
    whole = shapely.unary_union([shape.area for shape in shapes])
    assert whole.area == pytest.approx(labels.size, abs=0.5)
    assert sum(shape.area.area for shape in shapes) == pytest.approx(labels.size, abs=0.5)


@given(PATCHED | WAVED)
def test_every_large_shape_has_its_number_inside(labels):
    """A number lies wholly inside a shape of its step, one in each; a shape with room for a circle in which the
    smallest number fits, with a tenth and the rounding of its outline to spare, has one."""
    svg = draw(labels)
    shapes, numbers = read_shapes(svg), read_numbers(svg)
    owners = []
    for number in numbers:
        assert number.words == str(number.label + 1)
        (owner,) = (i for i, shape in enumerate(shapes) if shape.area.contains(number.box))
        assert shapes[owner].label == number.label
        owners.append(owner)
    assert len(set(owners)) == len(owners)
    needed = max(3.0, next(r for r in np.arange(0.1, 9, 0.05) if font_size_px(r, "5", 120) > 0))
    for i, shape in enumerate(shapes):
        room = shapely.maximum_inscribed_circle(shape.area, tolerance=0.05).length if shape.area.area > 0 else 0.0
        assert room <= needed / 0.9 + 0.35 or i in owners


def test_font_sizes():
    """Never larger nor smaller than stated, none where too small; longer names are set smaller."""
    sizes = [font_size_px(radius, "7", 1200) for radius in np.linspace(0, 60, 600)]
    assert sizes == sorted(sizes) and sizes[0] == 0.0
    assert min(size for size in sizes if size) >= SMALLEST_SHARE * 1200
    assert max(sizes) == LARGEST_SHARE * 1200
    assert 0 < font_size_px(12.0, "12", 1200) < font_size_px(12.0, "1", 1200)


def test_the_file_stands_alone():
    """An SVG of the picture's size with a title, lines and letters in the current colour, no fill and no address."""
    svg = draw(waves(3, 90, 70, 5), "Light & <dark>")
    root = ElementTree.fromstring(svg)
    assert root.tag == f"{SVG}svg" and root.attrib["viewBox"] == "0 0 70 90"
    assert [title.text for title in root.iter(f"{SVG}title")] == ["Light & <dark>"]
    lines, letters = root.findall(f"{SVG}g")
    assert lines.attrib["stroke"] == letters.attrib["fill"] == "currentColor"
    assert lines.attrib["fill"] == "none" and lines.attrib["fill-rule"] == "evenodd"
    assert svg.replace(b"http://www.w3.org/2000/svg", b"").count(b"http") == 0
    assert svg.isascii()


def test_coordinates_are_tenths():
    """Nothing is written finer than a tenth, and no number has a nought that it could do without."""
    for path in ElementTree.fromstring(draw(waves(8, 90, 70, 5))).iter(f"{SVG}path"):
        for figure in path.attrib["d"].replace("M", " ").replace("l", " ").replace("z", " ").replace("-", " -").split():
            assert re.fullmatch(r"-?(0|[1-9][0-9]*|([1-9][0-9]*)?\.[1-9])", figure)


@given(GRAIN)
def test_rounded_points_are_those_of_the_outlines(labels):
    """Read back, every shape has the points of its rings to half a tenth, on any picture at all."""
    outlines = find_outlines(labels)
    shapes = read_shapes(outline_svg(outlines, {}, "Grain"))
    assert len(shapes) == len(outlines.runs.area_px)
    every = np.concatenate([ring for shape in shapes for ring in shape.rings])
    nearest = np.abs(every[:, None] - outlines.points).max(axis=2).min(axis=1)
    assert nearest.max() <= 0.05 + 1e-5
    assert [shape.label for shape in shapes] == outlines.runs.step_of_shape.tolist()


def test_lines_are_drawn_again():
    """Further lines come as one path for each kind, open, twice as wide; a kind without lines has none."""
    labels = np.zeros((40, 60), np.uint8)
    labels[:, 30:] = 1
    outlines = find_outlines(labels)
    lines = {"edge": [*outlines.between({0}, {1}), np.array([[1.0, 2.0], [3.25, 4.0]])], "none": []}
    root = ElementTree.fromstring(outline_svg(outlines, {}, "Edge", lines))
    (path,) = (path for path in root.iter(f"{SVG}path") if not path.attrib["class"].startswith("shape-"))
    assert path.attrib["class"] == "edge"
    assert float(path.attrib["stroke-width"]) == pytest.approx(
        2 * float(root.find(f"{SVG}g").attrib["stroke-width"]), abs=0.01
    )
    (first, first_closed), (second, second_closed) = lines_of(path.attrib["d"])
    assert not first_closed and not second_closed
    assert first == pytest.approx(outlines.between({0}, {1})[0], abs=0.05)
    assert second == pytest.approx(np.array([[1.0, 2.0], [3.2, 4.0]]), abs=0.06)


def test_same_picture_same_bytes():
    """A drawing made twice is the same to the byte, and labels that are not laid out row by row make no difference."""
    labels = clean_steps(waves(11, 120, 90, 9, 0.02), grey(waves(11, 120, 90, 9)), 0.001)
    assert draw(labels) == draw(labels.copy()) == draw(np.asfortranarray(labels))


def test_names_may_be_left_out():
    """Only labels with a name are written on."""
    labels = np.zeros((60, 60), np.uint8)
    labels[30:] = 1
    write = partial(outline_svg, find_outlines(labels), title="Two")
    assert [number.words for number in read_numbers(write({1: "5"}))] == ["5"]
    assert read_numbers(write({})) == []
