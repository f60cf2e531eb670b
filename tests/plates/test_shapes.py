"""Shapes of a picture in steps, and what is merged away."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from builder.plates.shapes import find_shapes, merge_islands

UNTIMED = settings(deadline=None)
"""The first picture waits for the compiler."""
SIDES = hnp.array_shapes(min_dims=2, max_dims=2, min_side=1, max_side=14)
STEPS = hnp.arrays(np.uint8, SIDES, elements=st.integers(0, 4))
SMOOTH = st.builds(
    lambda seed, side: (
        np.clip(np.cumsum(np.random.default_rng(seed).integers(-1, 2, (side, side)), axis=1) + 4, 0, 8)
        .astype(np.uint8)
        .repeat(3, axis=0)
        .repeat(3, axis=1)
    ),
    st.integers(0, 10_000),
    st.integers(2, 12),
)


def flood(steps: np.ndarray) -> list[set[tuple[int, int]]]:
    """Connected areas, by walking from pixel to pixel."""
    left = {(int(y), int(x)) for y, x in np.ndindex(*steps.shape)}
    areas = []
    while left:
        waiting = [left.pop()]
        area = set(waiting)
        while waiting:
            y, x = waiting.pop()
            for place in ((y - 1, x), (y + 1, x), (y, x - 1), (y, x + 1)):
                if place in left and steps[place] == steps[y, x]:
                    left.remove(place)
                    area.add(place)
                    waiting.append(place)
        areas.append(area)
    return areas


@UNTIMED
@given(STEPS)
def test_shapes_are_the_connected_areas(steps):
    """Each shape is one flood-filled area of one step, with its size."""
    found = find_shapes(steps)
    areas = flood(steps)
    assert sorted(len(area) for area in areas) == sorted(found.area_px.tolist())
    for area in areas:
        numbers = {int(found.shape[place]) for place in area}
        assert len(numbers) == 1
        number = numbers.pop()
        assert found.area_px[number] == len(area)
        assert found.step[number] == steps[next(iter(area))]


@UNTIMED
@given(STEPS, st.integers(0, 1000))
def test_shapes_inside_a_mask(steps, seed):
    """What lies outside the mask belongs to no shape and joins nothing."""
    mask = np.random.default_rng(seed).random(steps.shape) < 0.6
    found = find_shapes(steps, mask)
    assert (found.shape[~mask] == -1).all()
    inside = flood(np.where(mask, steps, 99))
    expected = sorted(len(area) for area in inside if mask[next(iter(area))])
    assert sorted(found.area_px.tolist()) == expected


@UNTIMED
@given(STEPS | SMOOTH, st.integers(1, 60))
def test_no_island_remains(steps, limit):
    """Every shape left is at least as big as the limit, or is the whole picture."""
    merged = merge_islands(steps, limit)
    areas = flood(merged)
    assert len(areas) == 1 or min(len(area) for area in areas) >= limit


@UNTIMED
@given(STEPS | SMOOTH, st.integers(1, 60))
def test_merging_again_changes_nothing(steps, limit):
    """The result has no islands, so it is its own result."""
    once = merge_islands(steps, limit)
    assert np.array_equal(merge_islands(once, limit), once)


@UNTIMED
@given(STEPS | SMOOTH, st.integers(1, 60))
def test_big_enough_shapes_keep_every_pixel(steps, limit):
    """Pixels of shapes that reach the limit are never repainted unless such a shape never existed beside an island:
    only pixels of islands change, and only to steps that are in the picture."""
    merged = merge_islands(steps, limit)
    small = np.zeros(steps.shape, np.bool_)
    for area in flood(steps):
        if len(area) < limit:
            small[tuple(np.array(sorted(area)).T)] = True
    assert np.array_equal(merged[~small], steps[~small])
    assert set(np.unique(merged)) <= set(np.unique(steps))


@UNTIMED
@given(STEPS | SMOOTH)
def test_a_picture_without_islands_is_untouched(steps):
    """With the smallest shape at the limit nothing changes; the input is not written to in any case."""
    before = steps.copy()
    smallest = min(len(area) for area in flood(steps))
    assert np.array_equal(merge_islands(steps, smallest), before)
    merge_islands(steps, 10**6)
    assert np.array_equal(steps, before)


def test_an_island_goes_to_its_longest_border():
    """Not to the nearest step, nor to the biggest neighbour."""
    steps = np.array([[1, 1, 1, 1, 1], [1, 5, 5, 5, 1], [8, 8, 2, 8, 8], [8, 8, 8, 8, 8]], np.uint8)
    assert merge_islands(steps, 2)[2, 2] == 8
    assert merge_islands(steps, 4)[1, 2] == 1


def test_of_equal_borders_the_nearest_step_wins():
    """An island half in one step and half in another takes the one less different."""
    steps = np.array([[0, 0, 0, 0], [0, 0, 0, 0], [6, 4, 6, 6], [6, 6, 6, 6]], np.uint8)
    steps[2] = [0, 4, 6, 6]
    steps[3] = 6
    assert merge_islands(steps, 2)[2, 1] == 6


def test_the_smallest_island_goes_first():
    """A speck inside an island joins it before it is judged: together they are big enough to stay."""
    steps = np.full((9, 9), 3, np.uint8)
    steps[2:5, 2:5] = 6
    steps[3, 3] = 0
    merged = merge_islands(steps, 9)
    assert (merged[2:5, 2:5] == 6).all()


def test_merged_neighbours_become_one_shape():
    """Two halves of a ring, each too small alone, are joined by the speck between them and stay."""
    steps = np.full((7, 12), 1, np.uint8)
    steps[2:5, 1:5] = 7
    steps[2:5, 6:10] = 7
    steps[2:5, 5] = 4
    merged = merge_islands(steps, 20)
    assert (merged[2:5, 1:10] == 7).all()


def test_whole_picture_of_one_step():
    """There is nobody to merge with."""
    steps = np.full((4, 5), 2, np.uint8)
    assert np.array_equal(merge_islands(steps, 100), steps)
