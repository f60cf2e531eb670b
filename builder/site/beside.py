"""What stands beside the plates of the form: questions, tables and a line on the planes, each for its plate kind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup

from builder.pack import StudyView
from builder.plates.plate import FactValue
from builder.site.answers import Question, answer_lines, questions
from builder.site.kinds import MEASURES, KindNames, offered
from builder.site.sides import Table, side_tables
from builder.words.words import Words, number

PLANES = {"planes-big": "big", "planes-middle": "middle", "planes-small": "small"}
"""Plate kinds of planes, and the word of their level in the facts."""


@dataclass(frozen=True, slots=True)
class Beside:
    """``asked`` the kind of plate that the questions belong to, empty without any; ``overlay`` the lines of their
    answers; ``lines`` the kinds whose lines may lie over another plate or stand alone, by a choice; ``outlined`` the
    kinds whose outlines bear the numbers of their greys; ``planes`` a line for a kind of planes.
    """

    asked: str
    questions: tuple[Question, ...]
    overlay: Markup
    tables: tuple[Table, ...]
    planes: tuple[tuple[str, str], ...]
    lines: tuple[str, ...]
    outlined: tuple[str, ...]


def beside(view: StudyView, kinds: Mapping[str, KindNames], words: Words) -> Beside:
    """What a view has of all this. The form is the same under every lamp, so the facts of one lighting tell it."""
    facts = view.shown[view.opens_with].facts
    made = offered(view, kinds)
    picture = next(iter(view.shown[view.opens_with].plates.values()))
    asked = MEASURES if MEASURES in made and view.measures else ""
    measures = view.measures if asked else ()
    return Beside(
        asked=asked,
        questions=questions(measures, words),
        overlay=answer_lines(measures, picture.width_px, picture.height_px),
        tables=tuple(table for table in side_tables(facts, words) if table.kind in made),
        planes=tuple(
            (kind, line) for kind, level in PLANES.items() if kind in made and (line := _planes(level, facts, words))
        ),
        lines=tuple(kind for kind in made if kinds[kind].over and kind != asked),
        outlined=tuple(kind for kind in made if kinds[kind].group == "light"),
    )


def _planes(level: str, facts: Mapping[str, FactValue], words: Words) -> str:
    count, seen = facts.get(f"planes_{level}_count"), facts.get(f"planes_{level}_seen")
    rms, greatest = facts.get(f"planes_{level}_rms_mm"), facts.get(f"planes_{level}_greatest_mm")
    if not (isinstance(rms, int | float) and isinstance(greatest, int | float)):
        return ""
    return words("planes.beside", count=count, seen=seen, rms=number(rms), greatest=number(greatest))
