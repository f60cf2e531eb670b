"""Bodies of our own that the guess at up and front was not tuned on, as they stand: up +z, front -y."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import trimesh
from scipy.spatial.transform import Rotation

from builder.arrays import Floats
from builder.model.triangles import Corners, Triangles

MODELS = Path(__file__).parents[2] / "models"


def demo(name: str) -> Triangles:
    """A demo model, z up and -y in front as its study says."""
    mesh = trimesh.load_mesh(MODELS / name / f"{name}.ply")
    return Triangles(np.asarray(mesh.vertices, np.float64), np.asarray(mesh.faces, np.int32))


def _ball() -> tuple[Floats, Corners]:
    ball = trimesh.creation.icosphere(subdivisions=5)
    return np.array(ball.vertices), np.array(ball.faces)


def head() -> Triangles:
    """An egg on a neck, cut level below: two sunken eyes, a nose and a mouth in front, ears at its sides."""
    at, faces = _ball()
    x, y, z = at.T
    reach = 100.0 + 16 * np.exp(-30 * (x**2 + (y + 1) ** 2 + (z + 0.05) ** 2))
    reach -= 9 * np.exp(-60 * ((np.abs(x) - 0.33) ** 2 + (y + 0.9) ** 2 + (z - 0.25) ** 2))
    reach -= 5 * np.exp(-20 * x**2 - 400 * (z + 0.4) ** 2) * (y < 0)
    reach += 9 * np.exp(-80 * ((np.abs(x) - 1) ** 2 + y**2 + z**2))
    points = at * reach[:, None] * (0.8, 1.0, 1.25)
    # the lower part is drawn in to a neck and cut
    neck = np.clip((-points[:, 2] - 70) / 30, 0.0, 1.0)
    points[:, :2] *= (1 - 0.35 * neck)[:, None]
    points[:, 2] = np.maximum(points[:, 2], -112.0)
    return Triangles(points, faces)


def shoe(side: float = 1.0) -> Triangles:
    """A lopsided shoe, its toe in front and turned to one side, its sole flat, an opening sunk in behind its laces."""
    at, faces = _ball()
    x, y, z = at.T
    points = at * (45.0, 130.0, 60.0)
    points[:, 2] *= np.where(y > -0.1, 1.25, 1.25 + 0.9 * (y + 0.1))
    points[:, 0] += side * 16 * np.clip(-y, 0.0, 1.0) ** 2
    points[:, 0] *= 1 + 0.25 * np.clip(-y - 0.2, 0.0, 1.0)
    points[:, 2] -= 40 * np.exp(-8 * (x**2 + (y - 0.35) ** 2)) * (z > 0)
    points[:, 2] += 2.5 * np.sin(60 * y) * np.exp(-30 * x**2) * ((y < 0.0) & (y > -0.6) & (z > 0))
    points[:, 2] = np.maximum(points[:, 2], -30.0)
    return Triangles(points, faces)


def seated() -> Triangles:
    """A seated form of balls run into one another: trunk, head, two knees and two feet in front, on a flat base."""
    at, faces = _ball()
    knobs = [((0, 0, 0.9), 0.35), ((0.5, -0.85, 0.0), 0.3), ((-0.5, -0.85, 0.0), 0.3)]
    knobs += [((0.5, -0.7, -0.6), 0.25), ((-0.5, -0.7, -0.6), 0.25)]
    reach = np.full(len(at), 80.0)
    for place, wide in knobs:
        away = np.linalg.norm(at - np.array(place) / np.linalg.norm(place), axis=1)
        reach += 55 * np.exp(-((away / wide) ** 2))
    points = at * reach[:, None] * (0.9, 0.8, 1.2)
    points[:, 2] = np.maximum(points[:, 2], -75.0)
    return Triangles(points, faces)


def turned(body: Triangles, seed: int) -> tuple[Triangles, Floats, Floats]:
    """A body as a file may hold it: its axes exchanged, turned on its base by up to 40 degrees, leant by up to 4; and
    its true up and front (3,) there.
    """
    generator = np.random.default_rng(seed)
    turns = Rotation.create_group("O")
    onto_axes = turns[int(generator.integers(len(turns)))]
    by_hand = Rotation.from_euler("z", generator.uniform(-40, 40), degrees=True)
    lean = Rotation.from_rotvec(np.radians(generator.uniform(-4, 4)) * np.array([1.0, 0.0, 0.0]))
    turn = (onto_axes * lean * by_hand).as_matrix()
    return Triangles(body.vertices @ turn.T, body.faces), turn[:, 2], -turn[:, 1]
