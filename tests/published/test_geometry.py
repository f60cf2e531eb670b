"""Our geometry against values that are published or follow in closed form; the source stands beside each check."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from builder.model.clean import mended
from builder.model.normals import corner_angles, shaded
from builder.model.reduce import farthest
from builder.model.tessellate import cut
from builder.model.triangles import Triangles, edges_of


def of(mesh: trimesh.Trimesh) -> Triangles:
    return Triangles(mesh.vertices, mesh.faces)


# Archimedes, On the Sphere and Cylinder: V = 4/3 pi R^3, A = 4 pi R^2. An icosahedron whose faces are cut in four n
# times falls short of them by these shares, in per cent (computed with trimesh 5.2.0, a quarter at each step).
@pytest.mark.parametrize(
    ("times", "volume_short", "area_short"),
    [(2, 3.3839, 1.882), (3, 0.8606, 0.4765), (4, 0.2161, 0.1195), (5, 0.0541, 0.0299)],
)
def test_volume_and_area_of_spheres(times: int, volume_short: float, area_short: float) -> None:
    # a ball standing anywhere: the divergence theorem does not mind
    ball = trimesh.creation.icosphere(subdivisions=times).apply_translation((30.0, -7.0, 2.0))
    surface = of(ball)
    assert 100 * (1 - surface.volumes().sum() / (4 / 3 * np.pi)) == pytest.approx(volume_short, abs=6e-5)
    assert 100 * (1 - surface.areas().sum() / (4 * np.pi)) == pytest.approx(area_short, abs=6e-4)


def test_volume_and_area_of_a_torus() -> None:
    # Pappus of Alexandria: V = 2 pi^2 R r^2, A = 4 pi^2 R r; R = 1, r = 0.4 on 256 x 128 faces falls short by 0.05 %
    surface = of(trimesh.creation.torus(1.0, 0.4, major_sections=256, minor_sections=128))
    assert surface.volumes().sum() == pytest.approx(3.158273 * (1 - 0.00050), rel=2e-5)
    assert surface.areas().sum() == pytest.approx(15.791367, rel=5e-4)


# Regular solids round the unit sphere, volume over that of the sphere: Euclid, Elements XIII; values from the edge
# lengths there. Planes: 4, 6, 8, 12, 20.
SOLIDS = {
    4: (np.array([(1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)], float), 3.30797),
    6: (np.array([(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], float), 1.90986),
    8: (np.concatenate([np.eye(3), -np.eye(3)]), 1.65399),
    12: (trimesh.creation.icosahedron().triangles_center, 1.32503),
    20: (trimesh.creation.icosahedron().vertices, 1.20657),
}


@pytest.mark.parametrize("planes", SOLIDS)
def test_regular_solids_keep_their_volume_and_planes_when_cut_fine(planes: int) -> None:
    # the insphere is the unit sphere, so volume and area are in the same ratio to those of the sphere
    corners, ratio = SOLIDS[planes]
    hull = trimesh.convex.convex_hull(corners)
    inner = np.einsum("ij,ij->i", hull.face_normals, hull.triangles_center).min()
    fine = cut(shaded(Triangles(hull.vertices / inner, hull.faces), 40.0), 0.2)
    surface = Triangles(fine.vertices, fine.faces)
    assert surface.volumes().sum() / (4 / 3 * np.pi) == pytest.approx(ratio, abs=1e-5)
    assert surface.areas().sum() / (4 * np.pi) == pytest.approx(ratio, abs=1e-5)
    assert len(np.unique(fine.normals.round(6) + 0.0, axis=0)) == planes


@pytest.mark.parametrize(
    ("mesh", "characteristic"),
    [
        (trimesh.creation.box((3, 4, 5)), 2),
        (trimesh.creation.icosphere(subdivisions=3), 2),
        (trimesh.creation.cone(2.0, 5.0, sections=31), 2),
        (trimesh.creation.torus(1.0, 0.4, major_sections=40, minor_sections=20), 0),
    ],
    ids=["box", "ball", "cone", "torus"],
)
def test_euler_and_descartes(mesh: trimesh.Trimesh, characteristic: int) -> None:
    # Euler: V - E + F = 2 - 2 g. Descartes (Gauss-Bonnet on polyhedra): the angle defects add up to 2 pi times that
    surface = of(mesh)
    edges = edges_of(surface)
    assert edges.closed
    assert len(surface.vertices) - len(edges.ends) + len(surface.faces) == characteristic
    around = np.bincount(surface.faces.ravel(), corner_angles(surface).ravel())
    assert (2 * np.pi - around).sum() == pytest.approx(2 * np.pi * characteristic, abs=1e-9)


def test_a_ball_cut_below_and_closed_flat_lacks_a_spherical_cap() -> None:
    # cap of height h: V = pi h^2 (3 R - h) / 3, area 2 pi R h, lid pi h (2 R - h) (Archimedes); R = 1, h = 0.02 scaled
    # to a model of 300 mm. The lid is told as the hollow underside.
    radius, height = 150.0, 10.0
    ball = trimesh.creation.icosphere(subdivisions=6, radius=radius)
    # pushing the points of the cap up against the plane would keep it closed; cutting them off leaves it open
    open_ball = trimesh.intersections.slice_mesh_plane(ball, [0, 0, 1], [0, 0, height - radius], cap=False)
    open_ball.merge_vertices(digits_vertex=6)
    clean = mended(Triangles(open_ball.vertices, open_ball.faces), "ball")
    assert edges_of(clean.triangles).closed
    assert [notice.text.split(" closed flat")[0] for notice in clean.notices] == ["one hole in the underside"]
    cap = np.pi * height**2 * (3 * radius - height) / 3
    assert clean.triangles.volumes().sum() == pytest.approx(4 / 3 * np.pi * radius**3 - cap, rel=2e-4)
    lid = clean.triangles.areas().sum() - open_ball.area
    assert lid == pytest.approx(np.pi * height * (2 * radius - height), rel=2e-3)


def test_distance_between_balls() -> None:
    # by definition of the Hausdorff distance: concentric balls of 1 and 1.01 are 0.01 apart; a ball moved by 0.02 is
    # 0.02 from where it was, within the sagitta of its faces
    ball = trimesh.creation.icosphere(subdivisions=5)
    assert farthest(1.01 * ball.vertices, of(ball)) == pytest.approx(0.01, abs=1e-12)
    assert farthest(ball.vertices + np.array([0.02, 0.0, 0.0]), of(ball)) == pytest.approx(0.02, abs=2e-4)
