"""Where one surface hides another."""

from __future__ import annotations

import numpy as np
import pytest

from builder.form.footing import find_footing
from builder.model.model import Part
from builder.plates.tears import REACH_PX, torn
from tests.plates.known_light import eye_at, look
from tests.scenes import Piece, ball, box, scene_model, sheet

SIZE = 200


def seen(*pieces: Piece, bearing: float = 0.0, level: float = 0.0, half_height: float = 125.0):
    model = scene_model(*pieces)
    eye = eye_at(np.zeros(3), bearing, level, 2000.0, half_height, (SIZE, SIZE))
    return find_footing(model, look(model, eye)), eye


def everywhere() -> np.ndarray:
    x, y = np.meshgrid(np.arange(1.0, SIZE), np.arange(1.0, SIZE))
    return np.stack([x.ravel(), y.ravel()], axis=1)


def test_a_ball_is_whole_up_to_its_contour():
    """A smooth form is torn nowhere but at its outline, however steeply it is seen there."""
    footing, eye = seen(ball(100.0, 5))
    places = everywhere()
    radius = np.hypot(*(places - SIZE / 2).T)
    contour = 100.0 / 125.0 * SIZE / 2 / np.sqrt(1 - 0.05**2)
    found = torn(footing, eye, places)
    assert not found[radius < contour - 1.5 * REACH_PX - 1].any()
    assert found[abs(radius - contour) < 0.5].all()
    assert not found[radius > contour + 1.5 * REACH_PX + 1].any()


@pytest.mark.parametrize("bearing", [20.0, 45.0, 83.0])
def test_an_edge_between_two_planes_is_whole(bearing):
    """Both faces of a cube belong to one surface, though its edge is sharp and one of them is seen at a slant."""
    footing, eye = seen(box(120, 120, 120, Part.MODEL).moved(0, 0, -60), bearing=bearing)
    b = np.radians(bearing)
    edge = np.array([60.0, -60.0]) @ np.array([np.cos(b), np.sin(b)]), np.array([60.0, -60.0]) @ (-np.sin(b), np.cos(b))
    x = SIZE / 2 + edge[0] * 2000.0 / (2000.0 + edge[1]) * SIZE / 250
    places = np.stack([np.full(60, x), np.arange(70.0, 130.0)], axis=1)
    assert set(np.unique(footing.part[70:130, int(x) - 3 : int(x) + 3])) == {Part.MODEL}
    assert not torn(footing, eye, places).any()


@pytest.mark.parametrize(("gap", "hides"), [(20.0, True), (0.2, False)])
def test_a_step_in_depth_is_torn(gap, hides):
    """A card before a wall tears it along its edges when it stands off by many pixels, not by a fraction of one."""
    card, wall = (
        sheet(size, size, 0, 1, Part.MODEL).turned(np.pi / 2, 0, 0).moved(0, y, 0) for size, y in ((80, -gap), (240, 0))
    )
    footing, eye = seen(card, wall)
    edge = SIZE / 2 + 40 * SIZE / 250
    places = np.stack([np.full(40, edge), np.arange(80.0, 120.0)], axis=1)
    assert torn(footing, eye, places).all() == hides
    assert torn(footing, eye, places).any() == hides
    assert not torn(footing, eye, places - (REACH_PX + 3, 0)).any()


def test_parts_are_torn_from_each_other():
    """Where the sculpture meets its ground there is a tear, though nothing lies between them in depth."""
    footing, eye = seen(box(100, 100, 100, Part.MODEL).moved(0, 0, -50), sheet(1000, 1000, -100), level=30.0)
    change = np.flatnonzero(np.diff(footing.part[:, SIZE // 2].astype(int)))
    lowest = float(change[-1] + 1)
    assert torn(footing, eye, np.array([[SIZE / 2, lowest], [SIZE / 2, lowest + REACH_PX + 2]])).tolist() == [
        True,
        False,
    ]


def test_places_outside_the_picture_are_whole():
    """The picture's edge is no tear."""
    footing, eye = seen(sheet(4000, 4000, 0, 1, Part.MODEL).turned(np.pi / 2, 0, 0))
    corners = np.array([[0.0, 0.0], [SIZE, 0.0], [SIZE, SIZE], [-5.0, 20.0]])
    assert not torn(footing, eye, corners).any()
