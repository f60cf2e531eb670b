"""Alternative text for a plate: what it shows, in a sentence or two, from the description and the facts."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from builder.plates.fact_list import STEPS
from builder.plates.families import LEGEND
from builder.plates.plate import FactValue
from builder.prompts.filters import part, percent, shares
from builder.prompts.words import light_from, view_words
from builder.study.description import Lighting, Study, View

LONGEST = 250
"""Characters; a screen reader reads it without a pause."""

_STEP_WORDS = {"two": 2, "three": 3, "five": 5, "nine": 9}


def alt_text(
    study: Study, view: View, lighting: Lighting | None, kind_title: str, facts: Mapping[str, FactValue]
) -> str:
    """One or two plain sentences of at most :data:`LONGEST` characters; no ``lighting`` for a plate of the form, which
    is the same under every lamp.

    It opens with the plate kind and the view's number, so that no two plates of a study under one lighting read alike.
    What does not fit is left out, the measured part first. ``facts`` may be those of the view or of the plate alone.
    """
    opening = f"{kind_title}, view {view.number}"
    about = f"{study.title}, {view_words(view)}"
    title = lighting.title if lighting else ""
    light = f"{title}: light {light_from(view, lighting.key)}" if lighting else ""
    measured = _measured(kind_title, facts) if lighting else _of_form(kind_title, facts)
    told = [(about, light, each) for each in measured]
    for pieces in (*told, (about, light, ""), (about, title, ""), (study.title, "", "")):
        text = _joined(opening, *pieces)
        if len(text) <= LONGEST:
            return text
    return f"{opening}: {study.title}"[: LONGEST - 1].rstrip(" ,:") + "…"


def _joined(opening: str, about: str, light: str, measured: str) -> str:
    first = f"{opening}: {about}{f'. {light}' if light else ''}."
    return f"{first} {measured}".strip()


def _measured(kind_title: str, facts: Mapping[str, FactValue]) -> list[str]:
    """What the plate was measured to show, the fullest wording first."""
    title = set(re.findall(r"[a-z]+", kind_title.lower()))
    light, shadow = facts.get("light_share"), facts.get("shadow_share")
    if "families" in title or {"light", "shadow"} <= title:
        told = [_of_families(facts)] if "families" in title else []
        if light is not None and shadow is not None:
            told.append(f"Light covers {percent(light)} of the form, shadow {percent(shadow)}.")
        return [each for each in told if each]
    steps = _steps(kind_title)
    row = facts.get(f"values_{steps}_shares") if steps else None
    if isinstance(row, tuple):
        return [_of_steps(row)]
    return [f"Shadow covers {part(shadow)} of the form."] if isinstance(shadow, (int, float)) else []


def _of_form(kind_title: str, facts: Mapping[str, FactValue]) -> list[str]:
    """What a plate of the form was measured to show."""
    sides = {"Envelope": "envelope", "Few straight lines": "few", "More straight lines": "many"}.get(kind_title)
    if sides is not None and f"{sides}_sides" in facts:
        return [f"{facts[f'{sides}_sides']} straight sides."]
    spacing, across = facts.get("sections_spacing_mm"), facts.get("grid_squares")
    if "sections" in kind_title and isinstance(spacing, int | float):
        return [f"Lines {spacing:g} mm apart on the model."]
    if kind_title == "Grid" and across is not None:
        return [f"{across} squares across."]
    ratio = facts.get("width_to_height")
    return [f"Its width is {ratio:.2f} of its height."] if isinstance(ratio, int | float) else []


def _of_families(facts: Mapping[str, FactValue]) -> str:
    covered = [facts.get(f"family_{family.word}_share") for family in LEGEND]
    if None in covered:
        return ""
    told = [f"{family.word} {percent(share)}" for family, share in zip(LEGEND, covered, strict=True)]
    return f"Of the form: {', '.join(told[:3])}; {', '.join(told[3:])}."


def _of_steps(row: Sequence[float]) -> str:
    if len(row) <= 5:
        return f"Dark to light, {shares(row)} of the form."
    # nine numbers read aloud help nobody: the heaviest one does
    heaviest = max(range(len(row)), key=row.__getitem__)
    return f"The largest part of the form, {part(row[heaviest])}, is step {heaviest + 1} from the dark end."


def _steps(kind_title: str) -> int | None:
    """How many values a plate kind of that title has: ``Three values``, ``Values in 3 steps``; ``None`` for others."""
    words = re.findall(r"[a-z]+|\d+", kind_title.lower())
    if "values" not in words:
        return None
    counted = [_STEP_WORDS.get(word, int(word) if word.isdigit() else 0) for word in words]
    return next((count for count in counted if count in STEPS), None)
