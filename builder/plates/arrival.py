"""How near a pixel lies to the light: in it, wholly in the shadow, or on the soft edge of a shadow."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Singles
from builder.form.footing import Footing
from builder.light.lit import Emitter

LEAST_TURN_DEG = 3.0
"""Width of the soft edge along a terminator, at least, in degrees of the surface's turn; a large lamp's is as wide as
half of it is seen from there. Chosen by eye, so that a small lamp draws no hard line round a ball."""


def nearness(lamp: Emitter, footing: Footing, key: Singles, key_open: Singles, light: Bools) -> Singles:
    """1 for pixels of the light family, ``light`` (h, w) bool; less on the soft edges of shadows, falling to 0 where
    the shadow is whole; (h, w) float32.

    In a penumbra, where a surface faces the lamp, it is twice what arrives of the light that the key sends here
    (``key`` over ``key_open``, each (h, w) float32), so that it runs from the family's border, at half of the lamp, to
    the penumbra's end. Past a terminator it falls with the turn of the surface as well, and as long as a part of the
    lamp stands above the horizon. Both meet without a step.
    """
    half_mm = (np.linalg.norm(lamp.across) + np.linalg.norm(lamp.along)) / 2.0
    near = np.ones(footing.part.shape, np.float32)
    _near(
        footing.point, footing.normal, key, key_open, light, lamp.centre.astype(np.float32), np.float32(half_mm),
        np.float32(np.sin(np.radians(LEAST_TURN_DEG))), near,
    )  # fmt: skip
    return near


@njit(cache=True, nogil=True)
def _near(
    point: Any, normal: Any, key: Any, key_open: Any, light: Any, lamp: Any, half: Any, least: Any, near: Any
) -> None:
    one, two = np.float32(1.0), np.float32(2.0)
    for y in range(light.shape[0]):
        for x in range(light.shape[1]):
            if light[y, x]:
                continue
            near[y, x] = 0.0
            if key[y, x] <= 0.0 or key_open[y, x] <= 0.0:
                continue
            a, b, c = lamp[0] - point[y, x, 0], lamp[1] - point[y, x, 1], lamp[2] - point[y, x, 2]
            over = one / np.sqrt(a * a + b * b + c * c)
            facing = (normal[y, x, 0] * a + normal[y, x, 1] * b + normal[y, x, 2] * c) * over
            share = min(one, two * key[y, x] / key_open[y, x])
            if facing < 0.0:
                turn = max(one + facing / max(half * over, least), np.float32(0.0))
                share *= turn * turn * (np.float32(3.0) - two * turn)
            near[y, x] = share
