"""The mirror plane, against bodies whose plane is known by construction."""

from __future__ import annotations

import json
from dataclasses import asdict

import numpy as np
import pytest
import trimesh
from scipy.spatial.transform import Rotation

from builder.arrays import Floats
from builder.model.model import Model, Part
from builder.model.symmetry import Symmetry, symmetry_of
from tests.scenes import ball, box, scene_model, smooth


def head(swell: float = 0.0) -> tuple[Floats, np.ndarray]:
    """A long ball with a nose and two hollows, its own mirror image about x = 0; ``swell`` raises one cheek, mm."""
    mesh = trimesh.creation.icosphere(subdivisions=5)
    unit = np.array(mesh.vertices)
    x, y, z = unit.T
    radius = 100 + 25 * np.exp(-18 * (x**2 + (y + 1) ** 2 + z**2))
    radius = radius - 12 * np.exp(-30 * ((np.abs(x) - 0.4) ** 2 + (y + 0.8) ** 2 + (z - 0.35) ** 2))
    radius = radius + swell * np.exp(-10 * ((x - 0.7) ** 2 + (y + 0.7) ** 2 + z**2))
    return unit * radius[:, None] * (0.8, 0.95, 1.2), np.array(mesh.faces)


def turned(turn_deg: float, lean_deg: float, moved: tuple[float, float, float], swell: float = 0.0) -> Model:
    vertices, faces = head(swell)
    turn = Rotation.from_euler("yz", [lean_deg, turn_deg], degrees=True).as_matrix()
    return scene_model(smooth(Part.MODEL, vertices @ turn.T + moved, faces))


@pytest.mark.parametrize(("turn_deg", "lean_deg"), [(0.0, 0.0), (12.0, 4.0), (-25.0, 10.0), (40.0, -15.0)])
def test_a_turned_and_leaning_body(turn_deg: float, lean_deg: float) -> None:
    """Closed form: the plane's normal is x turned with the body. Found within 0.1 degrees and 0.1 mm."""
    moved = (7.0, -11.0, 130.0)
    found = symmetry_of(turned(turn_deg, lean_deg, moved))
    normal = Rotation.from_euler("yz", [lean_deg, turn_deg], degrees=True).as_matrix()[:, 0]
    normal = normal if normal[0] > 0 else -normal
    assert np.degrees(np.arccos(min(1.0, normal @ found.normal))) < 0.1
    assert abs((np.array(found.point) - moved) @ normal) < 0.1
    assert found.holds and found.rms_mm < 0.1 and found.most_mm < 0.2


def test_the_plane_stands_upright_on_the_form() -> None:
    """Its own up axis lies in the plane, leans as the body does, and points on it are their own mirror images."""
    found = symmetry_of(turned(0.0, 10.0, (0.0, 0.0, 130.0)))
    assert abs(found.up @ np.array(found.normal)) < 1e-12
    assert np.degrees(np.arccos(found.up[2])) == pytest.approx(10.0, abs=0.1)
    points = np.random.default_rng(5).normal(size=(20, 3)) * 100
    assert np.allclose(found.off_mm(found.mirrored(points)), -found.off_mm(points))
    assert np.allclose(found.mirrored(found.mirrored(points)), points)


def test_what_is_not_alike_is_measured() -> None:
    """A body with a ball on either side, one of them d too high: the body holds the plane, and both balls miss by d.

    A sphere against itself moved by d lies |d cos| off, evenly spread from 0 to d: rms d/sqrt(3) (CHECKS.md section 5,
    'unit sphere shifted'). So the whole misses by that times the root of the balls' share f of the area, and 5 in 100
    of all points by more than d (1 - 0.05/f).
    """
    d, radius = 6.0, 25.0
    vertices, faces = head()
    body = smooth(Part.MODEL, vertices + np.array([0.0, 0.0, 130.0]), faces)
    balls = [ball(radius, 4).moved(150, 0, 130 + d), ball(radius, 4).moved(-150, 0, 130)]
    found = symmetry_of(scene_model(body, *balls))
    assert np.degrees(np.arccos(found.normal[0])) < 0.1 and abs(found.point[0]) < 0.1
    area = trimesh.Trimesh(vertices, faces).area
    share = 8 * np.pi * radius**2 / (area + 8 * np.pi * radius**2)
    assert share > 0.08
    assert found.rms_mm == pytest.approx(d / np.sqrt(3) * np.sqrt(share), rel=0.05)
    assert found.most_mm == pytest.approx(d * (1 - 0.05 / share), abs=0.05 * d)


def test_one_cheek_swollen() -> None:
    """A local swelling hardly moves the plane, and the miss grows in step with it."""
    misses = []
    for swell in (6.0, 12.0):
        found = symmetry_of(turned(0.0, 0.0, (0.0, 0.0, 130.0), swell))
        assert np.degrees(np.arccos(found.normal[0])) < 0.5 and abs(found.point[0]) < 0.5
        misses.append(found.rms_mm)
    assert misses[1] / misses[0] == pytest.approx(2.0, rel=0.1)


def test_a_body_with_many_planes_keeps_the_front() -> None:
    """A ball and a box are mirrored by x = 0 among others: that one is named."""
    for piece in (ball(100, 4).moved(3, 0, 100), box(120, 80, 200, Part.MODEL, cells=20).moved(3, 0, 0)):
        found = symmetry_of(scene_model(piece))
        assert np.degrees(np.arccos(found.normal[0])) < 0.1 and found.point[0] == pytest.approx(3.0, abs=0.1)


def test_a_body_without_one() -> None:
    """Two balls of different sizes, far apart along a slanting line, with a box to the side: no plane is claimed."""
    pieces = [ball(60, 4).moved(-70, 10, 60), ball(30, 4).moved(60, -60, 150)]
    pieces.append(box(40, 30, 90, Part.MODEL, cells=8).moved(70, 80, 0))
    assert not symmetry_of(scene_model(*pieces)).holds


def test_plain_numbers_and_the_same_every_time() -> None:
    """It goes through JSON unchanged, and a second search gives the same to the last bit."""
    model = turned(12.0, 4.0, (0.0, 0.0, 130.0))
    found = symmetry_of(model)
    assert found == symmetry_of(model)
    read = json.loads(json.dumps(asdict(found)))
    assert Symmetry(**(read | {"normal": tuple(read["normal"]), "point": tuple(read["point"])})) == found
