"""Every fact of a view under a lighting: the one list that measuring, prompts, pages and published files go by."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from builder.plates.fact import Fact, Unit
from builder.plates.form_fact_list import BLOCK_IN, DIFFICULTY, GUIDES, MEASURES, PLANES

STEPS = (2, 3, 5, 9)
"""Step counts of the value studies."""
_ANY_STOPS = (-200.0, 200.0)
"""What any two lights differ by at most that are told apart in single precision: 2**-149 is the least of them."""


@dataclass(frozen=True, slots=True)
class FactGroup:
    """Facts that belong together, under a slug and a heading."""

    name: str
    title: str
    facts: tuple[Fact, ...]


def _share(name: str, meaning: str, specimen: float, missing: str = "") -> Fact:
    return Fact(name, "share", "number", meaning, specimen, missing=missing)


def _value(name: str, meaning: str, specimen: float, missing: str = "") -> Fact:
    return Fact(name, "value", "number", meaning, specimen, 0.0, 10.0, missing=missing)


def _number(name: str, unit: Unit, meaning: str, specimen: float, low: float, high: float, missing: str = "") -> Fact:
    return Fact(name, unit, "number", meaning, float(specimen), low, high, missing=missing)


def _length(name: str, meaning: str, specimen: float) -> Fact:
    return Fact(name, "mm", "number", meaning, float(specimen), 1e-6, 1e9)


def _whole(name: str, unit: Unit, meaning: str, specimen: int, low: int, high: int) -> Fact:
    return Fact(name, unit, "whole", meaning, specimen, low, high)


def _word(name: str, meaning: str, specimen: str, *words: str) -> Fact:
    return Fact(name, "none", "word", meaning, specimen, words=words)


_PLACE = (
    _whole("number", "none", "the view's number", 12, 1, 999),
    _number(
        "bearing_deg", "deg", "where the eye stands round the model: 0 in front, + towards its left", 35, -180, 180
    ),
    _number("eye_level_deg", "deg", "how far the eye is above (+) or below (-) the model's middle", -12, -90, 90),
    _length("distance_mm", "from the eye to the model's middle", 900),
    _number("mm_per_px", "mm/px", "size of a pixel at the distance of the model's middle", 0.4, 1e-9, 1e9),
    _share("subject_share", "share of the picture that the sculpture takes", 0.45),
    _length("silhouette_width_mm", "width of the silhouette, at the distance of the model's middle", 228),
    _length("silhouette_height_mm", "height of the silhouette, at the distance of the model's middle", 304),
    _number("width_to_height", "ratio", "width of the silhouette over its height", 0.75, 1e-4, 1e4),
    _whole("subject_left_px", "px", "left edge of the silhouette, from the picture's left", 210, 0, 100_000),
    _whole("subject_top_px", "px", "top of the silhouette, from the picture's top", 240, 0, 100_000),
    _whole("subject_right_px", "px", "right edge of the silhouette, from the picture's left", 990, 1, 100_000),
    _whole("subject_bottom_px", "px", "foot of the silhouette, from the picture's top", 1280, 1, 100_000),
    _share("top_share", "share of the form facing mostly up", 0.12),
    _share("under_share", "share of the form facing mostly down", 0.08),
    _share("front_share", "share of the form facing mostly you", 0.45),
    _share("left_share", "share of the form facing mostly your left", 0.15),
    _share("right_share", "share of the form facing mostly your right", 0.20),
)

_LIGHT = (
    Fact("lighting", "none", "word", "name of the lighting", "side-lamp"),
    _number("key_from_eye_deg", "deg", "angle between your eye and the key lamp, at the model's middle", 60, 0, 180),
    _word("key_side", "side of the key lamp, as you see it", "left", "left", "right", "front", "behind"),
    _number(
        "key_bearing_deg",
        "deg",
        "where the key lamp stands round the model: 0 in front, + towards its left",
        -60,
        -180,
        180,
    ),
    _number(
        "key_elevation_deg", "deg", "how far the key lamp is above (+) or below (-) the model's middle", 35, -90, 90
    ),
    _length("key_distance_mm", "from the middle of the key lamp's face to the model's middle", 1200),
    _number("key_height_mm", "mm", "middle of the key lamp's face above the ground", 850, -1e9, 1e9),
    _length("key_width_mm", "width of the key lamp's face, measured level; of a round lamp, across", 90),
    _number(
        "key_softness_deg",
        "deg",
        "angle that the key lamp's face takes up, seen from the model's middle: the larger, the softer its shadows",
        4.3,
        0,
        180,
    ),
    _number(
        "fill_to_key_stops",
        "stops",
        "light of the fill lamp against the key, each at the model's middle: -2 is a quarter of it",
        -2,
        -24,
        24,
        "the lighting has no fill lamp",
    ),
    _number("ambient_to_key_stops", "stops", "even light of the room against the key: -4 is a sixteenth", -4, -24, 24),
    _number(
        "exposure_stops", "stops", "exposure, against one that shows white facing the key as white", 0.3, *_ANY_STOPS
    ),
)

_RULE_MISSING = "light and shadow meet nowhere on the form"

_FAMILIES = (
    _share("light_share", "share of the form in the light family: highlight, light and halftone", 0.64),
    _share("shadow_share", "share of the form in the shadow family: core, cast and reflected light", 0.36),
    _share("family_highlight_share", "share of the form in the highlight, where wet plaster would shine", 0.03),
    _share("family_light_share", "share of the form in the light, facing the key lamp within 60°", 0.39),
    _share("family_halftone_share", "share of the form in halftone: light that strikes at a slant", 0.22),
    _share(
        "family_core_share", "share of the form in core shadow, turned away and with little light coming back", 0.17
    ),
    _share(
        "family_cast_share", "share of the form in cast shadow: it faces the key lamp, and something is between", 0.08
    ),
    _share("family_reflected_share", "share of the form in shadow with clearly reflected light", 0.11),
    *(
        _value(f"family_{family}_value", f"mean value of the {words}", specimen, f"the form has no {words}")
        for family, words, specimen in (
            ("highlight", "highlight", 9.3),
            ("light", "light", 7.9),
            ("halftone", "halftone", 5.8),
            ("core", "core shadow", 2.4),
            ("cast", "cast shadow", 2.1),
            ("reflected", "reflected light", 3.2),
        )
    ),
    _number(
        "light_to_shadow_stops",
        "stops",
        "how much lighter the light family is than the shadow family, mean against mean: each stop doubles it",
        3.1,
        *_ANY_STOPS,
        "all of the form is in one of the two",
    ),
    _value(
        "light_darkest_value",
        "darkest light along the edges of shadow: value that a twentieth of the light side stays below",
        4.1,
        _RULE_MISSING,
    ),
    _value(
        "shadow_lightest_value",
        "lightest shadow along the edges of shadow: value that a twentieth of the shadow side passes",
        3.6,
        _RULE_MISSING,
    ),
    Fact(
        "family_rule_holds",
        "none",
        "yes-no",
        "whether the shadow side is the darker nearly everywhere along the edges of shadow",
        True,
        missing=_RULE_MISSING,
    ),
    _share(
        "family_rule_share", "share of the edges of shadow where the shadow side is the darker", 0.99, _RULE_MISSING
    ),
    *(
        _share(f"family_rule_worst_{axis}", f"where it is least so, {way}", 0.4, "the rule holds, or there is no edge")
        for axis, way in (
            ("x", "from the silhouette's left edge (0) to its right (1)"),
            ("y", "from the silhouette's top (0) to its foot (1)"),
        )
    ),
    _number("terminator_to_height", "ratio", "length of the terminator over the silhouette's height", 1.3, 0, 1e6),
    _number(
        "cast_edge_to_height", "ratio", "length of the edges of cast shadow over the silhouette's height", 0.8, 0, 1e6
    ),
    _share(
        "ground_cast_share",
        "share of the ground, plinth and backdrop that you see in cast shadow",
        0.14,
        "neither ground nor plinth nor backdrop is in the picture",
    ),
)


def _value_study(steps: int, row: tuple[float, ...]) -> tuple[Fact, ...]:
    name = f"values_{steps}"
    return (
        Fact(
            f"{name}_shares",
            "share",
            "shares",
            f"shares of the form in each of {steps} values, dark to light",
            row,
            parts=steps,
        ),
        Fact(
            f"{name}_picture_shares",
            "share",
            "shares",
            f"shares of the whole picture in each of {steps} values, dark to light",
            row,
            parts=steps,
        ),
        _whole(f"{name}_shapes", "count", f"separate shapes on the form, of {steps} values", 7 * steps, 1, 1_000_000),
        _share(f"{name}_biggest_share", f"share of the form that its biggest shape takes, of {steps} values", 0.3),
    )


_VALUES = (
    _word(
        "picture_range",
        "values the plates are painted in: all that the light gives, or those that pencil on paper can reach",
        "full",
        "full",
        "pencil",
    ),
    _word(
        "picture_key",
        "key of the picture, from the value that half of it is darker than",
        "middle",
        "low",
        "middle",
        "high",
    ),
    _value("picture_median_value", "value that half of the picture is darker than", 4.6),
    _value("subject_median_value", "value that half of the form is darker than", 5.9),
    _value("subject_mean_value", "mean value of the form, 0 black to 10 white", 5.6),
    _value("subject_darkest_value", "darkest value on the form", 1.2),
    _value("subject_lightest_value", "lightest value on the form", 9.1),
    _value("value_range", "lightest less darkest value", 7.9),
    _value("backdrop_value", "middle value of the backdrop in the picture", 4.4),
    _value("around_value", "value that half of what you see round sculpture and plinth is darker than", 4.2),
    _share("darkest_x", "darkest place, from the silhouette's left edge (0) to its right (1)", 0.72),
    _share("darkest_y", "darkest place, from the silhouette's top (0) to its foot (1)", 0.81),
    _share("lightest_x", "lightest place, from the silhouette's left edge (0) to its right (1)", 0.30),
    _share("lightest_y", "lightest place, from the silhouette's top (0) to its foot (1)", 0.22),
)

_VALUE_STUDIES = (
    *_value_study(2, (0.42, 0.58)),
    *_value_study(3, (0.26, 0.41, 0.33)),
    *_value_study(5, (0.12, 0.24, 0.21, 0.28, 0.15)),
    *_value_study(9, (0.03, 0.08, 0.14, 0.15, 0.13, 0.14, 0.16, 0.12, 0.05)),
)

GROUPS = (
    FactGroup("place", "The view", _PLACE),
    FactGroup("light", "The lamps", _LIGHT),
    FactGroup("families", "Light and shadow", _FAMILIES),
    FactGroup("values", "Values", _VALUES),
    FactGroup("value_studies", "Value studies", _VALUE_STUDIES),
    FactGroup("planes", "Planes", PLANES),
    FactGroup("block_in", "Block-in", BLOCK_IN),
    FactGroup("measures", "Measures", MEASURES),
    FactGroup("guides", "Sections, grid and sight-size", GUIDES),
    FactGroup("difficulty", "Difficulty", DIFFICULTY),
)
"""Every fact, in the order in which they are measured, told and published."""

FACTS: Mapping[str, Fact] = MappingProxyType({fact.name: fact for group in GROUPS for fact in group.facts})
"""Every fact by name, in the order of :data:`GROUPS`."""
