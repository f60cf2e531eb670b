"""Outlines shared by the shapes they part, and the lines drawn from them."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from builder.plates.outlines import NO_LABEL, find_outlines
from builder.plates.rings import find_rings
from builder.plates.rooms import find_rooms
from builder.plates.shapes import find_shapes
from tests.plates.label_pictures import GRAIN, SEEDS, patches, waves
from tests.plates.read_svg import enclosed

PATCHED = st.builds(patches, SEEDS, st.just(60), st.just(80), st.integers(1, 12), st.integers(1, 5))
PICTURES = GRAIN | PATCHED | st.builds(waves, SEEDS, st.just(60), st.just(80), st.integers(1, 9))


def signed_area(ring: np.ndarray) -> float:
    """Positive where the inside lies on the left of one who walks along it over the picture (y runs down)."""
    x, y = ring.astype(float).T
    return float(np.sum(np.roll(x, -1) * y - x * np.roll(y, -1)) / 2)


@given(PICTURES)
def test_labels_and_shapes_on_both_sides(labels):
    """Shapes are those of the picture; on each side of a line lie two different ones, with their labels."""
    outlines = find_outlines(labels)
    found = find_shapes(labels)
    assert np.array_equal(outlines.runs.area_px, found.area_px)
    label = np.append(found.step, NO_LABEL)
    assert np.array_equal(label[outlines.left_shape], outlines.left_label)
    assert np.array_equal(label[outlines.right_shape], outlines.right_label)
    assert (outlines.left_label != outlines.right_label).all()
    assert set(np.concatenate([outlines.left_shape, outlines.right_shape]).tolist()) == {-1, *range(len(found.step))}


@given(PATCHED)
def test_the_picture_lies_on_the_sides_told(labels):
    """A pixel's breadth to the left and right of the middle of every long straight piece lies the label told."""
    outlines = find_outlines(labels)
    for i in range(len(outlines.closed)):
        line = outlines.line(i).astype(float)
        start, along = line[:-1], np.diff(line, axis=0)
        length = np.hypot(*along.T)
        for at, way in zip((start + along / 2)[length > 6], (along / length[:, None])[length > 6], strict=True):
            for label, side in (
                (outlines.left_label[i], (way[1], -way[0])),
                (outlines.right_label[i], (-way[1], way[0])),
            ):
                x, y = np.floor(at + 1.5 * np.array(side)).astype(int)
                if 0 <= x < 80 and 0 <= y < 60:
                    assert labels[y, x] == label or length.min() < 6
                else:
                    assert label == NO_LABEL


@given(PICTURES)
def test_rings_close_round_every_shape(labels):
    """Every shape has rings, with it on their left; together they enclose just the picture, and none leaves it."""
    outlines = find_outlines(labels)
    rings = find_rings(outlines)
    area = np.zeros(len(outlines.runs.area_px))
    for i, shape in enumerate(rings.shape):
        area[shape] += signed_area(rings.points[rings.first[i] : rings.first[i + 1]])
    assert set(rings.shape.tolist()) == set(range(len(area)))
    assert area.sum() == pytest.approx(labels.size, rel=1e-5)
    assert (rings.points >= 0).all() and (rings.points <= labels.shape[::-1]).all()


@given(PICTURES)
def test_between_takes_every_line_of_the_pair_once(labels):
    """The lines between two sets of labels, put end to end, are as long as those that part the sets, left on left."""
    outlines = find_outlines(labels)
    present = sorted(set(labels.ravel().tolist()))
    left, right = present[::2], [*present[1::2], NO_LABEL]

    def length(lines):
        return sum(float(np.hypot(*np.diff(line.astype(float), axis=0).T).sum()) for line in lines)

    ahead = np.isin(outlines.left_label, left) & np.isin(outlines.right_label, right)
    back = np.isin(outlines.right_label, left) & np.isin(outlines.left_label, right)
    joined = outlines.between(left, right)
    assert length(joined) == pytest.approx(length(outlines.line(i) for i in np.flatnonzero(ahead | back)), rel=1e-6)
    # The border of a set of shapes has no end: every line closes, with the set on its left.
    assert all(np.array_equal(line[0], line[-1]) for line in joined)
    enclosed = sum(signed_area(line[:-1]) for line in joined)
    rings = find_rings(outlines)
    whole = sum(
        signed_area(rings.points[rings.first[i] : rings.first[i + 1]])
        for i, shape in enumerate(rings.shape)
        if outlines.runs.step_of_shape[shape] in left
    )
    assert enclosed == pytest.approx(whole, abs=1e-2)


def test_between_joins_across_junctions():
    """A border that other shapes run into is one line, from one edge of the picture to the other."""
    labels = np.zeros((60, 90), np.uint8)
    labels[30:] = 5
    labels[:30, 30:60] = 1
    labels[30:, 45:] = 6
    outlines = find_outlines(labels)
    (line,) = outlines.between({0, 1}, {5, 6})
    assert line[0].tolist() == [0, 30] and line[-1].tolist() == [90, 30]  # what lies above is on one's left going right
    (back,) = outlines.between({5, 6}, {0, 1})
    assert np.array_equal(back, line[::-1])
    assert outlines.between({0}, {7}) == []
    assert [line.tolist() for line in outlines.between({1}, {6})] == [[[45, 30], [60, 30]]]


def test_between_goes_straight_on_where_it_can():
    """Where two fields touch corner to corner, each border keeps its direction or turns back the least."""
    labels = np.zeros((40, 40), np.uint8)
    labels[:20, :20] = labels[20:, 20:] = 1
    lines = find_outlines(labels).between({1}, {0})
    assert len(lines) == 2 and all(len(line) >= 3 for line in lines)


def test_a_label_cannot_be_on_both_sides():
    """Sets with a label in common are refused."""
    with pytest.raises(AssertionError, match="both sides"):
        find_outlines(np.zeros((4, 4), np.uint8)).between({0, 1}, {1})


def test_one_flat_picture():
    """A picture of one shape has its edge for outline, corner to corner."""
    outlines = find_outlines(np.full((7, 9), 3, np.uint8))
    assert len(outlines.closed) == 4 and not outlines.closed.any()
    (edge,) = outlines.between({3}, {NO_LABEL})
    assert shapely.Polygon(edge).equals(shapely.box(0, 0, 9, 7))


def shape_polygons(labels):
    outlines = find_outlines(labels)
    rings = find_rings(outlines)
    polygons = [shapely.Polygon() for _ in outlines.runs.area_px]
    for i, shape in enumerate(rings.shape):
        points = rings.points[rings.first[i] : rings.first[i + 1]]
        polygons[shape] = polygons[shape] ^ enclosed(points)
    return polygons, find_rooms(outlines.runs, rings)


@given(st.builds(patches, SEEDS, st.just(120), st.just(150), st.integers(1, 14), st.integers(1, 6)))
def test_rooms_are_circles_in_their_shapes(labels):
    """The circle lies inside its shape, touches its edge, and is as large as the largest there is to a quarter of a
    pixel or a tenth, whichever is more."""
    polygons, rooms = shape_polygons(labels)
    for polygon, centre, radius in zip(polygons, rooms.centre, rooms.radius_px, strict=True):
        largest = shapely.maximum_inscribed_circle(polygon, tolerance=0.02).length if polygon.area > 0 else 0.0
        if largest > 3.0:
            middle = shapely.Point(centre)
            assert polygon.contains(middle)
            assert polygon.boundary.distance(middle) == pytest.approx(radius, abs=1e-3)
            assert largest - max(0.25, 0.1 * largest) - 1e-3 <= radius <= largest + 0.03


def test_the_room_of_a_disc_is_the_disc():
    """In a disc the circle is the disc's own to a tenth of its radius, and lies in it."""
    y, x = np.mgrid[:100, :130] + 0.5
    labels = (np.hypot(x - 71.3, y - 40.8) < 23.0).astype(np.uint8)
    _, rooms = shape_polygons(labels)
    off = np.hypot(*(rooms.centre[1] - (71.3, 40.8)))
    assert 0.9 * 22.5 <= rooms.radius_px[1] <= 23.5 and rooms.radius_px[1] + off == pytest.approx(23.0, abs=0.5)
