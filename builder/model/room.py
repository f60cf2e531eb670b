"""The ground and the backdrop round the model: one surface turned about the vertical."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.arrays import Bools, Floats
from builder.model.normals import Shaded
from builder.model.triangles import Indices

RADIUS_IN_SIZES = 8.0
"""The room's least radius, in sizes of the model."""
ROOM_FOR_REACH = 1.2
"""The room's radius over the distance of the farthest eye or lamp."""
COVE = 0.45
"""Radius of the quarter circle between ground and wall, in radii of the room."""
WALL = 1.0
"""Height of the wall, in radii of the room."""
CELL = 1 / 60
"""Longest edge round the plinth and under it, in sizes of the model: a plinth with corners leaves ground open inside
the circle round it."""
SECTORS = 192
"""Parts of a turn: cells of 1/60 size at half a size from the middle."""


@dataclass(frozen=True, slots=True, eq=False)
class Room:
    """Ground and backdrop; ``ground`` (m,) marks the faces of the level ground; ``radius_mm`` to the wall."""

    surface: Shaded
    ground: Bools
    radius_mm: float


def room(size_mm: float, outline_mm: float, ground_mm: float, reach_mm: float) -> Room:
    """The room round a model of this greatest extent.

    ``outline_mm`` is the radius of the circle round the plinth, ``ground_mm`` the height of the ground, ``reach_mm``
    how far the farthest eye or lamp stands from the middle. The surface is seen and lit from inside: normals point up
    and inwards. The ground is level to within :data:`COVE` of the wall, rises in a quarter circle, and the wall stands
    to :data:`WALL` radii over the ground.
    """
    radius = max(RADIUS_IN_SIZES * size_mm, ROOM_FOR_REACH * reach_mm, 3 * outline_mm)
    rings, level = _profile(size_mm, outline_mm, radius)
    angle = 2 * np.pi * np.arange(SECTORS) / SECTORS
    turn = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    out, up, lean = rings[:, 0], rings[:, 1] + ground_mm, rings[:, 2]
    vertices = np.concatenate(
        [[[0.0, 0.0, ground_mm]], _spun(turn, out, up)],
    )
    normals = np.concatenate([[[0.0, 0.0, 1.0]], _spun(turn, -np.sin(lean), np.cos(lean))])
    faces = _fan_and_bands(len(rings))
    surface = Shaded(vertices, faces, normals, np.arange(len(vertices)))
    inner = SECTORS + 2 * SECTORS * (level - 1)
    ground = np.arange(len(faces)) < inner
    return Room(surface, ground, radius)


def _profile(size: float, outline: float, radius: float) -> tuple[Floats, int]:
    """(k, 3) rings from the middle outwards: distance from the axis, height over the ground, lean of the normal from
    the vertical in radians; and how many of them are level.
    """
    cove = COVE * radius
    flat = radius - cove
    cell = CELL * size
    # outwards from the circle round the plinth the cells grow with the distance
    grow = 1 + 2 * np.pi / SECTORS
    start = min(outline, flat / 2)
    inward = np.linspace(0.0, start, max(2, int(np.ceil(start / cell))) + 1)[1:-1]
    outward = [start]
    step = cell
    while outward[-1] + 1.5 * step < flat:
        outward.append(outward[-1] + step)
        step = max(cell, min(step * 1.1, outward[-1] * (grow - 1)))
    level = [*inward.tolist(), *outward, flat]
    bends = max(8, int(np.ceil(cove * np.pi / 2 / (flat * (grow - 1)))))
    lean = np.linspace(0.0, np.pi / 2, bends + 1)[1:]
    bend = np.stack([flat + cove * np.sin(lean), cove * (1 - np.cos(lean)), lean], axis=1)
    rows = max(4, int(np.ceil((WALL * radius - cove) / (2 * radius * (grow - 1)))))
    rise = np.linspace(cove, WALL * radius, rows + 1)[1:]
    wall = np.stack([np.full(rows, radius), rise, np.full(rows, np.pi / 2)], axis=1)
    ground = np.stack([np.array(level), np.zeros(len(level)), np.zeros(len(level))], axis=1)
    return np.concatenate([ground, bend, wall]), len(level)


def _spun(turn: Floats, out: Floats, up: Floats) -> Floats:
    """(k SECTORS, 3) points at distances ``out`` (k,) from the axis and heights ``up`` (k,), ring after ring."""
    flat = out[:, None, None] * turn[None]
    height = np.broadcast_to(up[:, None, None], (len(up), len(turn), 1))
    return np.concatenate([flat, height], axis=2).reshape(-1, 3)


def _fan_and_bands(rings: int) -> Indices:
    """Faces of the disc inside the first ring, then of the bands between rings, counter-clockwise from inside."""
    here = np.arange(SECTORS)
    after = (here + 1) % SECTORS
    fan = np.stack([np.zeros(SECTORS, np.int64), 1 + here, 1 + after], axis=1)
    bands = [fan]
    for ring in range(rings - 1):
        inner, outer = 1 + ring * SECTORS, 1 + (ring + 1) * SECTORS
        a, b, c, d = inner + here, outer + here, outer + after, inner + after
        bands += [np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)]
    return np.concatenate(bands)
