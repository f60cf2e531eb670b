"""Two measures of a view compared, in one word: what a template would otherwise reckon out for itself."""

from __future__ import annotations

from collections.abc import Mapping

from builder.plates.plate import FactValue

MOSTLY = 1.5
"""One kind of shadow edge is most of it where it is so many times as long as the other. Our division."""
LEAST_EDGE = 0.3
"""Of the form's height: less edge of shadow than this is few. Our division."""
APART = 0.75
"""Of the ten steps of value: ground and form less apart than this are told as alike. Our division."""
SHADOWS_APART, LEAST_SHADOW = 0.3, 0.03
"""The same of two kinds of shadow, where each takes at least so much of the form."""
SLANTING_DEG = 4.0
"""A side nearer than this to plumb or level is told as lying along it. Our division."""


def compared_words(facts: Mapping[str, FactValue]) -> dict[str, FactValue]:
    """The words ``hardest``, ``shadow_edges``, ``around_is``, ``darker_shadow``, ``longest_side`` and ``odd_way``.

    A word is empty where a view lacks what it compares; the first three are left out where facts that every view has
    are not all there.
    """
    made: dict[str, FactValue] = {}
    asked = _numbers(facts, "difficulty_foreshortening", "difficulty_shapes", "difficulty_values")
    if asked:
        made["hardest"] = ("foreshortening", "shapes", "values")[asked.index(max(asked))]
    edges = _numbers(facts, "cast_edge_to_height", "terminator_to_height")
    if edges:
        made["shadow_edges"] = _edges(edges[0], edges[1])
    around = _numbers(facts, "around_value", "subject_mean_value")
    if around:
        made["around_is"] = _apart(around[0] - around[1], APART, "darker", "lighter")
    shadows = _numbers(facts, "family_cast_value", "family_core_value")
    shares = _numbers(facts, "family_cast_share", "family_core_share")
    told = bool(shadows and shares and min(shares) > LEAST_SHADOW)
    made["darker_shadow"] = _apart(shadows[0] - shadows[1], SHADOWS_APART, "thrown", "own") if told else ""
    side = _numbers(facts, "longest_side_off_plumb_deg")
    made["longest_side"] = _lies(side[0]) if side else ""
    odd = _numbers(facts, "odd_proportion", "odd_proportion_front")
    made["odd_way"] = ("more" if odd[0] > odd[1] else "less") if odd else ""
    return made


def _numbers(facts: Mapping[str, FactValue], *names: str) -> tuple[float, ...]:
    """The facts of those names, or none where one is not there."""
    found = [facts.get(name) for name in names]
    return tuple(value for value in found if isinstance(value, int | float)) if None not in found else ()


def _edges(thrown: float, turning: float) -> str:
    if thrown > MOSTLY * turning:
        return "thrown"
    if turning > MOSTLY * thrown:
        return "turning"
    return "both" if thrown + turning > LEAST_EDGE else "few"


def _apart(more: float, apart: float, below: str, above: str) -> str:
    if more < -apart:
        return below
    return above if more > apart else "alike"


def _lies(off_plumb_deg: float) -> str:
    off = abs(off_plumb_deg)
    return "slanting" if SLANTING_DEG < off < 90.0 - SLANTING_DEG else "along"
