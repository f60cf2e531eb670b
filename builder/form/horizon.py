"""Where the horizon falls in a view: the height of the eye."""

from __future__ import annotations

import numpy as np

from builder.camera.projection import project
from builder.camera.sight import Eye

STRAIGHT_DEG = 89.0
"""An eye that looks more steeply up or down than this has no horizon worth drawing."""


def horizon_px(eye: Eye) -> float | None:
    """Height in the picture, y in px, at which every level plane through the eye is seen; outside the picture below 0
    or above its height. None for an eye that looks straight up or down. The eye's own right is level.
    """
    ahead = -eye.world_from_camera[:3, 2]
    flat = ahead * (1.0, 1.0, 0.0)
    if np.hypot(flat[0], flat[1]) < np.cos(np.radians(STRAIGHT_DEG)):
        return None
    # any point level with the eye is seen there, however near
    return float(project(eye, (eye.position + flat)[None])[0][0, 1])
