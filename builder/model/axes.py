"""From a file's unit and axes to millimetres and the model frame: x to its left, y to its back, z up."""

from __future__ import annotations

import numpy as np

from builder.arrays import Floats
from builder.errors import ModelError, Problem
from builder.model.triangles import Triangles
from builder.study.description import Axis, MeshSource

MM_PER_UNIT = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
"""Millimetres in each unit a study may name; the inch by definition since 1959."""


def axis_vector(axis: Axis) -> Floats:
    """(3,) unit vector of a signed axis."""
    vector = np.zeros(3)
    vector["xyz".index(axis[1])] = -1.0 if axis[0] == "-" else 1.0
    return vector


def model_from_file(source: MeshSource, where: str) -> Floats:
    """(3, 3) proper rotation that takes the file's axes to the model frame, the true front to bearing 0.

    Raises :class:`ModelError` where ``up`` and ``front`` lie along one axis.
    """
    up, front = axis_vector(source.up), axis_vector(source.front)
    if source.up[1] == source.front[1]:
        others = ", ".join(f"{sign}{letter}" for letter in "xyz" if letter != source.up[1] for sign in "+-")
        raise ModelError(
            Problem(
                where,
                f"cannot have up along {source.up} and front along {source.front}: they are one axis",
                f"with up {source.up} the front may be {others}",
            )
        )
    back = -front
    by_axes = np.stack([np.cross(back, up), back, up])
    cos, sin = np.cos(np.radians(source.turn_deg)), np.sin(np.radians(source.turn_deg))
    # the bearing b lies in direction (sin b, -cos b), and goes to (0, -1)
    front_first: Floats = np.array([[cos, sin, 0.0], [-sin, cos, 0.0], [0.0, 0.0, 1.0]])
    return front_first @ by_axes


def in_millimetres(triangles: Triangles, source: MeshSource, where: str) -> Triangles:
    """The triangles in mm and turned into the model frame, wherever they lie."""
    turn = model_from_file(source, where)
    return Triangles(triangles.vertices @ turn.T * MM_PER_UNIT[source.unit], triangles.faces)


def standing(triangles: Triangles, height_mm: float | None) -> Triangles:
    """The triangles scaled to their true height, their lowest point at z = 0 and their bounding box centred over the
    origin; ``height_mm`` ``None`` keeps their size.
    """
    low, high = triangles.vertices.min(axis=0), triangles.vertices.max(axis=0)
    scale = 1.0 if height_mm is None else height_mm / (high[2] - low[2])
    under = np.array([(low[0] + high[0]) / 2, (low[1] + high[1]) / 2, low[2]])
    placed = (triangles.vertices - under) * scale
    return Triangles(placed, triangles.faces)
