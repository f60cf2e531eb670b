"""A view under a lighting as every plate kind is given it."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools
from builder.camera.sight import SUPERSAMPLE, Sight
from builder.errors import PlateError, Problem
from builder.light.lit import Lit
from builder.model.model import Model, Part
from builder.model.tracer import Tracer
from builder.plates.causes import find_families, in_light
from builder.plates.footing import Footing, find_footing
from builder.plates.graphite import pencilled
from builder.plates.luminance import pixel_light
from builder.plates.plate import Shown
from builder.study.description import Range


def show(
    model: Model,
    lit: Lit,
    sight: Sight,
    tracer: Tracer,
    mixed: Bools | None = None,
    footing: Footing | None = None,
    drawn_in: Range = "full",
) -> Shown:
    """What plate kinds are given.

    ``tracer`` and ``mixed`` as for :func:`~builder.plates.luminance.pixel_light`; ``footing`` is that of the view,
    found here when the caller has none; ``drawn_in``: the range of values that tone and value studies are painted in.

    Raises PlateError when the sculpture covers no pixel of this view.
    """
    subject = subject_pixels(model, sight)
    if not subject.any():
        raise PlateError(
            Problem(
                f"view {sight.eye.number}",
                "the sculpture does not cover a single pixel",
                "a view shows at least part of it",
                "change the bearing, the eye level or the distance",
            )
        )
    light = pixel_light(model, lit, sight, tracer, mixed)
    stands = find_footing(model, sight) if footing is None else footing
    family = find_families(model, lit, sight.eye, stands, light)
    drawn = light.luminance if drawn_in == "full" else pencilled(lit, stands, light, in_light(family))
    return Shown(model, sight, lit, stands, light.luminance, family, drawn, subject)


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
