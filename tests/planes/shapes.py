"""Models of known shape to break up, and what must hold of any result."""

from __future__ import annotations

import numpy as np
import trimesh

from builder.arrays import Floats, Ints
from builder.model.model import Model, Part
from builder.planes.planes import PlaneLevels, Planes
from tests.scenes import scene_model, smooth

CUBE = np.array([(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], float)
OCTAHEDRON = np.concatenate([np.eye(3), -np.eye(3)])
DODECAHEDRON = np.array(trimesh.creation.icosahedron().triangles_center)


def model_of(vertices: Floats, faces: Ints) -> Model:
    return scene_model(smooth(Part.MODEL, np.asarray(vertices, float), np.asarray(faces)))


def solid(corners: Floats, noise: float = 0.0, radius: float = 100.0, times: int = 3) -> tuple[Model, Floats]:
    """A convex solid cut fine, its points shaken by ``noise`` diagonals, and its true corners."""
    hull = trimesh.convex.convex_hull(corners * (radius / np.linalg.norm(corners, axis=1).max()))
    vertices, faces = np.array(hull.vertices), np.array(hull.faces)
    for _ in range(times):
        vertices, faces = trimesh.remesh.subdivide(vertices, faces)
    size = np.linalg.norm(np.ptp(vertices, axis=0))
    shaken = vertices + noise * size * np.random.default_rng(3).normal(size=vertices.shape)
    return model_of(shaken, faces), np.array(hull.vertices)


def ball(stretch: tuple[float, float, float], subdivisions: int = 3) -> Model:
    mesh = trimesh.creation.icosphere(subdivisions=subdivisions)
    return model_of(np.array(mesh.vertices) * stretch, mesh.faces)


def bumpy_ball(seed: int, height: float, mirrored: bool) -> Model:
    """A ball of 100 mm with hollows and swellings that change with the seed, up to 28 mm times ``height``."""
    random = np.random.default_rng(seed)
    mesh = trimesh.creation.icosphere(subdivisions=4)
    unit = np.array(mesh.vertices)
    at = unit.copy()
    if mirrored:
        at[:, 0] = np.abs(at[:, 0])
    x, y, z = (at @ np.linalg.qr(random.normal(size=(3, 3)))[0]).T
    start, often = random.uniform(0.0, 2 * np.pi, 4), random.uniform(0.8, 1.2, 4)
    wide = np.sin(5 * often[0] * x + start[0]) * np.sin(4 * often[1] * y + start[1])
    fine = np.sin(9 * often[2] * z + start[2]) * np.cos(7 * often[3] * x + start[3])
    swell = 1.0 + height * (0.18 * wide + 0.10 * fine)
    return model_of(unit * (100.0 * swell)[:, None], mesh.faces)


def farthest_corner(planes: Planes, corners: Floats) -> float:
    """How far the farthest of the true corners lies from the nearest of the planes' own."""
    apart = np.linalg.norm(corners[:, None] - planes.vertices[None], axis=2)
    return float(apart.min(axis=1).max())


def mesh_of(planes: Planes) -> trimesh.Trimesh:
    return trimesh.Trimesh(planes.vertices, planes.faces, process=False)


def check_whole(levels: PlaneLevels, euler: int = 2) -> None:
    """Closed, wound one way, of the right genus; no plane lost, none without a parent, parents none without a child."""
    for planes in levels.levels:
        mesh = mesh_of(planes)
        assert mesh.is_watertight and mesh.is_winding_consistent
        assert mesh.euler_number == euler
        assert mesh.volume > 0
        assert np.unique(planes.plane).tolist() == list(range(planes.count))
        assert np.allclose(np.linalg.norm(planes.normals, axis=1), 1.0)
    assert set(levels.big.parent.tolist()) == {-1}
    assert set(levels.middle.parent.tolist()) == set(range(levels.big.count))
    assert set(levels.small.parent.tolist()) == set(range(levels.middle.count))


def check_flat(planes: Planes) -> None:
    """Every plane is flat to a two-thousandth of the body's greatest extent, 0.15 mm in 300, and nowhere folded over.

    The first is ours (no source); corners are taken as they are drawn, against the plane that is nearest to them.
    """
    allowed = 5e-4 * float(np.ptp(planes.vertices, axis=0).max())
    for plane in range(planes.count):
        corners = planes.vertices[np.unique(planes.faces[planes.plane == plane])]
        off = corners - corners.mean(axis=0)
        normal = np.linalg.svd(off)[2][2]
        assert np.abs(off @ normal).max() <= allowed
        assert np.abs(off @ planes.normals[plane]).max() <= 2 * allowed
    assert planes.bulges_mm().max() <= 2 * allowed
    a, b, c = (planes.vertices[planes.faces[:, k]] for k in range(3))
    along = np.einsum("ij,ij->i", np.cross(b - a, c - a), planes.normals[planes.plane]) / 2
    assert -along.clip(max=0.0).sum() <= 1e-4 * planes.areas_mm2.sum()


def widths_mm(planes: Planes) -> Floats:
    """(k,) twice the area of each plane over the length of its outline."""
    outline = np.zeros(planes.count)
    for plane in range(planes.count):
        faces = planes.faces[planes.plane == plane]
        sides = {(int(i), int(j)) for face in faces for i, j in zip(face, np.roll(face, -1), strict=True)}
        for i, j in sides:
            if (j, i) not in sides:
                outline[plane] += np.linalg.norm(planes.vertices[i] - planes.vertices[j])
    return 2 * planes.areas_mm2 / outline


def check_no_slivers(planes: Planes, wanted: int, times: float = 1.0) -> None:
    """No plane is narrower than a twentieth of the size of a plane, the root of its share of the area, nor smaller than
    a hundredth of that share. ``times``: how much more faces count in the zone, where planes are so much smaller.
    """
    share = float(planes.areas_mm2.sum()) / wanted / np.sqrt(times)
    assert widths_mm(planes).min() >= 0.05 * np.sqrt(share)
    assert planes.areas_mm2.min() >= 0.01 * share


def check_counted(levels: PlaneLevels, counts: tuple[int, int, int]) -> None:
    """As many planes as were asked for, to a twentieth or to one (ours, no source), and none a sliver."""
    assert len(levels.levels) == len(counts)
    for planes, wanted in zip(levels.levels, counts, strict=True):
        assert abs(planes.count - wanted) <= max(0.05 * wanted, 1)
        check_no_slivers(planes, wanted)
