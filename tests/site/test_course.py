"""The page of a study's course: every view once, under one lighting, with its reason and what to begin with."""

from __future__ import annotations

import re

from builder.pack import Pack
from builder.words.words import Words


def test_every_view_is_set_once_under_a_lighting_it_has(pack: Pack, texts: dict[str, str]) -> None:
    for study in pack.studies:
        page = texts[f"studies/{study.study.name}/course.md"]
        set_ = re.findall(r'<a href="view-(\d+)\.html#([a-z-]+)/tone">', page)
        assert sorted(int(number) for number, _ in set_) == sorted(view.view.number for view in study.views)
        shown = {view.view.number: view.shown for view in study.views}
        assert all(lighting in shown[int(number)] for number, lighting in set_)
        assert page.count("of 10.") == len(set_)


def test_it_is_reached_from_the_study_and_leads_back(texts: dict[str, str], words: Words) -> None:
    assert f'<a href="course.html">{words("course.link")}</a>' in texts["studies/egg/index.md"]
    assert f'<a href="index.html">{words("course.back")}</a>' in texts["studies/egg/course.md"]


def test_it_goes_from_easy_to_hard_by_weeks(texts: dict[str, str]) -> None:
    """The hardest of a week is no harder than the easiest of the next."""
    weeks = texts["studies/egg/course.md"].split("<h2 ")[1:]
    graded = [[float(n) for n in re.findall(r"Difficulty ([\d.]+) of 10", week)] for week in weeks]
    assert len(graded) == 2 and all(graded)
    assert max(graded[0]) <= min(graded[1])


def test_the_lesson_says_what_to_begin_with(pack: Pack, texts: dict[str, str]) -> None:
    prompt = pack.studies[0].views[0].shown[pack.studies[0].study.lightings[0].name].prompts[0]
    assert f"Begin with: {prompt.title}, {prompt.minutes} minutes." in texts["studies/egg/course.md"]
