"""The block-in of solids, whose corners are known, and its drawings."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.spatial import ConvexHull
from scipy.spatial.transform import Rotation

from builder.arrays import Floats
from builder.form.block_in import BlockIn, block_in
from builder.form.block_in_drawings import (
    block_in_facts,
    block_in_rows,
    envelope_drawing,
    few_lines_drawing,
    more_lines_drawing,
)
from builder.form.rings import inside_ring, ring_area_px2
from builder.form.sides import from_the_top, sides
from builder.form.stroke import Drawing
from builder.form.stroke_svg import drawing_svg, mark_size_px
from builder.model.model import Part
from tests.form.solids import CORNERS, places, seen, solid
from tests.scenes import ball, box

DRAWINGS = (envelope_drawing, few_lines_drawing, more_lines_drawing)


def rings(made: BlockIn) -> tuple[Floats, ...]:
    return made.envelope, made.few, made.many


def farthest(ring: Floats, corners: Floats) -> float:
    """Greatest distance from one of ``corners`` to the nearest corner of the ring."""
    return float(max(np.hypot(*(ring - corner).T).min() for corner in corners))


@pytest.mark.parametrize(("bearing", "level"), [(30.0, 25.0), (40.0, -35.0), (60.0, 20.0), (45.0, 35.2644)])
def test_a_cube_is_a_hexagon(bearing, level):
    """A general view shows six sides (CHECKS section 5): of the envelope, of few lines and of many, to a pixel; along
    the diagonal the area is sqrt(3) times the square of the edge (same row)."""
    cube = box(120, 120, 120, Part.MODEL).moved(0, 0, -60)
    looked = seen(cube, bearing_deg=bearing, level_deg=level)
    made = block_in(looked)
    seen_at = places(looked.eye, cube)
    hull = seen_at[ConvexHull(seen_at).vertices]
    for ring in rings(made):
        assert len(ring) == 6
        assert farthest(ring, hull) < 1.0 and farthest(hull, ring) < 1.0
    if level > 35:
        edge_px = 120 * looked.eye.height_px / 300
        assert ring_area_px2(made.many) == pytest.approx(np.sqrt(3) * edge_px**2, rel=2e-3)


@pytest.mark.parametrize(("name", "counts"), [("cube", {6}), ("octahedron", {4, 6}), ("icosahedron", {6, 8, 10})])
@settings(max_examples=8)
@given(seed=st.integers(0, 100_000))
def test_solids_have_their_corners(name, counts, seed):
    """As many lines as the convex hull of the seen corners, in counts that are possible (CHECKS section 5), each corner
    within a pixel. Views are left out in which a corner stands out by less than 5 px or a side is shorter than 40."""
    piece = solid(CORNERS[name])
    turn = Rotation.random(random_state=seed).as_euler("xyz")
    looked = seen(piece.turned(*turn))
    seen_at = places(looked.eye, piece.turned(*turn))
    hull = seen_at[ConvexHull(np.round(seen_at, 3)).vertices]
    before, after = np.roll(hull, 1, axis=0), np.roll(hull, -1, axis=0)
    chord = after - before
    stands_out = np.abs(chord[:, 0] * (hull - before)[:, 1] - chord[:, 1] * (hull - before)[:, 0]) / np.hypot(*chord.T)
    assume(stands_out.min() > 5 and np.hypot(*(after - hull).T).min() > 40)
    assert len(hull) in counts
    made = block_in(looked)
    for ring in (made.few, made.many):
        assert len(ring) == len(hull)
        assert farthest(ring, hull) < 1.0
    assert len(made.envelope) <= min(7, len(hull))
    assert inside_ring((made.envelope - made.envelope.mean(axis=0)) * 1.01 + made.envelope.mean(axis=0), hull).all()


def test_a_ball_has_seven_sides_twelve_and_twenty_four():
    """A circle of radius R: the envelope is the regular heptagon of 7 tan(pi / 7) / pi its area; seven pieces of air
    are left, all alike."""
    made = block_in(seen(ball(100.0, 6), size=(900, 900)))
    assert [len(ring) for ring in rings(made)] == [7, 12, 24]
    radius = 100 * 900 / 300
    share = 7 * np.tan(np.pi / 7) / np.pi - 1
    assert ring_area_px2(made.envelope) == pytest.approx((1 + share) * np.pi * radius**2, rel=3e-3)
    assert made.height_px == pytest.approx(2 * radius, abs=1.0)
    areas = [shape.area_share for shape in made.negative]
    assert len(areas) == 7
    np.testing.assert_allclose(areas, share / 7, rtol=0.12)


def test_an_angle_of_two_boxes():
    """An L-shaped prism from in front, 100 x 120 with 60 x 80 cut out: half of that is air, at the upper right; the
    contour has six sides, and they have their lengths, in its height."""
    foot = box(100, 40, 40, Part.MODEL).moved(0, 0, -60)
    post = box(40, 40, 80, Part.MODEL).moved(-30, 0, -20)
    made = block_in(seen(foot, post, size=(800, 1000)))
    facts = block_in_facts(made)
    assert (facts["envelope_sides"], facts["few_sides"], facts["many_sides"]) == (5, 6, 6)
    assert facts["negative_shapes"] == 1 and facts["largest_negative_side"] == "upper right"
    assert facts["negative_areas"] == pytest.approx((2400 / 7200,), rel=5e-3)
    assert facts["few_lengths"] == pytest.approx(np.array([40, 80, 60, 40, 100, 120]) / 120, abs=3e-3)
    assert np.abs(facts["few_off_plumb_deg"]) == pytest.approx([90, 0, 90, 0, 90, 0], abs=0.3)
    assert facts["longest_side_length"] == pytest.approx(1.0, abs=3e-3)


def test_sides_of_a_turned_rectangle():
    """30 x 10, turned by 20 degrees: the long sides lean 20 degrees to the right off plumb, the short ones 70 left."""
    turn = np.radians(20.0)
    up, across = np.array([np.sin(turn), -np.cos(turn)]), np.array([np.cos(turn), np.sin(turn)])
    foot = np.array([50.0, 90.0])
    ring = from_the_top(np.array([foot, foot + 30 * up, foot + 30 * up + 10 * across, foot + 10 * across]))
    np.testing.assert_allclose(ring[0], foot + 30 * up)
    found = sides(ring, 20.0)
    assert [side.number for side in found] == [1, 2, 3, 4]
    assert [side.length for side in found] == pytest.approx([0.5, 1.5, 0.5, 1.5])
    assert [side.off_plumb_deg for side in found] == pytest.approx([-70, 20, -70, 20])
    level = sides(np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]), 10.0)
    assert [side.off_plumb_deg for side in level] == [90, 0, 90, 0]


@pytest.fixture(scope="module")
def heap() -> BlockIn:
    """Three solids that stand before one another, from a little above."""
    pieces = (
        box(90, 90, 30, Part.MODEL).moved(0, 0, -60),
        ball(35.0, 5).moved(-20, -30, 10),
        box(30, 30, 110, Part.MODEL).turned(0, 0, 0.4).moved(25, 10, -35),
    )
    return block_in(seen(*pieces, bearing_deg=20, level_deg=15, size=(1000, 1000), distance=700))


def boxes(drawing: Drawing, kind: str) -> Floats:
    """Left, top, right, bottom of the figures of a drawing's marks."""
    size = mark_size_px(drawing)
    return np.array(
        [
            (m.x - 0.3 * size * len(m.text), m.y - 0.7 * size, m.x + 0.3 * size * len(m.text), m.y)
            for m in drawing.marks
            if m.kind == kind
        ]
    )


def test_numbers_stand_outside_and_apart(heap):
    """Each number lies outside its ring and inside the picture, no two overlap, nor letters with them. All sides of the
    envelope have one; sides too short for a number may go without."""
    for make, ring in zip(DRAWINGS, rings(heap), strict=True):
        drawing = make(heap)
        found = boxes(drawing, "side-number")
        assert len(found) >= (len(ring) if make is envelope_drawing else 0.7 * len(ring))
        assert not inside_ring(ring, np.concatenate([found[:, :2], found[:, 2:]])).any()
        assert found.min() >= 0 and found[:, 2].max() <= drawing.width_px and found[:, 3].max() <= drawing.height_px
        every = np.concatenate([found, *([boxes(drawing, "negative-letter")] if make is envelope_drawing else [])])
        for index, one in enumerate(every):
            rest = np.delete(every, index, axis=0)
            overlap = (rest[:, :2] < one[2:]).all(axis=1) & (rest[:, 2:] > one[:2]).all(axis=1)
            assert not overlap.any()


def test_letters_stand_in_their_shapes(heap):
    letters = [mark for mark in envelope_drawing(heap).marks if mark.kind == "negative-letter"]
    assert [mark.text for mark in letters][:2] == ["A", "B"]
    for mark in letters:
        shape = heap.negative["ABCDEFGHIJ".index(mark.text)]
        assert inside_ring(shape.outline, np.array([(mark.x, mark.y - 5)]))[0]
        assert not inside_ring(heap.contour[0], np.array([(mark.x, mark.y - 5)]))[0]


def test_inner_edges_join_in_from_the_second_stage(heap):
    """The ball before the post is given lines of its own, and its straight lines stay near its round."""
    kinds = [{stroke.kind for stroke in make(heap).strokes} for make in DRAWINGS]
    assert kinds == [
        {"contour", "envelope"}, {"envelope", "straight", "straight-inner"}, {"straight", "straight-inner"},
    ]  # fmt: skip
    assert 1 <= len(heap.few_inner) <= len(heap.many_inner)


def test_facts_are_complete_and_tables_agree(heap):
    facts, rows = block_in_facts(heap), block_in_rows(heap)
    for name, ring in zip(("envelope", "few", "many"), rings(heap), strict=True):
        assert facts[f"{name}_sides"] == len(ring) == len(rows[name])
        assert facts[f"{name}_lengths"] == tuple(side.length for side in rows[name])
        angles = facts[f"{name}_off_plumb_deg"]
        assert isinstance(angles, tuple) and all(-90 < angle <= 90 for angle in angles)
    assert facts["longest_side_length"] == max(facts["envelope_lengths"])


def test_the_same_view_gives_the_same_bytes():
    piece = solid(CORNERS["icosahedron"]).turned(0.3, 0.5, 0.7)
    one, other = ([drawing_svg(make(block_in(seen(piece)))) for make in DRAWINGS] for _ in range(2))
    assert one == other


def test_a_speck_is_its_box():
    """A ball two pixels wide has no contour to speak of; it is blocked in as what its pixels fill."""
    made = block_in(seen(ball(1.0, 2), size=(300, 300)))
    assert len(made.envelope) >= 3 and made.height_px <= 4
    assert all(np.isfinite(ring).all() for ring in rings(made))
    for make in DRAWINGS:
        assert drawing_svg(make(made)).startswith(b"<svg")
