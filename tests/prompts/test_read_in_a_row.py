"""Prompts read one after another, over the measured facts of both studies: no two alike among ten, clean English, and
every kind as varied as its views."""

import re
from dataclasses import replace
from functools import cache

import pytest

from builder.prompts.library import load_library
from builder.prompts.prompt import Prompt
from builder.study.read import read_study
from tests.prompts.stored_facts import LIGHTINGS, ROOT, stored

IN_A_ROW = 10
ROWS = [(study, lighting) for study, lightings in LIGHTINGS.items() for lighting in lightings]


@cache
def rows() -> dict[tuple[str, str], dict[str, list[Prompt]]]:
    """By study and lighting: every kind's prompts, view after view. Built-in templates only."""
    facts = stored()
    library = load_library(None, {})
    made: dict[tuple[str, str], dict[str, list[Prompt]]] = {}
    for name, lighting in ROWS:
        study = read_study(ROOT / "models" / name / "study.yml", ROOT)
        kinds: dict[str, list[Prompt]] = {}
        for view in study.views:
            for prompt in library.prompts(study, view, study.lighting(lighting), facts[name, view.number, lighting]):
                kinds.setdefault(prompt.kind, []).append(prompt)
        made[name, lighting] = kinds
    return made


@pytest.mark.parametrize("row", ROWS)
def test_no_two_prompts_among_ten_read_alike(row: tuple[str, str]) -> None:
    """What is read before drawing, opening, steps and what to look for, is never the same twice within ten views."""
    for kind, prompts in rows()[row].items():
        read = [(prompt.aim, prompt.steps, prompt.look_for) for prompt in prompts]
        again = [one[0] for place, one in enumerate(read) if one in read[max(0, place - IN_A_ROW + 1) : place]]
        assert not again, kind


@pytest.mark.parametrize("row", ROWS)
def test_most_openings_of_a_kind_are_its_own(row: tuple[str, str]) -> None:
    """At least three of four differ: views that are true neighbours may open alike, and go on otherwise."""
    for kind, prompts in rows()[row].items():
        assert len({prompt.aim for prompt in prompts}) >= 0.75 * len(prompts), kind


NOUNS = "shape|piece|gap|side|minute|landmark|unit|plane|time"
WRONG = re.compile(rf"undefined|\bNone\b|\bnan\b|[{{}}]|  |\b(1|one) (straight )?({NOUNS})s\b| [.,;:?]|\.\.|\*\*")


@pytest.mark.parametrize("row", ROWS)
def test_every_line_is_clean_english(row: tuple[str, str]) -> None:
    """A capital at the start, an end at the end, no fact left open, one space, no '1 shapes'."""
    for kind, prompts in rows()[row].items():
        for prompt in prompts:
            for line in (prompt.aim, *prompt.steps, *prompt.look_for, *prompt.self_check):
                assert not WRONG.search(line.replace("**", "")), (kind, line)
                assert re.match(r"[*\"]*[A-Z0-9]", line) and line[-1] in ".?!", (kind, line)


LEVELS = ("beginner", "steady", "advanced")


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("row", ROWS)
def test_an_opening_is_two_sentences_at_most(row: tuple[str, str], level: str) -> None:
    """At most two sentences and 44 words, names of landmarks among them; common practice of teaching, no source."""
    name, lighting = row
    study = read_study(ROOT / "models" / name / "study.yml", ROOT)
    study = replace(study, prompts=replace(study.prompts, level=level))  # type: ignore[arg-type]
    facts = stored()
    library = load_library(None, {})
    for view in study.views:
        for prompt in library.prompts(study, view, study.lighting(lighting), facts[name, view.number, lighting]):
            assert len(re.findall(r"[.?!](?= |$)", prompt.aim)) <= 2, (prompt.kind, prompt.aim)
            assert len(prompt.aim.split()) <= 44, (prompt.kind, prompt.aim)


COUNTED = r"three|four|five|six|seven|eight|nine|ten|eleven|twelve|\d+"
TOLD = re.compile(
    rf"\b(?:(?:{COUNTED}) (?:shapes?|straight sides?|degrees|units|times|gaps?)"
    rf"|\d+ wide to \d+ high|\d+ %|about (?:a|an|two|three|four|nine) (?:\w+)|value \d+)"
)
"""What is measured: counts of things, shares, ratios, angles, values."""


@pytest.mark.parametrize("row", ROWS)
def test_nothing_gives_away_what_is_checked(row: tuple[str, str]) -> None:
    """No number told under 'Check yourself' is told before it."""
    for kind, prompts in rows()[row].items():
        for prompt in prompts:
            asked = set(TOLD.findall(" ".join(prompt.self_check)))
            before = set(TOLD.findall(" ".join((prompt.aim, *prompt.steps, *prompt.look_for))))
            assert not asked & before, (kind, asked & before)
