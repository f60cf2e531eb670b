"""Alternative text for a plate: what it shows, in a sentence or two, from the description and the facts."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from builder.plates.plate import FactValue
from builder.prompts.facts import STEPS
from builder.prompts.filters import part, shares
from builder.prompts.words import light_from, view_words
from builder.study.description import Lighting, Study, View

LONGEST = 250
"""Characters; a screen reader reads it without a pause."""

_STEP_WORDS = {"two": 2, "three": 3, "five": 5, "nine": 9}


def alt_text(study: Study, view: View, lighting: Lighting, kind_title: str, facts: Mapping[str, FactValue]) -> str:
    """One or two plain sentences of at most :data:`LONGEST` characters.

    It opens with the plate kind and the view's number, so that no two plates of a study under one lighting read alike.
    What does not fit is left out, the measured part first. ``facts`` may be those of the view or of the plate alone.
    """
    opening = f"{kind_title}, view {view.number}"
    about = f"{study.title}, {view_words(view)}"
    light = f"{lighting.title}: light {light_from(view, lighting.key)}"
    measured = _measured(kind_title, facts)
    for pieces in ((about, light, measured), (about, light, ""), (about, lighting.title, ""), (study.title, "", "")):
        text = _joined(opening, *pieces)
        if len(text) <= LONGEST:
            return text
    return f"{opening}: {study.title}"[: LONGEST - 1].rstrip(" ,:") + "…"


def _joined(opening: str, about: str, light: str, measured: str) -> str:
    first = f"{opening}: {about}{f'. {light}' if light else ''}."
    return f"{first} {measured}".strip()


def _measured(kind_title: str, facts: Mapping[str, FactValue]) -> str:
    steps = _steps(kind_title)
    row = facts.get(f"values_{steps}_shares") if steps else None
    if isinstance(row, Sequence) and not isinstance(row, str):
        if len(row) > 5:
            # nine numbers read aloud help nobody: the heaviest one does
            heaviest = max(range(len(row)), key=row.__getitem__)
            return f"The largest part of the form, {part(row[heaviest])}, is step {heaviest + 1} from the dark end."
        return f"Dark to light, {shares(row)} of the form."
    shadow = facts.get("shadow_share")
    if isinstance(shadow, (int, float)):
        return f"Shadow covers {part(shadow)} of the form."
    return ""


def _steps(kind_title: str) -> int | None:
    """How many values a plate kind of that title has: ``Three values``, ``Values in 3 steps``; ``None`` for others."""
    words = re.findall(r"[a-z]+|\d+", kind_title.lower())
    if "values" not in words:
        return None
    counted = [_STEP_WORDS.get(word, int(word) if word.isdigit() else 0) for word in words]
    return next((count for count in counted if count in STEPS), None)
