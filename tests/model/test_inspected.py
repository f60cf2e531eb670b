"""The report on a mesh file, against invented bodies whose facts are known by construction."""

from __future__ import annotations

from itertools import permutations, product
from pathlib import Path

import numpy as np
import pytest
import trimesh

from builder.errors import ModelError
from builder.model.axes import axis_vector
from builder.model.facing import facings
from builder.model.inspected import inspect_mesh
from builder.model.sides_picture import sides_picture, write_picture
from builder.model.triangles import Triangles


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
    assert found.mirror_mm < 1.0 and found.thin.place is None
    # nothing was mended, so the surface is where it was
    assert found.moved_mm < 1e-6


def test_a_slab_is_thin(tmp_path: Path) -> None:
    """A box of 100 x 1 x 200 mm: its two large sides, 40,000 of 40,600 mm2, are 1 mm apart."""
    path = tmp_path / "slab.ply"
    trimesh.creation.box((100, 1, 200)).subdivide().export(path)
    found = inspect_mesh(path, "mm", "+z", "-y")
    assert found.thin.share == pytest.approx(40_000 / 40_600, abs=0.002)
    assert found.thin.least_mm == pytest.approx(1.0, abs=0.01)


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
