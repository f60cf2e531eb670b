"""Light families as flat shapes, all six or only light against shadow, and what is measured of them.

What each family is, and by which cause, stands in :mod:`builder.plates.causes`.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bytes, Floats, Ints
from builder.form.footing import NOTHING
from builder.light.value import VALUE_OF_ROOT, codes_of_luminance, luminance_of_value, value_between
from builder.model.model import Part
from builder.plates.causes import LIT, SHADOW, Family
from builder.plates.clean import clean_labels
from builder.plates.family_lines import MetLines, length_px, met_lines
from builder.plates.family_rule import BESIDE_SHARE, LEAST_BESIDE_PX, both_sides, rule_facts
from builder.plates.outline_svg import outline_svg
from builder.plates.outlines import find_outlines
from builder.plates.plate import FactValue, Plate, Shown
from builder.plates.values import ISLAND_SHARE, step_codes

LEGEND = (Family.HIGHLIGHT, Family.LIGHT, Family.HALFTONE, Family.CORE, Family.CAST, Family.REFLECTED)
"""The families in the order in which a teacher names them, from the lamp into the shadow."""

FAMILY_VALUES = (1.5, 2.75, 4.0, 6.75, 8.0, 9.25)
"""Munsell values the six are painted in, by :class:`Family`: even steps of 1.25 inside a family, a gap of more than two
of them between shadow and light, so that no eye takes the lightest shadow for the darkest light."""
NEUTRAL_VALUE = 5.375
"""Munsell value of what belongs to no family: the middle of the gap."""

PLACES = 8
"""Labels from one place to the next: the sculpture's are those of :class:`Family`, the plinth's 8 more, those of ground
and backdrop 16 more. Shapes of different places stay apart, so that the outline of the form is kept."""

_PLACE_COUNT = 3
_GREYS = codes_of_luminance(luminance_of_value((*FAMILY_VALUES, NEUTRAL_VALUE, NEUTRAL_VALUE)))
_TWO_GREYS = np.append(step_codes(2), _GREYS[Family.NONE])


def family_codes() -> Bytes:
    """(6,) uint8 sRGB codes that the families are painted in, in the order of :data:`LEGEND`."""
    return codes_of_luminance(luminance_of_value([FAMILY_VALUES[family] for family in LEGEND]))


def light_shadow_codes() -> Bytes:
    """(2,) uint8 sRGB codes of light and shadow where only these two are shown: those of the study in two values."""
    return step_codes(2)[::-1]


def make_families(shown: Shown) -> Plate:
    """All six families, each in its own grey, with outlines, terminators and cast edges, and the families' facts."""
    label = cut_families(shown)
    outlines = find_outlines(label)
    met = [met_lines(outlines, place * PLACES, shown.footing, shown.sight.eye) for place in range(_PLACE_COUNT)]
    lines = {
        "terminator": [line for one in met for line in one.terminator],
        "cast-edge": [line for one in met for line in one.cast_edge],
    }
    names = {place * PLACES + f: str(LEGEND.index(f) + 1) for place in range(_PLACE_COUNT) for f in LEGEND}
    facts = family_facts(label, shown) | _line_facts(label, met[0], shown)
    grey = _GREYS[label % PLACES]
    return Plate("families", grey, True, facts, outline_svg(outlines, names, "Light families", lines))


def make_light_shadow(shown: Shown) -> Plate:
    """Light against shadow in two greys, with outlines."""
    two = cut_in_two(shown)
    drawing = outline_svg(find_outlines(two), {1: "1", 0: "2"}, "Light and shadow only")
    return Plate("light-shadow", _TWO_GREYS[two], True, {}, drawing)


def cut_families(shown: Shown) -> Bytes:
    """Families as they are drawn, (h, w) uint8: cleaned as the study in nine values is.

    A label is a :class:`Family`, plus :data:`PLACES` on the plinth, plus twice that on ground and backdrop.
    """
    place = np.zeros(256, np.uint8)
    place[[Part.PLINTH, Part.GROUND, Part.BACKDROP]] = PLACES, 2 * PLACES, 2 * PLACES
    label = shown.family + place[shown.footing.part]
    return clean_labels(label, shown.luminance, ISLAND_SHARE[9])


def cut_in_two(shown: Shown) -> Bytes:
    """Shadow 0, light 1, neither 2, (h, w) uint8, whatever lies where: cleaned as the study in two values is."""
    two = np.zeros(Family.NONE + 1, np.uint8)
    two[[*LIT]], two[Family.NONE] = 1, 2
    label = two[shown.family]
    return clean_labels(label, shown.luminance, ISLAND_SHARE[2])


def family_facts(label: Bytes, shown: Shown) -> dict[str, FactValue]:
    """Shares and values of the families on the sculpture, and the share of cast shadow round it.

    ``label`` (h, w) uint8 as :func:`cut_families` gives it. A family without a pixel has no value; nothing round the
    sculpture, no share of it.
    """
    count, light, value = _sums(label, shown)
    if not count[0, : Family.NONE].any():
        # The sculpture is too small in the picture for shapes: its pixels count as they are.
        count, light, value = _sums(shown.family, shown)
    pixels = count[0, : Family.NONE]
    facts: dict[str, FactValue] = {f"family_{f.word}_share": float(pixels[f] / pixels.sum()) for f in LEGEND}
    in_light, in_shadow = pixels[[*LIT]].sum(), pixels[[*SHADOW]].sum()
    facts |= {"light_share": float(in_light / pixels.sum()), "shadow_share": float(in_shadow / pixels.sum())}
    facts |= {f"family_{f.word}_value": float(value[f] / pixels[f]) for f in LEGEND if pixels[f]}
    bright, dark = light[[*LIT]].sum(), light[[*SHADOW]].sum()
    if bright > 0.0 and dark > 0.0:
        facts["light_to_shadow_stops"] = float(np.log2((bright / in_light) / (dark / in_shadow)))
    if around := count[1, : Family.NONE].sum():
        facts["ground_cast_share"] = float(count[1, Family.CAST] / around)
    return facts


def _line_facts(label: Bytes, met: MetLines, shown: Shown) -> dict[str, FactValue]:
    """What is measured along the lines where light and shadow meet on the sculpture."""
    box = shown.box_px
    height = float(box[3] - box[1])
    facts: dict[str, FactValue] = {
        "terminator_to_height": length_px(met.terminator) / height,
        "cast_edge_to_height": length_px(met.cast_edge) / height,
    }
    edges = (*met.terminator, *met.cast_edge, *met.hidden)
    beside = max(BESIDE_SHARE * height, LEAST_BESIDE_PX)
    return facts | rule_facts(both_sides(edges, label, shown.luminance, beside), box)


def _sums(label: Bytes, shown: Shown) -> tuple[Ints, Floats, Floats]:
    """Pixels by family (2, 8), on the sculpture and round it; of the former the sums of luminance and of value as
    painted, (8,).
    """
    count = np.zeros((2, PLACES), np.int32)
    light, value = np.zeros((2, PLACES))
    around = (shown.footing.part != Part.MODEL) & (shown.footing.part != NOTHING) & ~shown.subject
    _add_up(label, shown.subject, around, shown.luminance, shown.drawn, VALUE_OF_ROOT, PLACES, count, light, value)
    return count, light, value


@njit(cache=True, nogil=True)
def _add_up(
    label: Any, subject: Any, around: Any, luminance: Any, drawn: Any, value_of_root: Any, places: int, count: Any,
    light: Any, value: Any,
) -> None:  # fmt: skip
    for y in range(label.shape[0]):
        for x in range(label.shape[1]):
            family = label[y, x] % places
            if subject[y, x]:
                count[0, family] += 1
                light[family] += luminance[y, x]
                value[family] += value_between(drawn[y, x], value_of_root)
            elif around[y, x]:
                count[1, family] += 1
