"""A course through a study: its views from easy to hard, each under a lighting chosen for teaching, week by week."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise, permutations
from statistics import fmean

from builder.plates.plate import FactValue
from builder.prompts.words import turned

A_WEEK = 3
"""Views a week: one in class and two at home. Our division."""
BEST_LIGHT_SHARE = 0.6
"""Share of the form in light at which light and shadow both have room to be drawn, the light a little more: a lamp 45
degrees to the side and as far up lights three quarters of a sphere's disc, one square to the side half of it."""
CLEAR_STOPS = 3.0
"""Light and shadow so far apart are told apart at a glance; our division."""
LOOK_BACK = 2 * A_WEEK
"""A lighting set among so many lessons before is less wanted: two weeks."""
AGAIN = 0.1
"""How much less for each of those, on the scale of :func:`worth`."""
TOO_EARLY = 0.5
"""How much less a hard lamp is wanted in the first lesson; by the last nothing is left of it."""
OPENING = 2 * A_WEEK
"""Lessons of the first two weeks, which are balanced wherever a lighting of the view is."""
BALANCED = (0.35, 0.65)
"""Share of the form in light within which neither family is small; our division."""
BEHIND_DEG = 100.0
"""A lamp farther round from the eye shows mostly the shadow side; square to the eye is 90 degrees."""
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
    lessons = _opened(views)
    bearings = {view.number: view.bearing_deg for view in views}
    weeks: list[tuple[Lesson, ...]] = []
    for start in range(0, len(lessons), A_WEEK):
        before = weeks[-1][-1:] if weeks else ()
        orders = permutations(lessons[start : start + A_WEEK])
        weeks.append(min(orders, key=lambda order: (_alike((*before, *order), bearings), _turned_round(order))))
    return tuple(weeks)


def _opened(views: Sequence[Candidate]) -> list[Lesson]:
    """Easy before hard; a view among the first :data:`OPENING` that could be balanced and is not is lit anew, and the
    order taken again, until none is left. Ends, as each view is lit anew once at most.
    """
    chosen = {view.number: lighting for view, lighting in lit(views)}
    known = {view.number: view for view in views}
    while True:
        lessons = sorted(
            (_lesson(view, chosen[view.number]) for view in views),
            key=lambda lesson: (lesson.difficulty, lesson.number),
        )
        for lesson in lessons[:OPENING]:
            facts = known[lesson.number].facts
            balanced = [name for name, measured in facts.items() if _balanced(measured)]
            if balanced and lesson.lighting not in balanced:
                chosen[lesson.number] = max(balanced, key=lambda name: (not _hard(facts[name]), worth(facts[name])))
                break
        else:
            return lessons


def _balanced(facts: Mapping[str, FactValue]) -> bool:
    low, high = BALANCED
    return low <= _number(facts, "light_share") <= high


def worth(facts: Mapping[str, FactValue]) -> float:
    """What a lighting of a view teaches of light and shadow, 0..1: how near their balance comes to
    :data:`BEST_LIGHT_SHARE`, times a half that is given and a half for how far apart they lie, along as much of their
    edges as the shadow is the darker. A view all in one of the two has nothing to tell apart, so that half is 0.
    """
    balance = 1.0 - abs(_number(facts, "light_share") - BEST_LIGHT_SHARE) / BEST_LIGHT_SHARE
    clear = 0.0
    if "light_to_shadow_stops" in facts and "family_rule_share" in facts:
        apart = min(1.0, max(0.0, _number(facts, "light_to_shadow_stops") / CLEAR_STOPS))
        clear = apart * _number(facts, "family_rule_share")
    return balance * (1.0 + clear) / 2.0


def lit(views: Sequence[Candidate]) -> tuple[tuple[Candidate, str], ...]:
    """Each view with the lighting it is set under, roughly from easy to hard; of equal lightings the first.

    The lighting that is worth most is taken, less :data:`AGAIN` for each time that it was set among the last
    :data:`LOOK_BACK`, and less up to :data:`TOO_EARLY` for a hard lamp.
    """
    waiting = sorted(views, key=lambda view: (_ease(view), view.number))
    chosen: list[tuple[Candidate, str]] = []
    for place, view in enumerate(waiting):
        early = 1.0 - place / len(waiting)
        before = Counter(name for _, name in chosen[-LOOK_BACK:])
        wanted = {
            name: worth(facts) - AGAIN * before[name] - (TOO_EARLY * early if _hard(facts) else 0.0)
            for name, facts in view.facts.items()
        }
        chosen.append((view, max(wanted, key=wanted.__getitem__)))
    return tuple(chosen)


def _hard(facts: Mapping[str, FactValue]) -> bool:
    """A lamp from below, which throws shadows the way we seldom see, or from behind, which leaves little light."""
    return _number(facts, "key_elevation_deg") < 0.0 or _number(facts, "key_from_eye_deg") > BEHIND_DEG


def _ease(view: Candidate) -> float:
    return fmean(_number(facts, "difficulty") for facts in view.facts.values())


def _lesson(view: Candidate, lighting: str) -> Lesson:
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
