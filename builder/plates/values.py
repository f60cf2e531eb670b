"""Value studies: the picture in 2, 3, 5 or 9 equal steps of Munsell value, without islands too small to draw."""

from __future__ import annotations

import numpy as np

from builder.arrays import Bytes, Floats, Singles
from builder.light.value import codes_of_luminance, luminance_of_value
from builder.plates.plate import FactValue, Plate, Shown
from builder.plates.runs import find_runs
from builder.plates.shapes import merge_islands, without_hairlines

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
    return np.searchsorted(step_edges(steps), luminance, side="right").astype(np.uint8)


def drawn_steps(luminance: Singles, steps: int) -> Bytes:
    """Steps of luminance (h, w) float32 as they are drawn, (h, w) uint8: judged, hairlines closed, islands merged."""
    judged = without_hairlines(step_of_luminance(luminance, steps), luminance)
    return merge_islands(judged, ISLAND_SHARE[steps] * luminance.size)


def make_values(shown: Shown, steps: int) -> Plate:
    """The value study in ``steps`` steps, with the facts ``values_<n>_...`` of :data:`builder.plates.facts.FACTS`."""
    drawn = drawn_steps(shown.luminance, steps)
    on_subject = find_runs(drawn, shown.subject)
    of_subject = np.bincount(on_subject.step_of_shape, on_subject.area_px, steps)
    of_picture = np.bincount(drawn.ravel(), minlength=steps)
    area_px = on_subject.area_px
    name = f"values_{steps}"
    facts: dict[str, FactValue] = {
        f"{name}_shares": tuple((of_subject / of_subject.sum()).tolist()),
        f"{name}_picture_shares": tuple((of_picture / of_picture.sum()).tolist()),
        f"{name}_shapes": max(1, int((area_px >= ISLAND_SHARE[steps] * drawn.size).sum())),
        f"{name}_biggest_share": float(area_px.max() / area_px.sum()),
    }
    return Plate(f"values-{steps}", step_codes(steps)[drawn], lossless=True, facts=facts)
