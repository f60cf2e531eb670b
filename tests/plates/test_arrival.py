"""How near pixels lie to the light."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from builder.form.footing import Footing
from builder.model.model import Part
from builder.plates.arrival import LEAST_TURN_DEG, nearness
from tests.plates.known_light import disc_lamp

SMALL = disc_lamp(np.zeros(3), 0.0, 90.0, 1000.0, 10.0)
LARGE = disc_lamp(np.zeros(3), 0.0, 90.0, 1000.0, 150.0)


def struck_at(angles_deg, key=1.0, lamp=SMALL, light=False):
    """Nearness of pixels at the origin whose surface the lamp overhead strikes at these angles; -90 is facing away."""
    angles = np.radians(np.asarray(angles_deg, float))[None]
    normal = np.stack([np.cos(angles), np.zeros_like(angles), np.sin(angles)], axis=-1)
    footing = Footing(np.full(angles.shape, Part.MODEL), np.zeros_like(normal), normal)
    arrives = np.broadcast_to(np.asarray(key, "f4"), angles.shape)
    return nearness(lamp, footing, arrives, np.ones(angles.shape, "f4"), np.full(angles.shape, light))[0]


def test_the_light_is_near_itself():
    """Pixels of the light family have 1, whatever arrives."""
    assert (struck_at([-80, 0, 30, 90], 0.0, light=True) == 1.0).all()


@pytest.mark.parametrize(("arrives", "near"), [(0.0, 0.0), (0.1, 0.2), (0.25, 0.5), (0.5, 1.0)])
def test_a_penumbra_runs_from_the_middle_to_its_end(arrives, near):
    """Where the surface faces the lamp the family ends at half of it: twice what arrives."""
    assert struck_at([90.0, 20.0], arrives) == pytest.approx([near, near], abs=1e-6)


@pytest.mark.parametrize(("lamp", "width_deg"), [(SMALL, LEAST_TURN_DEG), (LARGE, np.degrees(np.arcsin(0.15)))])
def test_past_a_terminator_it_falls_with_the_turn(lamp, width_deg):
    """From 1 at the terminator to 0 at three degrees, or half the width of a large lamp; half-way it is a half; and it
    falls all the way."""
    sines = np.sin(np.radians(width_deg)) * np.linspace(-1.2, 0.0, 121)
    near = struck_at(np.degrees(np.arcsin(sines)), 1.0, lamp)
    assert near[-1] == pytest.approx(1.0, abs=1e-6) and (near[:20] == 0.0).all()
    assert near[70] == pytest.approx(0.5, abs=1e-3)
    assert (np.diff(near[20:]) > -1e-6).all()


def test_where_a_cast_shadow_runs_into_a_form_shadow_there_is_no_rim():
    """In the umbra of something else the terminator is not near the light at all, on neither side."""
    assert (struck_at([-2.0, -0.1, 0.1, 2.0], 0.0) == 0.0).all()


def test_both_soft_edges_meet_without_a_step():
    """Across the terminator, whatever arrives."""
    for arrives in (0.1, 0.3, 0.6):
        before, after = struck_at([-1e-4, 1e-4], arrives)
        assert before == pytest.approx(after, abs=1e-4)


def test_a_window_is_as_wide_as_the_mean_of_its_sides():
    """A rectangle of half-sides 100 and 200 seen from 1000 away is like a disc of radius 150."""
    window = replace(LARGE, shape="rectangle", across=np.array([100.0, 0, 0]), along=np.array([0, 200.0, 0]))
    angles = np.linspace(-12, 6, 50)
    assert struck_at(angles, lamp=window) == pytest.approx(struck_at(angles, lamp=LARGE), abs=1e-5)
