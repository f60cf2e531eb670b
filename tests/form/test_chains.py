"""Lines put together and smoothed."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from builder.arrays import Floats
from builder.form.chains import Chain, joined, strung
from builder.form.crowding import Laid, free_runs
from builder.form.smoothing import smooth_line


def chain(points: Floats, closed: bool = False) -> Chain:
    return Chain(points, np.arange(len(points), dtype=float), np.zeros(len(points)), closed)


def level(start: float, stop: float, y: float = 50.0) -> Floats:
    x = np.arange(start, stop, 0.5)
    return np.stack([x, np.full_like(x, y)], axis=1)


def test_nodes_are_strung_into_lines_and_rings() -> None:
    """A line of three given out of order, a ring of three, a node that is not wanted and one alone."""
    links = np.array([[2, -1], [2, -1], [0, 1], [4, 5], [3, 5], [3, 4], [-1, -1], [-1, -1]])
    wanted = np.array([True] * 6 + [False, True])
    order, first, closed = strung(links, wanted)
    assert [order[a:b].tolist() for a, b in pairwise(first)] == [[0, 2, 1], [7], [3, 4, 5]]
    assert closed.tolist() == [False, False, True]


def test_lines_that_go_on_in_each_other_are_joined_whichever_way_they_run() -> None:
    """Two level pieces 4 px apart become one, in order along it; one that leaves at a right angle stays apart."""
    upright = np.stack([np.full(40, 44.0), np.arange(52.0, 72.0, 0.5)], axis=1)
    whole = joined([chain(level(10, 40)), chain(level(44, 80)[::-1]), chain(upright)], 6.0, 25.0)
    assert sorted(len(one.points) for one in whole) == [40, 60 + 72]
    long = max(whole, key=lambda one: len(one.points))
    assert (np.diff(long.points[:, 0]) > 0).all() or (np.diff(long.points[:, 0]) < 0).all()
    assert len(joined([chain(level(10, 40)), chain(level(44, 80))], 3.0, 25.0)) == 2


def test_pieces_of_a_circle_join_into_a_ring() -> None:
    """Four arcs with gaps of 4 degrees: one closed line of all their points."""
    arcs = []
    for quarter in range(4):
        turn = np.radians(np.arange(90 * quarter, 90 * quarter + 87))
        arcs.append(chain(50 + 30 * np.stack([np.cos(turn), np.sin(turn)], axis=1)))
    (ring,) = joined(arcs, 4.0, 25.0)
    assert ring.closed and len(ring.points) == 4 * 87
    turned = np.unwrap(np.arctan2(*(ring.points - 50).T))
    assert (np.diff(turned) < 0).all() or (np.diff(turned) > 0).all()


def test_lines_beside_each_other_are_crowded_and_crossing_ones_are_not() -> None:
    """Two px beside a line with 3 px to keep: not free; five px off, or across it: free."""
    laid = Laid(100, 100, 3.0)
    laid.lay(level(10, 90))
    assert not laid.free(level(20, 80, 52.0)).any()
    assert laid.free(level(20, 80, 55.0)).all()
    assert laid.free(level(20, 80, 50.0)[:, ::-1]).all()


def test_free_runs_pass_over_short_gaps_and_reach_into_what_cuts_them() -> None:
    """Points 0-9 and 13-19 are free, 25-39 too: with gaps of 3 passed over and 2 points past the cut, two runs."""
    free = np.zeros(40, np.bool_)
    free[:10] = free[13:20] = free[25:] = True
    runs = free_runs(free, False, 3, 2)
    assert [(run[0], run[-1], ring) for run, ring in runs] == [(0, 21, False), (23, 39, False)]
    assert [(run[0], run[-1]) for run, _ in free_runs(free, True, 3, 2)] == [(23, 21)]
    assert free_runs(np.ones(5, np.bool_), True, 3, 2)[0][1] and free_runs(np.zeros(5, np.bool_), True, 3, 2) == ()


def test_smoothing_neither_shrinks_a_circle_nor_rounds_a_square() -> None:
    """A circle with steps of a pixel becomes one to 0.25 px; a square keeps its four corners to a tenth of a pixel."""
    turn = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    circle = 100 + 60 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    smooth, where = smooth_line(np.round(circle * 2) / 2, True, 16)
    off = np.hypot(*(smooth - 100).T) - 60
    assert np.abs(off).max() < 0.25 and abs(off.mean()) < 0.05 and (np.diff(where) > 0).all()
    side = np.arange(0.0, 60.0, 0.5)
    square = np.concatenate([
        np.stack([side, 0 * side], 1), np.stack([60 + 0 * side, side], 1),
        np.stack([60 - side, 60 + 0 * side], 1), np.stack([0 * side, 60 - side], 1),
    ])  # fmt: skip
    straight = smooth_line(square, True)[0]
    for corner in ((0, 0), (60, 0), (60, 60), (0, 60)):
        assert np.hypot(*(straight - corner).T).min() < 0.4
    assert len(straight) < 30


def test_ends_stay_and_places_along_a_line_are_told() -> None:
    """An open line begins and ends where it did, and its points say where they lie along the given one."""
    points = level(10, 60) + np.stack([np.zeros(100), np.tile([0.0, 0.5], 50)], axis=1)
    smooth, where = smooth_line(points, False)
    np.testing.assert_allclose(smooth[[0, -1]], points[[0, -1]])
    assert where[0] == 0 and where[-1] == 99
    np.testing.assert_allclose(np.interp(where, np.arange(100), points[:, 0]), smooth[:, 0], atol=0.6)
    assert np.abs(smooth[3:-3, 1] - 50.25).max(initial=0) < 0.3
