"""The facts a prompt may speak of: their names, kinds, ranges and meaning.

The plates stage measures them; this list is what templates are checked against before anything is drawn.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from builder.plates.plate import FactValue

STEPS = (2, 3, 5, 9)
"""Step counts of the value studies."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact: ``shape`` is a number, a whole number, one of a few words, or a row of shares from dark to light.

    ``low`` and ``high`` bound a number; ``words`` lists what a word may be (empty: any); ``parts`` is the length of a
    row. ``specimen`` is a believable value, used to try templates before a real view is known.
    """

    name: str
    shape: Literal["number", "whole", "word", "shares"]
    meaning: str
    specimen: FactValue
    low: float = 0.0
    high: float = 1.0
    words: tuple[str, ...] = ()
    parts: int = 0


def _share(name: str, meaning: str, specimen: float) -> Fact:
    return Fact(name, "number", meaning, specimen)


def _number(name: str, meaning: str, specimen: float, low: float, high: float) -> Fact:
    return Fact(name, "number", meaning, specimen, low, high)


def _value(name: str, meaning: str, specimen: float) -> Fact:
    return Fact(name, "number", meaning, specimen, 0.0, 10.0)


_SPECIMEN_SHARES: Mapping[int, tuple[float, ...]] = {
    2: (0.42, 0.58),
    3: (0.26, 0.41, 0.33),
    5: (0.12, 0.24, 0.21, 0.28, 0.15),
    9: (0.03, 0.08, 0.14, 0.15, 0.13, 0.14, 0.16, 0.12, 0.05),
}


def _values(steps: int) -> tuple[Fact, ...]:
    row = _SPECIMEN_SHARES[steps]
    return (
        Fact(
            f"values_{steps}_shares",
            "shares",
            f"shares of the form in each of {steps} values, dark to light",
            row,
            parts=steps,
        ),
        Fact(
            f"values_{steps}_picture_shares",
            "shares",
            f"shares of the whole picture in each of {steps} values, dark to light",
            row,
            parts=steps,
        ),
        Fact(f"values_{steps}_shapes", "whole", f"separate shapes in the {steps}-value plate", 7 * steps, 1, 1_000_000),
        _share(f"values_{steps}_biggest_share", f"share taken by the biggest shape of the {steps}-value plate", 0.3),
    )


_LISTED = (
    Fact("number", "whole", "the view's number", 12, 1, 999),
    _number("bearing_deg", "where the eye stands round the model: 0 in front, + towards its left", 35.0, -180, 180),
    _number("eye_level_deg", "how far the eye is above (+) or below (-) the model's middle", -12.0, -89, 89),
    _number("distance_mm", "from the eye to the model's middle", 900.0, 1e-3, 1e7),
    _number("mm_per_px", "size of a pixel at the model's middle", 0.4, 1e-6, 1e5),
    _share("subject_share", "share of the picture the sculpture takes", 0.45),
    _number("silhouette_width_mm", "width of the silhouette, at the distance of the model's middle", 228.0, 1e-3, 1e7),
    _number(
        "silhouette_height_mm", "height of the silhouette, at the distance of the model's middle", 304.0, 1e-3, 1e7
    ),
    _number("width_to_height", "width of the silhouette over its height", 0.75, 1e-3, 1e3),
    Fact("subject_left_px", "whole", "left edge of the silhouette in the picture", 210, 0, 100_000),
    Fact("subject_top_px", "whole", "top edge of the silhouette in the picture", 240, 0, 100_000),
    Fact("subject_right_px", "whole", "right edge of the silhouette in the picture", 990, 0, 100_000),
    Fact("subject_bottom_px", "whole", "bottom edge of the silhouette in the picture", 1280, 0, 100_000),
    _share("top_share", "share of the form facing mostly up", 0.12),
    _share("under_share", "share of the form facing mostly down", 0.08),
    _share("front_share", "share of the form facing mostly you", 0.45),
    _share("left_share", "share of the form facing mostly your left", 0.15),
    _share("right_share", "share of the form facing mostly your right", 0.20),
    Fact("lighting", "word", "name of the lighting", "side-lamp"),
    _number("key_from_eye_deg", "angle of the key lamp from the eye, measured at the model", 60.0, -180, 180),
    Fact(
        "key_side",
        "word",
        "side of the key lamp, as you see it",
        "left",
        words=("left", "right", "front", "behind"),
    ),
    _number("key_elevation_deg", "how far the key lamp is above (+) or below (-) the model's middle", 35.0, -90, 90),
    _number("exposure_stops", "exposure, in stops", 0.0, -24, 24),
    _value("subject_mean_value", "mean value of the form, 0 black to 10 white", 5.6),
    _value("subject_darkest_value", "darkest value on the form", 1.2),
    _value("subject_lightest_value", "lightest value on the form", 9.1),
    _value("value_range", "lightest less darkest value", 7.9),
    _share("light_share", "share of the form in the light family", 0.64),
    _share("shadow_share", "share of the form in the shadow family", 0.36),
    _share("darkest_x", "darkest place, from the silhouette's left edge (0) to its right (1)", 0.72),
    _share("darkest_y", "darkest place, from the silhouette's top (0) to its foot (1)", 0.81),
    _share("lightest_x", "lightest place, from the silhouette's left edge (0) to its right (1)", 0.30),
    _share("lightest_y", "lightest place, from the silhouette's top (0) to its foot (1)", 0.22),
    _value("backdrop_value", "value of the backdrop", 4.4),
    *(fact for steps in STEPS for fact in _values(steps)),
)

FACTS: Mapping[str, Fact] = MappingProxyType({fact.name: fact for fact in _LISTED})
"""Every fact a template may use, by name."""

WORDS: Mapping[str, str] = MappingProxyType(
    {
        "study_title": "the study's title",
        "view_title": "the view's own title, or its wording when it has none",
        "view_words": "where the eye is: three-quarter view from its left, eye a little below",
        "eye_words": "the eye's level: at the height of its middle; a little below it; high above it",
        "lighting_title": "the lighting's title",
        "light_from": "where the key light comes from, as you see it: from the upper left",
        "light_clock": "the same on a clock face: 10 o'clock; empty when the lamp is near your eye or right behind",
        "shadow_falls": "where the key throws the shadow, as you see it: to the right and away from you; may be empty",
        "level": "beginner, steady or advanced",
        "minutes": "minutes set for this prompt",
    }
)
"""Words a template may use beside the facts, each with an example."""

SPECIMEN: Mapping[str, FactValue] = MappingProxyType({fact.name: fact.specimen for fact in _LISTED})
"""A believable set of facts for trying templates."""

WORDS_SPECIMEN: Mapping[str, FactValue] = MappingProxyType(
    {
        "study_title": "A study",
        "view_title": "three-quarter view from its left, eye a little below",
        "view_words": "three-quarter view from its left, eye a little below",
        "eye_words": "a little below its middle",
        "lighting_title": "Side lamp",
        "light_from": "from the left",
        "light_clock": "9 o'clock",
        "shadow_falls": "to the right",
        "level": "steady",
        "minutes": 20,
    }
)
"""Words to go with :data:`SPECIMEN`."""
