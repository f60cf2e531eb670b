"""The report on a mesh file, against invented bodies whose facts are known by construction."""

from __future__ import annotations

from itertools import permutations, product
from pathlib import Path

import numpy as np
import pytest
import trimesh
from PIL import Image

from builder.errors import ModelError
from builder.model.axes import axis_vector
from builder.model.facing import facings
from builder.model.inspected import inspect_mesh, likely_ways
from builder.model.sides_picture import sides_picture, write_picture
from builder.model.thin import thin_places
from builder.model.triangles import Triangles
from builder.study.description import Axis


def bust() -> trimesh.Trimesh:
    """A long ball with a nose towards -y, cut flat below: up +z, front -y, mirrored by x = 0."""
    mesh = trimesh.creation.icosphere(subdivisions=5)
    x, y, z = np.array(mesh.vertices).T
    radius = 100 + 25 * np.exp(-18 * (x**2 + (y + 1) ** 2 + z**2))
    radius = radius - 12 * np.exp(-30 * ((np.abs(x) - 0.4) ** 2 + (y + 0.8) ** 2 + (z - 0.35) ** 2))
    points = np.array(mesh.vertices) * radius[:, None] * (0.8, 0.95, 1.2)
    points[:, 2] = np.maximum(points[:, 2], -80.0)
    return trimesh.Trimesh(points, mesh.faces)


TURNS = [
    np.diag(signs) @ np.eye(3)[list(order)]
    for order, signs in product(permutations(range(3)), product((1, -1), repeat=3))
    if np.linalg.det(np.diag(signs) @ np.eye(3)[list(order)]) > 0
]


@pytest.mark.parametrize("turn", TURNS[::4])
def test_up_and_front_are_among_the_guesses(turn: np.ndarray) -> None:
    """However the axes are exchanged, the true way is named."""
    mesh = bust()
    ways = facings(Triangles(np.array(mesh.vertices) @ turn.T, np.array(mesh.faces)))
    named = [(axis_vector(way.up).tolist(), axis_vector(way.front).tolist()) for way in ways]
    assert ((turn @ (0, 0, 1)).tolist(), (turn @ (0, -1, 0)).tolist()) in named


def test_a_hole_at_the_back_and_a_file_in_metres(tmp_path: Path) -> None:
    """A round hole of 15 mm radius at the back, about half-way up; 0.2 units tall without a unit is metres."""
    mesh = bust()
    middles = mesh.triangles_center
    gap = (middles[:, 1] > 0) & (np.hypot(middles[:, 0], middles[:, 2] - 10) < 15)
    mesh.update_faces(~gap)
    mesh.apply_scale(0.001)
    path = tmp_path / "b.ply"
    mesh.export(path)
    found = inspect_mesh(path, up="+z", front="-y")
    assert found.unit == "m" and found.size_mm[2] == pytest.approx(200, abs=1)
    (hole,) = found.holes
    assert hole.place == "at the back, half-way up"
    assert hole.across_mm == pytest.approx(30, rel=0.1)
    # 94 mm round at the least, more than a quarter of the size: no small hole, so it stays open
    assert hole.round_mm > 2 * np.pi * 14 and not hole.closes and not found.closed
    assert found.symmetry.rms_mm < 1.0 and found.thin.places == ()
    # nothing was mended, so the surface is where it was
    assert found.moved_mm < 1e-6


def test_a_slab_is_thin(tmp_path: Path) -> None:
    """A box of 100 x 1 x 200 mm: its two large sides, 40,000 of 40,600 mm2, are 1 mm apart."""
    path = tmp_path / "slab.ply"
    trimesh.creation.box((100, 1, 200)).subdivide().export(path)
    found = inspect_mesh(path, "mm", "+z", "-y")
    assert found.thin.share == pytest.approx(40_000 / 40_600, abs=0.002)
    assert found.thin.least_mm == pytest.approx(1.0, abs=0.01)


def test_two_plates_are_two_thin_places(tmp_path: Path) -> None:
    """A box of 100 mm with plates of 30 x 1 x 30 mm on its left, high, and on its right, low, as one solid."""
    block = trimesh.creation.box((100, 100, 100))
    left = trimesh.creation.box((30, 1, 30), trimesh.transformations.translation_matrix((65, 0, 30)))
    right = trimesh.creation.box((30, 1.5, 30), trimesh.transformations.translation_matrix((-65, 0, -30)))
    body = trimesh.util.concatenate([block, left, right])
    vertices, faces = np.array(body.vertices), np.array(body.faces)
    thin = thin_places(Triangles(vertices, faces.astype(np.int32)))
    assert [(one.place, round(one.thick_mm, 2)) for one in sorted(thin.places, key=lambda one: one.thick_mm)] == [
        ("on its left, high", 1.0),
        ("on its right, low", 1.5),
    ]
    # two sides of 30 x 30 mm each, of 60,000 + 2 (2 x 900) + rims 120 + 180 mm2 in all; nothing else is thin
    assert thin.share == pytest.approx(3600 / (60_000 + 3600 + 4 * 30 * 2.5), abs=0.005)
    assert all(one.across_mm == pytest.approx(30, abs=2) for one in thin.places)


@pytest.mark.parametrize("turn_deg", [-40, 15, 30])
def test_a_bust_that_looks_between_the_axes_is_turned(tmp_path: Path, turn_deg: int) -> None:
    """Turned about z by an angle, its front goes from (0, -1) to (sin a, -cos a): that is the bearing of its front."""
    mesh = bust()
    mesh.apply_transform(trimesh.transformations.rotation_matrix(np.radians(turn_deg), (0, 0, 1)))
    ways = facings(Triangles(np.array(mesh.vertices), np.array(mesh.faces)))
    turns = {(way.up, way.front): way.turn_deg for way in ways}
    assert turns["+z", "-y"] == pytest.approx(turn_deg, abs=1.0)
    assert any(f"it looks {abs(turns['+z', '-y']):.0f}°" in reason for way in ways for reason in way.reasons)


def test_the_plane_of_symmetry_is_found(tmp_path: Path) -> None:
    """The bust, mirrored by x = 0, leant by 8 degrees to its left and read by the axes: its plane leans as much."""
    mesh = bust()
    mesh.apply_transform(trimesh.transformations.rotation_matrix(np.radians(8), (0, 1, 0)))
    path = tmp_path / "b.ply"
    mesh.export(path)
    one = inspect_mesh(path, "mm", "+z", "-y").symmetry
    assert one.holds and one.rms_mm < 0.5
    assert np.degrees(np.arcsin(abs(one.normal[2]))) == pytest.approx(8, abs=0.2)
    assert abs(one.normal[1]) < 0.005


def test_up_and_front_along_one_axis_are_one_sentence(tmp_path: Path) -> None:
    path = tmp_path / "b.ply"
    bust().export(path)
    with pytest.raises(ModelError, match=r"cannot have up along \+z and front along -z: they are one axis"):
        inspect_mesh(path, "mm", "+z", "-z")


@pytest.mark.parametrize("axis", ["+x", "+z"])
def test_either_axis_alone_is_enough(tmp_path: Path, axis: Axis) -> None:
    path = tmp_path / "b.ply"
    bust().export(path)
    assert inspect_mesh(path, "mm", up=axis).up == axis
    assert inspect_mesh(path, "mm", front=axis).front == axis


@pytest.mark.parametrize(("suffix", "unit"), [("3mf", "mm"), ("glb", "m")])
def test_a_format_with_a_unit_is_read_in_it(tmp_path: Path, suffix: str, unit: str) -> None:
    """3MF says millimeter; glTF 2.0 prescribes metres (section 3.4). Neither is guessed from the size."""
    mesh = bust()
    mesh.apply_scale(1 / 10)
    mesh.units = "millimeter"
    path = tmp_path / f"b.{suffix}"
    mesh.export(path)
    assert likely_ways(path)[0] == unit


def test_a_file_that_is_not_our_picture_stays(tmp_path: Path) -> None:
    """A photograph that happens to have the picture's name is not written over; a picture of ours is."""
    mesh, picture = tmp_path / "b.ply", tmp_path / "b-views.png"
    bust().export(mesh)
    Image.new("L", (4, 4)).save(picture)
    before = picture.read_bytes()
    found = sides_picture(inspect_mesh(mesh))
    with pytest.raises(ModelError, match=r"not a picture that `castwalk inspect` made; give another name with --pic"):
        write_picture(found, picture, mesh)
    assert picture.read_bytes() == before
    picture.unlink()
    write_picture(found, picture, mesh)
    write_picture(found, picture, mesh)
    assert picture.read_bytes() == found


def test_the_picture_never_takes_the_place_of_the_mesh(tmp_path: Path) -> None:
    path = tmp_path / "b.ply"
    bust().export(path)
    before = path.read_bytes()
    picture = sides_picture(inspect_mesh(path))
    with pytest.raises(ModelError, match="is the mesh itself; give the picture another name"):
        write_picture(picture, path, path)
    assert path.read_bytes() == before
    write_picture(picture, tmp_path / "v.png", path)
    assert (tmp_path / "v.png").read_bytes() == picture and len(list(tmp_path.iterdir())) == 2
