"""The profile's lead between contours and beyond them."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import LinearRing, Polygon

from builder.sections.loft import lofted
from builder.sections.profiled import BESIDE
from builder.sections.sliced import level, upright
from tests.sections.shapes import ROUND, TURN, box, farthest, mesh_of, stack

SWOLLEN = np.array([[40.0, 0.0], [40.0, 60.0], [-40.0, 60.0], [-50.0, 30.0], [-40.0, 0.0]])
"""40 mm to the back, in front 50 half-way up."""


def test_the_surface_goes_where_the_profile_goes() -> None:
    """Two discs of 40 mm with that profile: in its plane the form is the profile's (to a grid step of 0.33 mm)."""
    body = lofted(stack([40 * ROUND, 40 * ROUND], [0, 60], SWOLLEN))
    cut = upright(body, 0.01)
    assert LinearRing(SWOLLEN).segmentize(0.5).hausdorff_distance(cut.geoms[0].exterior.segmentize(0.5)) <= 0.33
    for height, front in ((15.0, -45.0), (30.0, -50.0), (45.0, -45.0)):
        assert level(body, height).bounds[1] == pytest.approx(front, abs=0.1)


def test_beside_it_and_at_the_contours_nothing_changes() -> None:
    """The contours are kept within 0.1 mm; from the stated width on, the form is what it is without a profile."""
    sections = stack([40 * ROUND, 40 * ROUND], [0, 60], SWOLLEN)
    led, plain = lofted(sections), lofted(stack([40 * ROUND, 40 * ROUND], [0, 60]))
    assert max(farthest(led, contour) for contour in sections.contours) <= 0.1
    wide = BESIDE * 60
    for height in (10.0, 30.0):
        beside = [level(body, height).difference(Polygon(box(2 * wide, 200))).area for body in (led, plain)]
        assert beside[0] == pytest.approx(beside[1], rel=2e-4)
        assert level(led, height).area > level(plain, height).area + 10


def test_an_undercut_in_the_profile_is_followed() -> None:
    """A ledge between two contours, as under a nose: the profile goes back 20 mm at once, and the form with it."""
    profile = np.array([[30, 0], [30, 80], [-50, 80], [-50, 45], [-30, 44], [-30, 0]], float)
    body = lofted(stack([box(60, 60), box(60, 80, 0, -10)], [0, 80], profile))
    cut = upright(body, 0.01)
    assert mesh_of(body).is_watertight
    assert cut.symmetric_difference(Polygon(profile)).area <= 0.01 * Polygon(profile).area


def test_caps_narrow_as_the_profile_does() -> None:
    """A hemisphere of 60 mm over one pair of close contours: sections drawn in evenly are the ball's own, r^2 = R^2 -
    z^2 (textbook), to 0.3 mm up to 50 mm.
    """
    radius = 60.0
    profile = radius * np.stack([np.cos(TURN), np.sin(TURN).clip(0)], axis=1)
    profile = profile[np.concatenate([[True], np.linalg.norm(np.diff(profile, axis=0), axis=1) > 0])]
    profile = profile[: len(TURN) // 2 + 1]
    body = lofted(stack([radius * ROUND, np.sqrt(radius**2 - 25) * ROUND], [0, 5], profile))
    assert mesh_of(body).is_watertight
    for height in (20.0, 35.0, 50.0):
        left, front, right, back = level(body, height).bounds
        wide = np.sqrt(radius**2 - height**2)
        assert [-left, -front, right, back] == pytest.approx([wide] * 4, abs=0.3)
