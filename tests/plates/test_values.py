"""Value studies in 2, 3, 5 and 9 steps."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest

from builder.light.value import codes_of_luminance, luminance_of_value
from builder.plates.values import (
    ISLAND_SHARE,
    drawn_steps,
    make_values,
    step_codes,
    step_edges,
    step_of_luminance,
)
from tests.plates.known_light import picture
from tests.plates.read_svg import SVG, read_numbers
from tests.plates.test_shapes import flood

ALL = sorted(ISLAND_SHARE)


def hills(seed: int = 2, size: int = 90) -> np.ndarray:
    """A smooth picture of all values with a little grain."""
    y, x = np.mgrid[:size, :size] / size
    rng = np.random.default_rng(seed)
    value = 5 + 5.2 * np.sin(7 * x + 1) * np.cos(5 * y) + rng.normal(0, 0.05, (size, size))
    return luminance_of_value(value).astype("f4")


@pytest.mark.parametrize("steps", ALL)
def test_an_edge_belongs_to_the_lighter_step_to_the_last_bit(steps):
    """Judged on luminance: a float below an edge is a step darker, though its 8-bit code is the same."""
    edges = step_edges(steps)
    above = edges.astype("f4")
    above = np.where(above.astype("f8") < edges, np.nextafter(above, np.float32(2)), above).astype("f4")
    below = np.nextafter(above, np.float32(-1))
    assert step_of_luminance(edges, steps).tolist() == list(range(1, steps))
    assert step_of_luminance(above, steps).tolist() == list(range(1, steps))
    assert step_of_luminance(below, steps).tolist() == list(range(steps - 1))
    assert np.array_equal(codes_of_luminance(above), codes_of_luminance(below))


def test_three_steps_are_nine_taken_three_by_three():
    """Before islands are merged, each of 3 steps is exactly three of 9."""
    luminance = np.random.default_rng(0).random((300, 300)).astype("f4") ** 2
    assert np.array_equal(step_of_luminance(luminance, 3), step_of_luminance(luminance, 9) // 3)


@pytest.mark.parametrize("steps", ALL)
def test_equal_bins_of_value(steps):
    """A ramp even in value falls into steps of equal width."""
    ramp = luminance_of_value(10 * (np.arange(9000) + 0.5) / 9000)
    assert np.bincount(step_of_luminance(ramp, steps)).tolist() == [9000 // steps] * steps


@pytest.mark.parametrize("steps", ALL)
def test_only_the_bin_greys_are_painted(steps):
    """A value study has its own greys and no others, and is written without loss."""
    plate = make_values(picture(hills()), steps)
    assert set(np.unique(plate.grey)) <= set(step_codes(steps).tolist())
    assert plate.lossless and plate.kind == f"values-{steps}"


@pytest.mark.parametrize("steps", ALL)
def test_facts_count_what_is_painted(steps):
    """Shares, number of shapes and the biggest share equal a count over the plate's own pixels."""
    subject = np.hypot(*(np.mgrid[:90, :90] - 44.5)) < 36
    plate = make_values(picture(hills(), subject), steps)
    greys = step_codes(steps)
    name = f"values_{steps}"
    on_subject = [float((plate.grey[subject] == grey).sum() / subject.sum()) for grey in greys]
    in_picture = [float((plate.grey == grey).mean()) for grey in greys]
    assert plate.facts[f"{name}_shares"] == pytest.approx(on_subject, abs=1e-12)
    assert plate.facts[f"{name}_picture_shares"] == pytest.approx(in_picture, abs=1e-12)
    shapes = flood(plate.grey)
    areas = [sum(bool(subject[pixel]) for pixel in shape) for shape in shapes]
    assert plate.facts[f"{name}_shapes"] == sum(area >= ISLAND_SHARE[steps] * 8100 for area in areas)
    assert plate.facts[f"{name}_biggest_share"] == pytest.approx(max(areas) / subject.sum(), abs=1e-12)
    assert len(ElementTree.fromstring(plate.drawing).findall(f".//{SVG}path")) == len(shapes)
    assert set(plate.facts) == {f"{name}_{what}" for what in ("shares", "picture_shares", "shapes", "biggest_share")}


@pytest.mark.parametrize("steps", ALL)
def test_no_shape_too_small_to_draw(steps):
    """On a grainy picture every shape reaches the limit, and steps stay near those of the picture itself."""
    luminance = hills(size=150)
    drawn = drawn_steps(luminance, steps)
    assert min(map(len, flood(drawn))) >= ISLAND_SHARE[steps] * luminance.size
    assert (drawn != step_of_luminance(luminance, steps)).mean() < 0.05


@pytest.mark.parametrize("steps", ALL)
def test_numbers_count_from_the_darkest(steps):
    """What the drawing calls 1 is painted in the darkest grey, each next number in the next lighter."""
    y, x = np.mgrid[:200, :240] / 240
    value = 5 + 5.2 * np.sin(7 * x + 1) * np.cos(5 * y)
    plate = make_values(picture(luminance_of_value(value).astype("f4")), steps)
    numbers = read_numbers(plate.drawing)
    assert {number.words for number in numbers} == {str(step) for step in range(1, steps + 1)}
    for number in numbers:
        middle = number.box.centroid
        assert plate.grey[int(middle.y), int(middle.x)] == step_codes(steps)[int(number.words) - 1]


def test_studies_show_the_luminance_that_is_drawn():
    """A study is cut from the luminance painted, not from the true one where the two differ."""
    shown = picture(np.full((40, 50), 0.9, "f4"))
    darker = replace(shown, drawn=np.full((40, 50), 0.01, "f4"))
    assert (make_values(shown, 2).grey == step_codes(2)[1]).all()
    assert (make_values(darker, 2).grey == step_codes(2)[0]).all()


def test_flat_pictures():
    """Black, grey and white pictures are one shape each."""
    for level, step in ((0.0, 0), (0.2, 4), (1.0, 8), (3.0, 8)):
        plate = make_values(picture(np.full((30, 40), level, "f4")), 9)
        assert (plate.grey == step_codes(9)[step]).all()
        assert plate.facts["values_9_shapes"] == 1 and plate.facts["values_9_biggest_share"] == 1.0


def test_a_tiny_subject_still_has_a_shape():
    """A subject smaller than an island is counted as one shape."""
    subject = np.zeros((300, 300), np.bool_)
    subject[10, 10:12] = True
    assert make_values(picture(np.full((300, 300), 0.5, "f4"), subject), 2).facts["values_2_shapes"] == 1
