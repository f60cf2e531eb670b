"""Where on an upright body a place lies, in words."""

from __future__ import annotations

import numpy as np

from builder.arrays import Floats
from builder.model.triangles import Triangles


def place_words(point: Floats, body: Triangles) -> str:
    """Where on an upright body (x to its left, y to its back) a point lies, such as ``at the back, low``."""
    share = (point - body.vertices.min(axis=0)) / np.maximum(body.extents, 1e-300)
    across = "on its right" if share[0] < 1 / 3 else "on its left" if share[0] > 2 / 3 else ""
    along = "at the front" if share[1] < 1 / 3 else "at the back" if share[1] > 2 / 3 else ""
    level = "low" if share[2] < 1 / 3 else "high" if share[2] > 2 / 3 else "half-way up"
    return ", ".join(part for part in (along, across, level) if part)
