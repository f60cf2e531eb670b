"""A course through a study: its views from easy to hard, each under the lighting that shows it best, week by week."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise, permutations

from builder.plates.plate import FactValue
from builder.prompts.words import turned

A_WEEK = 3
"""Views a week: one in class and two at home. Our division."""
BEST_LIGHT_SHARE = 0.6
"""Share of the form in light at which light and shadow both have room to be drawn, the light a little more: a lamp 45
degrees to the side and as far up lights three quarters of a sphere's disc, one square to the side half of it."""
ALIKE_DEG = 25.0
"""Bearings nearer than this look like one view; the sets of views go round in steps of 15, 30 and 45 degrees."""
CAUSES = ("foreshortening", "shapes", "values")
GRADES = (0.35, 0.5)
"""Where little of a cause ends and much of it begins, 0..1; our division."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A view that may be set: its number, its bearing, and what was measured under each lighting."""

    number: int
    bearing_deg: float
    facts: Mapping[str, Mapping[str, FactValue]]


@dataclass(frozen=True, slots=True)
class Lesson:
    """A view under a lighting in the course.

    ``reasons``: what makes it hardest, then what makes it easiest, each a cause and its grade on its own scale, such as
    ``foreshortening_high`` and ``shapes_low``.
    """

    number: int
    lighting: str
    difficulty: float
    reasons: tuple[str, str]


def course(views: Sequence[Candidate]) -> tuple[tuple[Lesson, ...], ...]:
    """The lessons, week by week: no view of a week is easier than one of a week before.

    Within a week they stand in the order that sets the fewest views of nearly one bearing side by side (the last of the
    week before counts too) and, of those, comes nearest to easy before hard.
    """
    lessons = sorted((_lesson(view) for view in views), key=lambda lesson: (lesson.difficulty, lesson.number))
    bearings = {view.number: view.bearing_deg for view in views}
    weeks: list[tuple[Lesson, ...]] = []
    for start in range(0, len(lessons), A_WEEK):
        before = weeks[-1][-1:] if weeks else ()
        orders = permutations(lessons[start : start + A_WEEK])
        weeks.append(min(orders, key=lambda order: (_alike((*before, *order), bearings), _turned_round(order))))
    return tuple(weeks)


def best_lighting(facts: Mapping[str, Mapping[str, FactValue]]) -> str:
    """The lighting that leaves nearest to :data:`BEST_LIGHT_SHARE` of the form in light; the first of equals."""
    return min(facts, key=lambda name: abs(_number(facts[name], "light_share") - BEST_LIGHT_SHARE))


def _lesson(view: Candidate) -> Lesson:
    lighting = best_lighting(view.facts)
    facts = view.facts[lighting]
    weighed = [(_number(facts, f"difficulty_{cause}"), cause) for cause in CAUSES]
    return Lesson(
        view.number,
        lighting,
        _number(facts, "difficulty"),
        reasons=(_reason(*max(weighed)), _reason(*min(weighed))),
    )


def _reason(weight: float, cause: str) -> str:
    low, high = GRADES
    return f"{cause}_{'low' if weight < low else 'high' if weight > high else 'middle'}"


def _alike(order: Sequence[Lesson], bearings: Mapping[int, float]) -> int:
    """How many neighbours are seen from nearly the same side."""
    turns = [bearings[lesson.number] for lesson in order]
    return sum(abs(turned(one - two)) < ALIKE_DEG for one, two in pairwise(turns))


def _turned_round(order: Sequence[Lesson]) -> int:
    """How many pairs stand hard before easy."""
    return sum(one.difficulty > two.difficulty for place, one in enumerate(order) for two in order[place + 1 :])


def _number(facts: Mapping[str, FactValue], name: str) -> float:
    value = facts[name]
    assert isinstance(value, int | float)
    return float(value)
