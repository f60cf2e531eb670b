"""Small scenes made by hand, so that what is seen can be known beforehand."""

import os

import numpy as np
import pytest
import trimesh

from builder.camera.finder import Unavailable
from builder.model.model import Model, ModelFacts, Part, Surface


def stand(body, closed=True, plinth_mm=20.0, margin_mm=20.0, room_mm=None):
    """A Model of a trimesh in the model frame, its base at z = 0, on a slab in a round room open to the sky."""
    width, depth, height = body.extents
    size = max(body.extents)
    pieces = [(body, Part.MODEL)]
    if plinth_mm:
        slab = trimesh.creation.box((width + 2 * margin_mm, depth + 2 * margin_mm, plinth_mm))
        pieces.append((slab.apply_translation((0, 0, -plinth_mm / 2)), Part.PLINTH))
    room = room_mm or 6 * size
    turn = np.linspace(0, 2 * np.pi, 65)[:-1]
    ring = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    floor = np.vstack([np.zeros((1, 2)), ring * room])
    fan = [(0, 1 + i, 1 + (i + 1) % 64) for i in range(64)]
    ground = trimesh.Trimesh(np.column_stack([floor, np.full(65, -plinth_mm)]), fan, process=False)
    pieces.append((ground, Part.GROUND))
    low, high = np.full(64, -plinth_mm), np.full(64, room)
    wall = np.vstack([np.column_stack([ring * room, low]), np.column_stack([ring * room, high])])
    sides = [(i, 64 + i, (i + 1) % 64) for i in range(64)] + [
        ((i + 1) % 64, 64 + i, 64 + (i + 1) % 64) for i in range(64)
    ]
    pieces.append((trimesh.Trimesh(wall, sides, process=False), Part.BACKDROP))
    starts = np.cumsum([0] + [len(piece.vertices) for piece, _ in pieces])
    scene = Surface(
        vertices=np.vstack([piece.vertices for piece, _ in pieces]),
        faces=np.vstack([piece.faces + start for (piece, _), start in zip(pieces, starts, strict=False)]),
        normals=np.tile([0.0, 0.0, 1.0], (starts[-1], 1)),
        parts=np.concatenate([np.full(len(piece.faces), part) for piece, part in pieces]),
    )
    facts = ModelFacts(width, depth, height, len(body.faces), len(body.faces), body.area, None, closed, 0, 0.0)
    return Model("hand", scene, len(body.faces), len(body.vertices), -plinth_mm, facts, ())


def head():
    """A smooth egg with a nose: something with a contour, hollows and nothing straight."""
    ball = trimesh.creation.icosphere(subdivisions=5, radius=1.0)
    x, y, z = ball.vertices.T
    swell = (
        1 + 0.25 * np.exp(-((x / 0.15) ** 2 + ((y + 1) / 0.4) ** 2 + ((z + 0.1) / 0.3) ** 2)) + 0.03 * np.sin(9 * z) * x
    )
    points = ball.vertices * swell[:, None] * [80, 100, 130]
    points[:, :2] -= (points[:, :2].max(axis=0) + points[:, :2].min(axis=0)) / 2
    points[:, 2] -= points[:, 2].min()
    return trimesh.Trimesh(points, ball.faces, process=False)


@pytest.fixture(scope="session")
def make_model():
    return stand


@pytest.fixture(scope="session")
def head_model():
    return stand(head())


@pytest.fixture(scope="session")
def graphics():
    """Skips where OpenGL cannot be used, unless the full check asks for it: then its absence is a failure."""
    os.environ.setdefault("PYOPENGL_PLATFORM", "egl")
    os.environ.setdefault("PYGLET_HEADLESS", "True")
    try:
        from builder.camera.raster import RasterFinder

        RasterFinder(stand(trimesh.creation.icosphere(subdivisions=1, radius=50.0))).close()
    except (ImportError, AttributeError, OSError, Unavailable) as error:
        if os.environ.get("CASTWALK_REQUIRE_GL") == "1":
            pytest.fail(f"CASTWALK_REQUIRE_GL is set and OpenGL cannot be used: {error}")
        pytest.skip(f"OpenGL cannot be used here: {error}")
