"""The light when the sculpture is exchanged: as if the new one had been solved for, under the old lamps."""

from __future__ import annotations

import numpy as np
import pytest

from builder.light.exchanged import body_looks, exchanged
from builder.light.solve import solve
from builder.light.transport import gather
from builder.model.tracer import Tracer
from builder.study.description import Finish, Lamp, Length, Lighting
from tests.planes.known_planes import box_planes, planes_scene
from tests.scenes import room

LAMP = Lamp(50.0, 40.0, Length(4.0, True), "disc", Length(0.3, True), Length(0.3, True))
LIGHTING = Lighting("lamp", "Lamp", LAMP, ambient_stops=-3.0)
LARGE = ((-50.0, -50.0, 0.0), (50.0, 50.0, 100.0))
SMALL = ((-49.0, -49.0, 0.0), (49.0, 49.0, 98.0))


@pytest.fixture(scope="module")
def both():
    """A cube and one a little smaller in one room: the light on the first, and on the second by either way."""
    around = room(900.0, 0.0, 600.0)
    large, small = planes_scene(box_planes(LARGE), *around), planes_scene(box_planes(SMALL), *around)
    before = solve(large.model, LIGHTING, Finish(), gather(large.model))
    tracer = Tracer(small.model.scene)
    now = exchanged(small.model, before, LIGHTING.ambient_stops, body_looks(small.model, tracer), tracer)
    return before, small, now, solve(small.model, LIGHTING, Finish(), gather(small.model))


def test_lamps_and_exposure_stay(both):
    """So that planes and sculpture can be compared value by value."""
    before, _, now, _ = both
    assert now.facts.exposure == before.facts.exposure and now.emitters == before.emitters
    assert now.backdrop == before.backdrop


def plane_means(broken, light):
    faces = broken.model.scene.faces[: broken.model.body_faces]
    owner = np.repeat(broken.plane_of_face, 3)
    return np.bincount(owner, light[faces].ravel()) / np.bincount(owner)


def test_each_plane_gets_the_light_of_a_solution_of_its_own(both):
    """Light from elsewhere within 4 % of it, and on planes that the lamp reaches all the light within 1 %, plane by
    plane; the base, which nobody sees, is left out."""
    _, small, now, anew = both
    indirect, whole = plane_means(small, now.indirect)[1:], plane_means(small, anew.indirect)[1:]
    assert np.abs(indirect / whole - 1.0).max() < 0.04
    all_now = plane_means(small, now.indirect + now.direct[0])[1:]
    all_anew = plane_means(small, anew.indirect + anew.direct[0])[1:]
    lit = plane_means(small, anew.direct[0])[1:] > 0.01
    assert lit.sum() == 3 and np.abs(all_now[lit] / all_anew[lit] - 1.0).max() < 0.01


def test_the_new_body_casts_its_own_shadow(both):
    """On the ground the light straight from the lamp is that of the solution, but for the number of lamp points."""
    _, small, now, anew = both
    rest = small.model.body_vertices
    dark = anew.direct[0, rest:] < 0.5 * anew.open[0, rest:]
    off = np.abs(now.direct[0, rest:] - anew.direct[0, rest:]) / anew.open[0, rest:].max()
    assert dark.sum() > 20 and off.max() < 0.1


def test_it_is_the_same_every_time(both):
    """Made twice, it is the same to the bit."""
    before, small, now, _ = both
    tracer = Tracer(small.model.scene)
    again = exchanged(small.model, before, LIGHTING.ambient_stops, body_looks(small.model, tracer), tracer)
    assert np.array_equal(again.indirect, now.indirect) and np.array_equal(again.direct, now.direct)
