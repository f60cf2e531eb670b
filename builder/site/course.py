"""The course of a study for its page: what to draw week by week, from easy to hard, and why in that place."""

from __future__ import annotations

from dataclasses import dataclass

from builder.pack import ShownView, StudyPack, StudyView
from builder.prompts.course import Candidate, Lesson, course
from builder.prompts.prompt import Prompt
from builder.words.words import Words, number


@dataclass(frozen=True, slots=True)
class Entry:
    """A lesson for the page: its view under its lighting, why it stands there, how hard it is, and what to begin with,
    ``None`` for a study without prompts.
    """

    view: StudyView
    shown: ShownView
    reason: str
    difficulty: str
    prompt: Prompt | None


def course_of(study: StudyPack) -> tuple[tuple[tuple[StudyView, Lesson], ...], ...]:
    """The views of a study with their lessons, week by week: the same order on its page and in its workbook."""
    views = {view.view.number: view for view in study.views}
    candidates = [
        Candidate(view.view.number, view.view.bearing_deg, {name: shown.facts for name, shown in view.shown.items()})
        for view in study.views
    ]
    return tuple(tuple((views[lesson.number], lesson) for lesson in week) for week in course(candidates))


def course_weeks(study: StudyPack, words: Words) -> tuple[tuple[Entry, ...], ...]:
    """The lessons of a study for its page, week by week."""
    return tuple(tuple(_entry(lesson, view, words) for view, lesson in week) for week in course_of(study))


def _entry(lesson: Lesson, view: StudyView, words: Words) -> Entry:
    shown = view.shown[lesson.lighting]
    hard, easy = (words(f"course.{reason}") for reason in lesson.reasons)
    return Entry(
        view,
        shown,
        reason=words("course.reason", hard=f"{hard[:1].upper()}{hard[1:]}", easy=easy),
        difficulty=words("course.difficulty", n=number(lesson.difficulty)),
        prompt=shown.prompts[0] if shown.prompts else None,
    )
