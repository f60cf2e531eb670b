"""What a prompt may speak of: the facts that are measured, and words that follow from the description."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from types import MappingProxyType

from builder.plates.fact_list import FACTS
from builder.plates.plate import FactValue

OPTIONAL = frozenset(fact.name for fact in FACTS.values() if fact.optional)
"""Facts that some views do not have: a template uses them only where it has asked whether they are there."""

TOGETHER: tuple[frozenset[str], ...] = (
    frozenset({"landmarks_seen", "landmarks_hidden"}),
    frozenset({"unit_across", "unit_down"}),
    frozenset({"first_tilt_name", "first_tilt_deg", "first_tilt_from"}),
    frozenset({"odd_proportion_name", "odd_proportion", "odd_proportion_front"}),
    frozenset({"aligned_upper", "aligned_lower", "aligned_along"}),
    frozenset({"envelope_sides", "few_sides", "longest_side_length", "longest_side_off_plumb_deg", "negative_shapes"}),
    frozenset({"negative_areas", "largest_negative_side"}),
    frozenset({"family_rule_worst_x", "family_rule_worst_y"}),
    frozenset({"largest_plane_facing", "largest_plane_share", "largest_plane_from_eye_deg"}),
)
"""Facts that a view has all or none of: a template asks for one of them and uses any."""


def absences(used: Collection[str]) -> tuple[frozenset[str], ...]:
    """What a view may lack of the facts ``used``: what is measured together at a time, and at last all of it."""
    may_lack = frozenset(used) & OPTIONAL
    found: dict[frozenset[str], None] = {}
    for name in sorted(may_lack):
        group = next((group for group in TOGETHER if name in group), frozenset({name}))
        found[group & may_lack] = None
    return (*found, may_lack)


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
        "unit_name": "the study's unit of comparison, by its ends: nose base to chin; empty when it has none",
        "view_first": "what is most unusual in this view and its light, in one word: tilt; plain where nothing is",
        "form_first": "the same of the form alone",
        "form_second": "what comes next of the form",
        "light_first": "the same of the light alone",
        "light_second": "what comes next of the light",
        "begin_form": "a sentence on what to draw first: a plumb or level line, half the height, and a side",
        "begin_look": "a sentence on where to look first: landmarks and a side",
        "begin_light": "a sentence on where the darkest and the lightest place are",
        "hardest": "what this view asks most: foreshortening, shapes or values",
        "shadow_edges": "what most of the shadow's edge is: thrown or turning; both; few where there is hardly any",
        "around_is": "what lies round the form, beside it on the whole: darker, lighter or alike",
        "darker_shadow": "which is the darker: thrown, own or alike; empty where one of them is small",
        "longest_side": "the outline's longest side: slanting, or along where it is plumb or level; may be empty",
        "odd_way": "whether the odd proportion is more or less than from the front; may be empty",
        "level": "beginner, steady or advanced",
        "minutes": "minutes set for this prompt",
    }
)
"""Words a template may use beside the facts, each with an example."""

SPECIMEN: Mapping[str, FactValue] = MappingProxyType({fact.name: fact.specimen for fact in FACTS.values()})
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
        "unit_name": "nose base to chin",
        "view_first": "tilt",
        "form_first": "tilt",
        "form_second": "air",
        "light_first": "thrown",
        "light_second": "plain",
        "begin_form": "Hang a plumb line from *brow*, tick half the height near *nose base*, then work right.",
        "begin_look": "In this profile, look from *brow* to *nose base*, then work right.",
        "begin_light": "In this profile, judge *nose base* by the darkest place, at 4 o'clock.",
        "hardest": "foreshortening",
        "shadow_edges": "thrown",
        "around_is": "darker",
        "darker_shadow": "thrown",
        "longest_side": "slanting",
        "odd_way": "more",
        "level": "steady",
        "minutes": 20,
    }
)
"""Words to go with :data:`SPECIMEN`."""
