"""Borders traced along pixel sides."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from builder.plates.arcs import OUTSIDE, trace_arcs
from tests.plates.label_pictures import GRAIN, SEEDS, patches

PICTURES = GRAIN | st.builds(patches, SEEDS, st.just(17), st.just(23), st.just(9), st.just(4))


def sides_of(labels: np.ndarray) -> dict[tuple[tuple[int, int], tuple[int, int]], tuple[int, int]]:
    """Every pixel side on a border, as a step from corner to corner, with the pixels on its left and right."""
    h, w = labels.shape

    def pixel(y: int, x: int) -> int:
        return y * w + x if 0 <= y < h and 0 <= x < w else OUTSIDE

    def label(place: int) -> int:
        return -1 if place == OUTSIDE else int(labels.ravel()[place])

    steps = {}
    for y in range(h + 1):
        for x in range(w + 1):
            for end, left, right in (
                ((x + 1, y), pixel(y - 1, x), pixel(y, x)),
                ((x, y + 1), pixel(y, x), pixel(y, x - 1)),
            ):
                if end[0] <= w and end[1] <= h and label(left) != label(right):
                    steps[(x, y), end] = left, right
                    steps[end, (x, y)] = right, left
    return steps


@given(PICTURES)
def test_every_side_of_every_border_is_walked_once(labels):
    """The steps of all arcs are the pixel sides between different labels, each walked one way only."""
    arcs = trace_arcs(labels)
    walked = Counter()
    for i in range(len(arcs.closed)):
        corners = [tuple(corner) for corner in arcs.corner[arcs.first[i] : arcs.first[i + 1]].tolist()]
        walked.update(pairwise(corners))
    assert set(walked.values()) == {1}
    both_ways = set(walked) | {(b, a) for a, b in walked}
    assert both_ways == set(sides_of(labels)) and len(both_ways) == 2 * len(walked)


@given(PICTURES)
def test_left_and_right_are_the_labels_all_along(labels):
    """On every step of an arc the label on each side is that of the pixel named for the arc."""
    arcs, sides = trace_arcs(labels), sides_of(labels)
    flat = np.append(labels.ravel().astype(int), -1)
    for i in range(len(arcs.closed)):
        corners = [tuple(corner) for corner in arcs.corner[arcs.first[i] : arcs.first[i + 1]].tolist()]
        assert sides[corners[0], corners[1]] == (arcs.left[i], arcs.right[i])
        for step in pairwise(corners):
            assert [flat[pixel] for pixel in sides[step]] == [flat[arcs.left[i]], flat[arcs.right[i]]]


@given(PICTURES)
def test_arcs_are_cut_at_junctions_and_nowhere_else(labels):
    """An arc ends where three borders or more meet or at a corner of the picture, passes none, and is closed where it
    meets none at all."""
    h, w = labels.shape
    ways = Counter(start for start, _ in sides_of(labels))
    nodes = {corner for corner, count in ways.items() if count > 2} | {(0, 0), (w, 0), (0, h), (w, h)}
    arcs = trace_arcs(labels)
    for i in range(len(arcs.closed)):
        corners = [tuple(corner) for corner in arcs.corner[arcs.first[i] : arcs.first[i + 1]].tolist()]
        assert not nodes & set(corners[1:-1])
        assert arcs.closed[i] == (corners[0] not in nodes)
        assert {corners[0], corners[-1]} <= nodes or corners[0] == corners[-1]
