"""Value studies: the picture in 2, 3, 5 or 9 equal steps of Munsell value, as clean shapes with their outlines."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bytes, Floats, Singles
from builder.light.value import codes_of_luminance, luminance_of_value
from builder.plates.clean import clean_steps
from builder.plates.outline_svg import outline_svg
from builder.plates.outlines import find_outlines
from builder.plates.plate import FactValue, Plate, Shown
from builder.plates.runs import areas_inside

ISLAND_SHARE = {2: 0.0004, 3: 0.0004, 5: 0.0003, 9: 0.0002}
"""Shapes smaller than this share of the picture are merged, by number of steps; 0.0004 of 1200 x 1500 px is a square of
27 px, about 3 mm on a print 133 mm wide. No published source; chosen by eye on drawing scale."""


def step_edges(steps: int) -> Floats:
    """(steps - 1,) luminances that part the steps, darkest first: equal bins of Munsell value (ASTM D1535)."""
    return luminance_of_value(10.0 * np.arange(1, steps) / steps)


def step_codes(steps: int) -> Bytes:
    """(steps,) uint8 sRGB codes the steps are painted in, darkest first: the middle value of each bin."""
    return codes_of_luminance(luminance_of_value(10.0 * (np.arange(steps) + 0.5) / steps))


def step_of_luminance(luminance: Singles, steps: int) -> Bytes:
    """Step 0..steps-1, darkest first, (h, w) uint8, of luminance (h, w) float32; an edge belongs to the lighter step.

    Judged on luminance itself, never on 8-bit codes.
    """
    light = np.ascontiguousarray(luminance)
    step: Bytes = np.zeros(light.shape, np.uint8)
    _judge(light.ravel(), step_edges(steps), step.ravel())
    return step


def drawn_steps(luminance: Singles, steps: int) -> Bytes:
    """Steps of luminance (h, w) float32 as they are drawn, (h, w) uint8: judged, then cleaned."""
    return clean_steps(step_of_luminance(luminance, steps), luminance, ISLAND_SHARE[steps])


def make_values(shown: Shown, steps: int) -> Plate:
    """The value study in ``steps`` steps, with the facts ``values_<n>_...`` of :data:`~builder.plates.fact_list.FACTS`.

    Its drawing has the outlines of the shapes, each with the number of its step where there is room: 1 is the darkest,
    as the value scale runs from 0, black, to 10, white. A shape counts as one on the subject when so much of it lies
    there that it would not be merged.
    """
    drawn = drawn_steps(shown.drawn, steps)
    outlines = find_outlines(drawn)
    runs = outlines.runs
    on_subject = areas_inside(runs, shown.subject)
    of_subject = np.bincount(runs.step_of_shape, on_subject, steps)
    of_picture = np.bincount(runs.step_of_shape, runs.area_px, steps)
    name = f"values_{steps}"
    facts: dict[str, FactValue] = {
        f"{name}_shares": tuple((of_subject / of_subject.sum()).tolist()),
        f"{name}_picture_shares": tuple((of_picture / of_picture.sum()).tolist()),
        f"{name}_shapes": max(1, int((on_subject >= ISLAND_SHARE[steps] * drawn.size).sum())),
        f"{name}_biggest_share": float(on_subject.max() / on_subject.sum()),
    }
    numbers = {step: str(step + 1) for step in range(steps)}
    drawing = outline_svg(outlines, numbers, f"Shapes in {steps} values, 1 the darkest")
    return Plate(f"values-{steps}", step_codes(steps)[drawn], lossless=True, facts=facts, drawing=drawing)


@njit(cache=True, nogil=True)
def _judge(light: Any, edges: Any, step: Any) -> None:
    for edge in edges:
        for i in range(len(step)):
            step[i] += np.uint8(light[i] >= edge)
