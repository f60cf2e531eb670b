"""Solids with straight edges, seen from anywhere, and where their corners are seen."""

from __future__ import annotations

import numpy as np
import trimesh

from builder.arrays import Floats
from builder.camera.projection import project
from builder.camera.sight import Eye
from builder.form.looked import Looked, look_at
from builder.model.model import Part
from tests.plates.known_light import eye_at, look
from tests.scenes import Piece, scene_model

CORNERS = {
    "cube": np.array([(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], float),
    "octahedron": np.concatenate([np.eye(3), -np.eye(3)]),
    "icosahedron": np.array(trimesh.creation.icosahedron().vertices),
}


def solid(corners: Floats, radius: float = 100.0) -> Piece:
    """The convex solid of some corners, each face flat, its farthest corner ``radius`` from the origin."""
    mesh = trimesh.convex.convex_hull(corners * (radius / np.linalg.norm(corners, axis=1).max()))
    mesh.unmerge_vertices()
    return Piece(Part.MODEL, np.array(mesh.vertices), np.array(mesh.faces), np.array(mesh.vertex_normals))


def seen(
    *pieces: Piece,
    bearing_deg: float = 0.0,
    level_deg: float = 0.0,
    size: tuple[int, int] = (600, 750),
    distance: float = 1e5,
) -> Looked:
    """Pieces seen by an eye aimed at the origin, from far away unless told otherwise, whose picture spans 150 mm up and
    down there."""
    model = scene_model(*pieces)
    eye = eye_at(np.zeros(3), bearing_deg, level_deg, distance, 150.0, size)
    return look_at(model, look(model, eye))


def places(eye: Eye, piece: Piece) -> Floats:
    """Where the corners of a piece are seen, px."""
    return project(eye, piece.vertices)[0]
