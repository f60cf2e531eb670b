"""The slab that the sculpture stands on."""

from __future__ import annotations

import numpy as np

from builder.arrays import Bools, Floats
from builder.model.model import Surface
from builder.model.normals import Shaded, shaded
from builder.model.tessellate import cut
from builder.model.tracer import Tracer
from builder.model.triangles import Indices, Triangles
from builder.study.description import Stand

THICKNESS = 0.06
"""In sizes of the model: 18 mm under one of 300 mm."""
MARGIN = 0.05
"""How far the slab reaches past the model's outline, in sizes of the model: 15 mm round one of 300 mm."""
CELL = 1 / 60
"""Longest edge on the slab, in sizes of the model."""
FINE_CELL = 1 / 140
"""Longest edge beside the line where the model meets the slab: there the light changes fastest."""
NEAR = 1 / 40
"""How far from that line the fine cells reach, in sizes of the model."""
CONTACT = 1 / 100
"""The model meets the slab where it is no higher over it than this, in its sizes."""


def plinth_mm(stand: Stand, size_mm: float) -> float:
    """The slab's thickness."""
    return THICKNESS * size_mm if stand.plinth_mm is None else stand.plinth_mm


def plinth(body: Shaded, stand: Stand, size_mm: float) -> Shaded | None:
    """The slab under a model, its top at z = 0; ``None`` for a thickness of 0."""
    thick = plinth_mm(stand, size_mm)
    if thick <= 0:
        return None
    margin = MARGIN * size_mm if stand.margin_mm is None else stand.margin_mm
    low, high = body.vertices[:, :2].min(axis=0) - margin, body.vertices[:, :2].max(axis=0) + margin
    corners = np.array([[x, y, z] for z in (-thick, 0.0) for x in (low[0], high[0]) for y in (low[1], high[1])])
    tracer = Tracer(Surface(body.vertices, body.faces, body.normals, np.zeros(len(body.faces), np.uint8)))

    def limit(middle: Floats) -> Floats:
        top = middle[:, 2] == 0.0
        fine = np.zeros(len(middle), np.bool_)
        fine[top] = _beside_contact(tracer, middle[top], size_mm)
        return np.where(fine, FINE_CELL * size_mm, CELL * size_mm)

    return cut(shaded(Triangles(corners, _box_faces()), 40.0), limit, unseen=np.arange(12) < 2)


def _beside_contact(tracer: Tracer, points: Floats, size_mm: float) -> Bools:
    """(n,) whether the model's foot covers some but not all of the slab round each point of its top."""
    angle = 2 * np.pi * np.arange(8) / 8
    ring = NEAR * size_mm * np.stack([np.cos(angle), np.sin(angle), np.zeros(8)], axis=1)
    around = np.concatenate([[[0.0, 0.0, 0.0]], ring])
    below = (points[:, None] + around - (0.0, 0.0, CONTACT * size_mm)).reshape(-1, 3).astype(np.float32)
    up = np.tile(np.array([[0.0, 0.0, 1.0]], np.float32), (len(below), 1))
    reach = np.full(len(below), 2 * CONTACT * size_mm, np.float32)
    covered = tracer.blocked(below, up, reach).reshape(len(points), len(around))
    return np.asarray(covered.any(axis=1) & ~covered.all(axis=1))


def _box_faces() -> Indices:
    """(12, 3) faces of a box whose corners are numbered z, then x, then y, low before high; the bottom's two first."""
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    return np.array([t for a, b, c, d in quads for t in ((a, b, c), (a, c, d))])
