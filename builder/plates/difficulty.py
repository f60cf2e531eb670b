"""How hard a view under a lighting is to draw, from what was measured of it.

Three causes, each 0..1, are weighed into one number 0..10. The weights, and where each cause begins and is full, are
our own division; no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from builder.plates.plate import FactValue

WEIGHTS = {"difficulty_foreshortening": 0.40, "difficulty_shapes": 0.35, "difficulty_values": 0.25}
"""Construction before tone: a form set down wrong is not mended by its values."""
_LEVEL_FULL_DEG = 60.0
"""An eye so far above or below halves what stands upright: cos 60 degrees."""
_TURN_MOST = 0.4
"""What a three-quarter bearing alone counts: neither of the sides it shows is seen straight on."""
_SHAPES = {"values_5_shapes": (6, 48), "planes_middle_seen": (8, 40), "negative_shapes": (1, 12)}
"""Facts that count shapes, with the counts at which a drawing is as simple and as busy as can be."""
_WIDE_RANGE = 8.0
"""Steps of value over which light and dark are told apart at a glance."""
_LONG_EDGES = 8.0
"""Edges of light and shadow, in heights of the silhouette, that leave no form without one."""


def difficulty_facts(measured: Mapping[str, FactValue]) -> dict[str, FactValue]:
    """``difficulty`` 0..10 and its causes 0..1 of a view whose other facts are ``measured``.

    Facts that some views lack (planes, negative shapes, the unit) count where they are there.
    """
    causes = {
        "difficulty_foreshortening": _foreshortening(measured),
        "difficulty_shapes": _shapes(measured),
        "difficulty_values": _values(measured),
    }
    return {"difficulty": 10.0 * sum(WEIGHTS[name] * cause for name, cause in causes.items()), **causes}


def _foreshortening(measured: Mapping[str, FactValue]) -> float:
    """Of the upright, by the eye's level or by how far the unit departs from its length in front, the greater; then of
    the sides, by the bearing: none in front, in profile and behind, the most half-way between.
    """
    level = math.radians(_number(measured, "eye_level_deg"))
    upright = (1.0 - math.cos(level)) / (1.0 - math.cos(math.radians(_LEVEL_FULL_DEG)))
    if "unit_to_front" in measured:
        unit = max(_number(measured, "unit_to_front"), 1e-6)
        upright = max(upright, abs(math.log2(unit)))
    turn = abs(math.sin(2.0 * math.radians(_number(measured, "bearing_deg"))))
    return 1.0 - (1.0 - _bounded(upright)) * (1.0 - _TURN_MOST * turn)


def _shapes(measured: Mapping[str, FactValue]) -> float:
    """Mean over the counts there are, each on a scale of equal ratios: from two shapes to four is as much as from ten
    to twenty.
    """
    scales = [
        _bounded(math.log(max(_number(measured, name), 1.0) / simple) / math.log(busy / simple))
        for name, (simple, busy) in _SHAPES.items()
        if name in measured
    ]
    return sum(scales) / len(scales)


def _values(measured: Mapping[str, FactValue]) -> float:
    """Mean of three: how narrow the range of values is, how many of the nine values are in use, and how much edge of
    light and shadow there is to judge.

    How many are in use is the exponential of the shares' entropy (the number of equal shares as hard to tell apart).
    """
    narrow = _bounded(1.0 - _number(measured, "value_range") / _WIDE_RANGE)
    row = measured["values_9_shares"]
    assert isinstance(row, tuple)
    in_use = math.exp(-sum(share * math.log(share) for share in row if share > 0.0))
    many = (in_use - 1.0) / (len(row) - 1)
    edges = (_number(measured, "terminator_to_height") + _number(measured, "cast_edge_to_height")) / _LONG_EDGES
    return (narrow + _bounded(many) + _bounded(edges)) / 3.0


def _number(measured: Mapping[str, FactValue], name: str) -> float:
    value = measured[name]
    assert isinstance(value, int | float)
    return float(value)


def _bounded(value: float) -> float:
    return min(1.0, max(0.0, value))
