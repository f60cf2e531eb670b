"""Runs of a picture in steps, and which shapes touch."""

from __future__ import annotations

from collections import Counter

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from builder.plates.runs import borders, find_runs, painted
from tests.plates.test_shapes import STEPS, UNTIMED


@UNTIMED
@given(STEPS, st.integers(0, 1000))
def test_runs_cover_the_mask_once(steps, seed):
    """Painted in their steps the runs give back the picture inside the mask, and leave the rest alone; each is as long
    as it can be."""
    mask = np.random.default_rng(seed).random(steps.shape) < 0.7
    runs = find_runs(steps, mask)
    again = painted(runs, runs.step_of_shape, np.full(steps.shape, 99, np.uint8))
    assert np.array_equal(again, np.where(mask, steps, 99))
    assert int((runs.stop - runs.start).sum()) == mask.sum() == runs.area_px.sum()
    for y in range(len(steps)):
        here = slice(runs.first[y], runs.first[y + 1])
        joined = (runs.start[here][1:] == runs.stop[here][:-1]) & (runs.step[here][1:] == runs.step[here][:-1])
        assert not joined.any()


@UNTIMED
@given(STEPS)
def test_shapes_are_counted_by_step_then_by_first_pixel(steps):
    """Numbers rise with the step, and within a step with the place of the first pixel."""
    runs = find_runs(steps)
    shape = painted(runs, np.arange(len(runs.area_px)), np.full(steps.shape, -1))
    _, first = np.unique(shape.ravel(), return_index=True)
    order = [(int(steps.ravel()[at]), int(at)) for at in first]
    assert order == sorted(order)


@UNTIMED
@given(STEPS)
def test_borders_are_the_pixel_sides_shared(steps):
    """Every pair of shapes that touch, with the number of sides between their pixels."""
    runs = find_runs(steps)
    shape = painted(runs, np.arange(len(runs.area_px)), np.full(steps.shape, -1))
    sides = [*zip(shape[:, 1:].ravel(), shape[:, :-1].ravel(), strict=True)]
    sides += zip(shape[1:].ravel(), shape[:-1].ravel(), strict=True)
    expected = Counter((int(min(pair)), int(max(pair))) for pair in sides if pair[0] != pair[1])
    found = {(a, b): n for a, b, n in zip(*(column.tolist() for column in borders(runs)), strict=True)}
    assert found == dict(expected)
    assert list(found) == sorted(found)
