"""Where one surface hides another: the tears in what a view sees."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Floats
from builder.camera.sight import Eye
from builder.form.footing import Footing

REACH_PX = 2
"""How far from a place a tear counts as there: cleaning moves a border by a pixel or two."""
STEP_PX = 1.5
"""Step between neighbouring pixels, in pixels at their distance and along both of their normals, from which the surface
is torn. On a smooth surface, however steeply seen, the next point lies in the plane of this one; over the edge of a
crease it still lies in one of the two planes, or within a pixel of it."""


def torn(footing: Footing, eye: Eye, places: Floats) -> Bools:
    """Whether the surface is torn at places of the picture, (n,) bool.

    Torn is where neighbouring pixels, at most :data:`REACH_PX` from the place, belong to different parts or lie apart
    along the normals of both. places (n, 2) float64, px, x before y.
    """
    found = np.zeros(len(places), np.bool_)
    _find_torn(
        footing.part, footing.point, footing.normal, eye.position, 2.0 * eye.tan_y / eye.height_px * STEP_PX, REACH_PX,
        np.rint(places).astype(np.int32), found,
    )  # fmt: skip
    return found


@njit(cache=True, nogil=True)
def _find_torn(part: Any, point: Any, normal: Any, eye: Any, step: float, reach: int, corners: Any, found: Any) -> None:
    h, w = part.shape
    for i in range(len(corners)):
        left, right = max(corners[i, 0] - reach, 0), min(corners[i, 0] + reach, w)
        top, bottom = max(corners[i, 1] - reach, 0), min(corners[i, 1] + reach, h)
        for y in range(top, bottom):
            for x in range(left, right):
                if found[i]:
                    continue
                if x + 1 < right:
                    found[i] = _apart(part, point, normal, eye, step, y, x, y, x + 1)
                if y + 1 < bottom and not found[i]:
                    found[i] = _apart(part, point, normal, eye, step, y, x, y + 1, x)


@njit(cache=True, nogil=True)
def _apart(part: Any, point: Any, normal: Any, eye: Any, step: float, y: int, x: int, j: int, i: int) -> bool:
    if part[y, x] != part[j, i]:
        return True
    here, there, away = 0.0, 0.0, 0.0
    for k in range(3):
        between = point[j, i, k] - point[y, x, k]
        here += between * normal[y, x, k]
        there += between * normal[j, i, k]
        away += (point[y, x, k] - eye[k]) ** 2
    return bool(min(abs(here), abs(there)) > step * np.sqrt(away))
