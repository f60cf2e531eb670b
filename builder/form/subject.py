"""Which pixels show the sculpture."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools
from builder.camera.sight import SUPERSAMPLE, Sight
from builder.model.model import Model, Part


def subject_pixels(model: Model, sight: Sight) -> Bools:
    """(h, w) bool, pixels more than half of whose samples lie on the sculpture."""
    subject = np.zeros((sight.eye.height_px, sight.eye.width_px), np.bool_)
    _mostly(sight.face, model.scene.parts == Part.MODEL, SUPERSAMPLE, subject)
    return subject


@njit(cache=True, nogil=True)
def _mostly(face: Any, counted: Any, side: int, pixels: Any) -> None:
    """Mark the pixels more than half of whose samples lie on faces that are counted."""
    for y in range(pixels.shape[0]):
        for x in range(pixels.shape[1]):
            count = 0
            for j in range(side):
                for i in range(side):
                    f = face[y * side + j, x * side + i]
                    if f >= 0 and counted[f]:
                        count += 1
            pixels[y, x] = 2 * count > side * side
