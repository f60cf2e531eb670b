"""The rule of the two families: along their common edges the lightest shadow stays darker than the darkest light.

Common practice, no source. It is measured beside the edges and not on them, where the two meet in one value.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bytes, Floats, Singles
from builder.light.quantile import weighted_quantile
from builder.light.value import value_of_luminance
from builder.plates.causes import Family
from builder.plates.plate import FactValue

BESIDE_SHARE, LEAST_BESIDE_PX = 0.015, 3.0
"""How far from an edge both sides are looked at: this share of the silhouette's height, three pixels or more. On a head
270 mm high that is 4 mm, past the softness of most edges and before the next form begins. Chosen by eye."""
TAIL_SHARE = 0.05
"""Share of the edges' length that may be lighter than the lightest shadow, or darker than the darkest light, so that a
few pixels do not speak for all."""
NEARLY_ALL = 0.95
"""Share of the edges' length on which the shadow side must be the darker for the rule to hold."""
CELLS = 20
"""The silhouette's box is looked through in so many rows and columns for the place where the rule is broken most."""


@dataclass(frozen=True, slots=True, eq=False)
class Sides:
    """What lies beside the common edges of light and shadow, stretch by stretch.

    length (n,) px; middle (n, 2) px, x before y; light, shadow (n,) luminance at the side in light and that in shadow.
    """

    length: Floats
    middle: Floats
    light: Floats
    shadow: Floats


def both_sides(edges: Sequence[Singles], label: Bytes, luminance: Singles, beside_px: float) -> Sides:
    """Both sides of edges, wherever one lies in the light and the other in the shadow family of the sculpture.

    Args:
        edges: lines (n, 2) px each, x before y; every piece between two points is a stretch.
        label: (h, w) uint8, a :class:`~builder.plates.causes.Family` on the sculpture, any higher number elsewhere.
        luminance: (h, w) float32.
        beside_px: distance from the edge, square to it.

    """
    starts = np.concatenate([edge[:-1] for edge in edges]) if edges else np.zeros((0, 2))
    steps = np.concatenate([np.diff(edge, axis=0) for edge in edges]) if edges else np.zeros((0, 2))
    length = np.hypot(steps[:, 0], steps[:, 1])
    middle = starts + steps / 2
    light, shadow = np.zeros((2, len(length)))
    both = np.zeros(len(length), np.bool_)
    first_light, beyond = int(Family.HALFTONE), int(Family.NONE)
    _look(middle, steps, length, label, luminance, beside_px, first_light, beyond, light, shadow, both)
    return Sides(length[both], middle[both], light[both], shadow[both])


def rule_facts(sides: Sides, box: tuple[float, float, float, float]) -> dict[str, FactValue]:
    """Whether the rule holds, how far, and where it does not; nothing where the two families meet nowhere.

    box: left, top, right, bottom of the silhouette, px. The place is the middle of what breaks the rule in that cell of
    the box where it is broken most: by value times length of edge.
    """
    total = float(sides.length.sum())
    if not total > 0.0:
        return {}
    light, shadow = value_of_luminance(sides.light), value_of_luminance(sides.shadow)
    share = min(float(sides.length[shadow < light].sum()) / total, 1.0)
    facts: dict[str, FactValue] = {
        "family_rule_holds": share >= NEARLY_ALL,
        "family_rule_share": share,
        "shadow_lightest_value": weighted_quantile(shadow, sides.length, 1.0 - TAIL_SHARE),
        "light_darkest_value": weighted_quantile(light, sides.length, TAIL_SHARE),
    }
    if share < NEARLY_ALL:
        place = (sides.middle - box[:2]) / (np.array(box[2:]) - box[:2])
        # As light as the other side is broken too, if only just.
        broken = np.where(shadow < light, 0.0, sides.length * (shadow - light + 1e-6))
        column, row = np.clip((place * CELLS).astype(np.int64), 0, CELLS - 1).T
        cell = row * CELLS + column
        there = cell == np.argmax(np.bincount(cell, broken))
        x, y = np.clip(np.average(place[there], axis=0, weights=broken[there]), 0.0, 1.0).tolist()
        facts |= {"family_rule_worst_x": x, "family_rule_worst_y": y}
    return facts


@njit(cache=True, nogil=True)
def _look(
    middle: Any, step: Any, length: Any, label: Any, luminance: Any, beside: float, first_light: int, beyond: int,
    light: Any, shadow: Any, both: Any,
) -> None:  # fmt: skip
    h, w = label.shape
    for i in range(len(middle)):
        if length[i] <= 0.0:
            continue
        across, along = -step[i, 1] / length[i] * beside, step[i, 0] / length[i] * beside
        x, y = int(np.floor(middle[i, 0] + across)), int(np.floor(middle[i, 1] + along))
        u, v = int(np.floor(middle[i, 0] - across)), int(np.floor(middle[i, 1] - along))
        if min(x, y, u, v) < 0 or max(x, u) >= w or max(y, v) >= h:
            continue
        here, there = label[y, x], label[v, u]
        if here >= beyond or there >= beyond or (here >= first_light) == (there >= first_light):
            continue
        both[i] = True
        if here >= first_light:
            light[i], shadow[i] = luminance[y, x], luminance[v, u]
        else:
            light[i], shadow[i] = luminance[v, u], luminance[y, x]
