"""What a prompt may speak of: the facts that are measured, and words that follow from the description."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from builder.plates.fact_list import FACTS
from builder.plates.plate import FactValue

OPTIONAL = frozenset(fact.name for fact in FACTS.values() if fact.optional)
"""Facts that some views do not have: a template uses them only where it has asked whether they are there."""

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
        "level": "steady",
        "minutes": 20,
    }
)
"""Words to go with :data:`SPECIMEN`."""
