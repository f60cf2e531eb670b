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
