"""How smooth the joined surface is: against closed forms, at the contours, at the profile's ends and at a flat back."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from builder.arrays import Floats
from builder.sections.loft import lofted
from builder.sections.sections import Contour, Sections
from builder.sections.sliced import Body, level, sliced
from tests.sections.shapes import ROUND, ROUND_SHARE, TURN, farthest, mesh_of, stack

STEPS = 150


def folds(body: Body, low: float, high: float, within: float, beyond: float = 0.0) -> Floats:
    """(n,) degrees by which neighbouring faces turn, between two heights and two distances from x = 0."""
    mesh = mesh_of(body)
    ends = mesh.vertices[mesh.face_adjacency_edges]
    middle = ends.mean(axis=1)
    areas = mesh.area_faces[mesh.face_adjacency].min(axis=1)
    aside = np.abs(middle[:, 0])
    chosen = (middle[:, 2] > low) & (middle[:, 2] < high) & (aside < within) & (aside > beyond)
    chosen &= areas > 1e-3
    return np.degrees(mesh.face_adjacency_angles[chosen])


def ripple(seed: float) -> Floats:
    """A relief's outline with a ridge: half a slab 60 mm wide and 12 deep, with a bell of ``seed`` mm on it."""
    x = np.linspace(-30.0, 30.0, 121)
    front = np.column_stack([x, -2.0 - seed * np.exp(-np.square(x / 8.0))])
    return np.concatenate([front, [[30.0, 10.0], [-30.0, 10.0]]])


def ridge(height: float) -> float:
    """How far the bell stands out at a height: a smooth hump over 90 mm."""
    return float(16.0 * np.exp(-np.square((height - 40.0) / 28.0)))


HEIGHTS = np.linspace(0.0, 90.0, 13).tolist()


def relief() -> Sections:
    profile_z = np.linspace(0.0, 90.0, 181)
    front = np.column_stack([[-2.0 - ridge(z) for z in profile_z], profile_z])
    ring = np.concatenate([front[::-1], [[10.0, 0.0], [10.0, 90.0]]])
    contours = tuple(Contour(n, z, (ripple(ridge(z)),)) for n, z in enumerate(HEIGHTS, 1))
    return Sections(contours, ring, 0.0, 10.0)


@pytest.fixture(scope="module")
def lofted_relief() -> Body:
    return lofted(relief(), STEPS)


def test_a_ridge_on_a_slab_is_as_smooth_as_its_formula(lofted_relief: Body) -> None:
    """y = -2 - 16 exp(-((z - 40) / 28)^2) exp(-(x / 8)^2) by 13 contours and its profile: normals against the gradient.

    Straight walls between the contours, h = 7.5 mm apart, would miss the crest by h^2 |y''| / 8 = 7.5^2 * 16 * 2 / 28^2
    / 8 = 0.29 mm and lean wrong by up to h |y''| / 2, 8.7 degrees; a fair surface comes to a fifth of both.
    """
    mesh = mesh_of(lofted_relief)
    x, y, z = mesh.triangles_center.T
    bell = 16.0 * np.exp(-np.square((z - 40.0) / 28.0)) * np.exp(-np.square(x / 8.0))
    true = np.column_stack([2.0 * x / 64.0 * bell, -np.ones(len(x)), 2.0 * (z - 40.0) / 784.0 * bell])
    true /= np.linalg.norm(true, axis=1)[:, None]
    face = (np.abs(x) < 28.0) & (y < 0.0) & (z > 0.5) & (z < 89.5) & (mesh.area_faces > 1e-4)
    off = np.degrees(np.arccos((mesh.face_normals * true).sum(axis=1).clip(-1, 1)))[face]
    away = np.abs(y + 2.0 + bell)[face]
    assert np.quantile(off, 0.95) <= 1.75
    assert np.quantile(away, 0.95) <= 0.057


def test_the_profile_leaves_no_nick_at_any_contour(lofted_relief: Body) -> None:
    """Near the profile's plane no two faces turn by more than the ridge itself does from corner to corner of a cell of
    0.6 mm, 0.6 sqrt(2) / R with R = 8^2 / (2 * 16) = 2 mm at its sharpest: 24.3 degrees.
    """
    for low, high in ((0.2, 8.0), (30.0, 50.0), (82.0, 89.8)):
        assert folds(lofted_relief, low, high, 25.0).max() <= 24.3


def block() -> Sections:
    """The plain block of the lesson on contours: five points at three heights, an edge down its middle."""
    rows = ((0.0, -18.0, -28.0), (40.0, -22.0, -40.0), (80.0, -14.0, -22.0))
    contours = tuple(
        Contour(n, z, (np.array([[-30.0, 10.0], [-20.0, side], [0.0, front], [20.0, side], [30.0, 10.0]]),))
        for n, (z, side, front) in enumerate(rows, 1)
    )
    return Sections(contours, np.array([[-22.0, 80], [-40, 40], [-28, 0], [10, 0], [10, 80]]), 0.0, 10.0)


def test_the_profile_leaves_no_nick_at_the_first_and_last_contour() -> None:
    """Beside the edge down the middle of a plain block its faces are flat: near both ends no two turn by 10 degrees."""
    body = lofted(block(), STEPS)
    for low, high in ((0.5, 20.0), (60.0, 79.5)):
        assert folds(body, low, high, 15.0, 2.0).max() <= 10.0


def test_a_relief_ends_sharp_at_its_back_and_base(lofted_relief: Body) -> None:
    """All points behind lie in the plane y = 10; the box round the form is the slab's, its edges are straight."""
    body = lofted_relief
    mesh = mesh_of(body)
    assert mesh.is_watertight
    assert mesh.bounds[1, 1] == 10.0
    assert mesh.bounds[:, 2].tolist() == [0.0, 90.0]
    edge = body.vertices[(body.vertices[:, 1] == 10.0) & (body.vertices[:, 0] < -29.5)]
    assert np.abs(edge[:, 0].min() + 30.0) <= 1e-3
    # a place on the upright edge at least each millimetre of height
    upright = np.sort(edge[edge[:, 0] < -30.0 + 1e-3, 2])
    assert np.diff(upright).max() <= 1.0
    assert max(farthest(body, contour) for contour in relief().contours) <= 0.1


def test_a_ball_does_not_swell_and_turns_evenly() -> None:
    """Of 100 mm by 15 contours without a profile.

    Between two contours no farther out than the greater of them and a third of a millimetre (the ball itself swells by
    h^2 / 8R = 0.2 mm at its belly), nowhere farther off than straight walls (0.22 mm, up to 0.4 where they lean), and
    no terrace: from the belly on every section is less than the last.
    """
    heights = np.linspace(-90.0, 90.0, 15)
    rings = [np.sqrt(100.0**2 - z**2) * ROUND for z in heights]
    body = lofted(stack(rings, heights.tolist()), STEPS)
    vertices = body.vertices
    away = np.hypot(vertices[:, 0], vertices[:, 1])
    gap = np.searchsorted(heights, vertices[:, 2]).clip(1, 14)
    greater = np.maximum(np.sqrt(1e4 - heights[gap] ** 2), np.sqrt(1e4 - heights[gap - 1] ** 2))
    assert (away - greater).max() <= 0.35
    middle = np.abs(vertices[:, 2]) < 70.0
    assert np.abs(np.linalg.norm(vertices[middle], axis=1) - 100.0).max() <= 0.4
    upwards = np.linspace(0.5, 88.5, 45)
    for way in (upwards, -upwards):
        radii = np.sqrt([level(body, float(height)).area / (np.pi * ROUND_SHARE) for height in way])
        assert np.diff(radii).max() <= 0.0


@pytest.mark.parametrize("wide", [4.0, 30.0])
def test_upright_flutes_stay_as_they_are(wide: float) -> None:
    """A prism of a wavy outline is the same at every height: fairing leaves it alone (to a tenth of a mm)."""
    ring = (40.0 + wide / 10.0 * np.cos(8 * TURN))[:, None] * np.stack([np.cos(TURN), np.sin(TURN)], axis=1)
    body = lofted(stack([ring] * 4, [0, 11, 37, 60]), STEPS)
    turn = np.arctan2(body.vertices[:, 1], body.vertices[:, 0])
    side = (body.vertices[:, 2] > 0.01) & (body.vertices[:, 2] < 59.99)
    away = np.hypot(body.vertices[:, 0], body.vertices[:, 1]) - (40.0 + wide / 10.0 * np.cos(8 * turn))
    assert np.abs(away[side]).max() <= 0.1


def test_a_bent_tube_is_round_between_its_contours() -> None:
    """A torus of R 80, r 20 mm, the quarter from upright to 53 degrees, by 12 contours: 95 of 100 places within a
    twentieth of r's tenth, 0.1 mm, of the closed form away from the flat ends.
    """
    mesh = trimesh.creation.torus(80.0, 20.0, major_sections=512, minor_sections=256)
    points = np.asarray(mesh.vertices)[:, [0, 2, 1]] * (1, -1, 1)
    whole = sliced(points, mesh.faces, np.linspace(0.0, 55.0, 12).tolist(), -80.0)
    left = [
        Contour(one.number, one.height_mm, tuple(ring for ring in one.rings if ring[:, 0].max() < 0))
        for one in whole.contours
    ]
    body = lofted(Sections(tuple(left)), STEPS)
    x, y, z = body.vertices[(body.vertices[:, 2] > 0.01) & (body.vertices[:, 2] < 54.99)].T
    off = np.abs(np.hypot(np.hypot(x, z) - 80.0, y) - 20.0)
    assert np.quantile(off, 0.95) <= 0.1
