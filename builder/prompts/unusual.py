"""What is most unusual in a view under a lighting: what a prompt speaks of first.

Each cause is a number of the view on a scale from 0, usual, to 1, rare. Where both ends lie was read off the views of
two studies that come with this project, mask and solids, under all their lightings (usual: half of them have less;
rare: one in twenty has more), and rounded; no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType

from builder.plates.plate import FactValue

PLAIN = "plain"
"""Said where nothing departs from the usual."""
LEAST = 0.1
"""A cause nearer to usual than this is not worth a word."""
NEAR = 0.35
"""Causes that depart nearly as much as the first of all share its place: the view's number says which of them leads, so
that views side by side open with different ones."""

Facts = Mapping[str, FactValue]
Cause = Callable[[Facts], float]


def _number(facts: Facts, name: str, otherwise: float = math.nan) -> float:
    value = facts.get(name, otherwise)
    if isinstance(value, tuple):
        value = value[0]
    return float(value) if isinstance(value, int | float) else otherwise


def _scale(usual: float, rare: float, of: Cause) -> Cause:
    """A cause from 0 at ``usual`` to 1 at ``rare``, which may be the smaller; ``of`` gives nan where it is missing."""

    def cause(facts: Facts) -> float:
        value = of(facts)
        return 0.0 if math.isnan(value) else min(1.0, max(0.0, (value - usual) / (rare - usual)))

    return cause


def _fact(name: str) -> Cause:
    return lambda facts: _number(facts, name)


def _of_shadow(name: str) -> Cause:
    """A share of the shadow, where there is a tenth of the form in shadow at all."""

    def part(facts: Facts) -> float:
        shadow = _number(facts, "shadow_share")
        return _number(facts, name) / shadow if shadow >= 0.1 else math.nan

    return part


def _slant(facts: Facts) -> float:
    off = abs(_number(facts, "longest_side_off_plumb_deg"))
    return min(off, 90.0 - off)


def _proportion(facts: Facts) -> float:
    here, front = _number(facts, "odd_proportion"), _number(facts, "odd_proportion_front")
    return abs(math.log2(here) - math.log2(front)) if here > 0.0 and front > 0.0 else math.nan


def _hidden(facts: Facts) -> float:
    hidden, seen = _number(facts, "landmarks_hidden"), _number(facts, "landmarks_seen")
    return hidden / (hidden + seen) if hidden + seen > 0.0 else math.nan


def _aligned(facts: Facts) -> float:
    return 0.25 if "aligned_along" in facts else math.nan


def _sided(facts: Facts) -> float:
    return abs(_number(facts, "left_share") - _number(facts, "right_share"))


def _box(facts: Facts) -> float:
    """Worth a word, but not before anything that departs further."""
    plain = _number(facts, "envelope_sides") <= 4 and _number(facts, "negative_shapes") < 1
    return 0.25 if plain else math.nan


def _even(facts: Facts) -> float:
    return abs(math.log2(_number(facts, "width_to_height")))


def _sunk(facts: Facts) -> float:
    return abs(_number(facts, "subject_mean_value") - _number(facts, "around_value"))


OF_FORM: Mapping[str, Cause] = MappingProxyType(
    {
        "low": _scale(-5, -30, _fact("eye_level_deg")),
        "high": _scale(5, 50, _fact("eye_level_deg")),
        "short": _scale(0.95, 0.6, _fact("unit_to_front")),
        "tilt": _scale(4, 20, lambda facts: abs(_number(facts, "first_tilt_deg"))),
        "air": _scale(0.04, 0.16, _fact("negative_areas")),
        "wide": _scale(1.0, 1.3, _fact("width_to_height")),
        "narrow": _scale(0.65, 0.4, _fact("width_to_height")),
        "slant": _scale(6, 30, _slant),
        "proportion": _scale(0.4, 1.5, _proportion),
        "hidden": _scale(0.2, 0.6, _hidden),
        "aligned": _scale(0.0, 1.0, _aligned),
        "sided": _scale(0.12, 0.4, _sided),
        "flat": _scale(0.72, 0.9, _fact("front_share")),
        "box": _scale(0.0, 1.0, _box),
        "even": _scale(0.15, 0.0, _even),
    }
)
"""Causes in the form: eye low or high, the unit short, the first tilt steep, a large piece of air, wide or narrow, the
longest side aslant, a proportion far from the front view, landmarks hidden, two in line, more of it turned to one side
than to the other, nearly all of it facing the eye, an outline like a box, as wide as it is high."""

OF_LIGHT: Mapping[str, Cause] = MappingProxyType(
    {
        "shadow": _scale(0.45, 0.95, _fact("shadow_share")),
        "light": _scale(0.65, 0.98, _fact("light_share")),
        "close": _scale(5.8, 3.4, _fact("value_range")),
        "stark": _scale(5.8, 7.6, _fact("value_range")),
        "many": _scale(18, 28, _fact("values_5_shapes")),
        "few": _scale(16, 7, _fact("values_5_shapes")),
        "mass": _scale(0.63, 0.9, _fact("values_3_biggest_share")),
        "thrown": _scale(0.32, 0.9, _of_shadow("family_cast_share")),
        "bounced": _scale(0.04, 0.21, _of_shadow("family_reflected_share")),
        "halftone": _scale(0.3, 0.55, _fact("family_halftone_share")),
        "sunk": _scale(2.5, 0.5, _sunk),
        "trap": _scale(0.97, 0.88, _fact("family_rule_share")),
    }
)
"""Causes in the light: mostly shadow or light, values close together or far apart, many shapes or few, one mass, shadow
mostly thrown, much light bounced into it, much halftone, the form's value near to that of what is behind it, shadow as
light as the light beside it."""

CAUSES = (*OF_FORM, *OF_LIGHT, PLAIN)
"""Every word that :func:`unusual_words` may give."""


def unusual_words(facts: Facts) -> dict[str, str]:
    """The words ``form_first``, ``form_second``, ``light_first``, ``light_second`` and ``view_first`` of a view."""
    form, light, whole = (_ordered(causes, facts) for causes in (OF_FORM, OF_LIGHT, {**OF_FORM, **OF_LIGHT}))
    return {
        "form_first": form[0],
        "form_second": form[1],
        "light_first": light[0],
        "light_second": light[1],
        "view_first": whole[0],
    }


def _ordered(causes: Mapping[str, Cause], facts: Facts) -> list[str]:
    """The two that depart most, the leading one first; where there are fewer, plain."""
    scored = sorted(((cause(facts), name) for name, cause in causes.items()), key=lambda each: -each[0])
    told = [name for score, name in scored if score >= LEAST]
    if told:
        abreast = sum(score >= max(LEAST, scored[0][0] - NEAR) for score, _ in scored)
        lead = told.pop(int(_number(facts, "number", 0.0)) % abreast)
        told.insert(0, lead)
    return [*told, PLAIN, PLAIN][:2]
