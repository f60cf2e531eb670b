"""Straight lines for edges inside the form."""

from __future__ import annotations

import numpy as np
from shapely import LineString

from builder.form.inner_lines import straight_inner

FRAME = np.array([(0.0, 0.0), (600.0, 0.0), (600.0, 600.0), (0.0, 600.0)])


def arc(radius: float, from_deg: float, to_deg: float) -> np.ndarray:
    turn = np.radians(np.linspace(from_deg, to_deg, 400))
    return radius * np.stack([np.cos(turn), np.sin(turn)], axis=1) + 300


def test_an_arc_takes_as_few_pieces_as_its_sagitta_allows():
    """A chord of half-angle a leaves an arc by R (1 - cos a): 180 degrees at R = 200 within 5 px
    take eight pieces, seven being just too long."""
    line = arc(200, 0, 180)
    (few,) = straight_inner([line], [FRAME], 50, 3, 5.0)
    most_half = np.arccos(1 - 5.0 / 200)
    assert len(few) - 1 == np.ceil(np.pi / (2 * most_half)) == 8
    assert LineString(line).hausdorff_distance(LineString(few)) < 5.1
    np.testing.assert_allclose(few[[0, -1]], line[[0, -1]])


def test_short_ones_and_doubles_are_left_out_longest_come_first():
    """A second line 3 px beside the first, one along the frame and a short one go."""
    first, beside, short, other = arc(200, 0, 180), arc(197, 10, 170), arc(100, 0, 10), arc(90, 0, 120)
    along = np.stack([np.linspace(50, 550, 100), np.full(100, 5.0)], axis=1)
    found = straight_inner([short, other, along, beside, first], [FRAME], 50, 8, 4.0)
    assert len(found) == 2
    np.testing.assert_allclose(found[0][0], first[0])
    np.testing.assert_allclose(found[1][0], other[0])
    assert len(straight_inner([other, first], [FRAME], 50, 1, 4.0)) == 1
