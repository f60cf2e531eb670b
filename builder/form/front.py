"""The view from straight in front, as far away as the eye of a view: what every view is compared with."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from builder.camera.projection import project
from builder.camera.sight import Eye
from builder.model.model import Model

Box = tuple[float, float, float, float]
"""Left, top, right and bottom, px."""


def front_eye(eye: Eye, model: Model) -> Eye:
    """The eye at bearing 0 and level with the model's middle, at the same distance and with the same picture."""
    matrix = np.eye(4)
    # x to the right of the picture is the model's left, and the eye looks along +y, to the model's back
    matrix[:3, :3] = [[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]
    matrix[:3, 3] = model.middle_mm - (0.0, eye.distance_mm, 0.0)
    return replace(eye, position=matrix[:3, 3], world_from_camera=matrix)


def outline_box(model: Model, eye: Eye) -> Box | None:
    """The box round the sculpture's outline, px; None when part of it is not before the eye.

    Of the sculpture alone: what stands before it is not looked at.
    """
    places, depth = project(eye, model.scene.vertices[: model.body_vertices])
    if not (depth > 0).all():
        return None
    (left, top), (right, bottom) = places.min(axis=0), places.max(axis=0)
    return float(left), float(top), float(right), float(bottom)
