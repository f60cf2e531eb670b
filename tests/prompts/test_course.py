"""The course: from easy to hard, week by week, and no view beside its like where that can be helped."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from builder.prompts.course import A_WEEK, ALIKE_DEG, Candidate, Lesson, course
from builder.prompts.words import turned


def candidate(number: int, bearing_deg: float, difficulty: float, light: dict[str, float] | None = None) -> Candidate:
    facts = {
        name: {
            "light_share": share,
            "difficulty": difficulty,
            "difficulty_foreshortening": difficulty / 10,
            "difficulty_shapes": 0.4,
            "difficulty_values": 0.2,
        }
        for name, share in (light or {"side": 0.6}).items()
    }
    return Candidate(number, bearing_deg, facts)


@st.composite
def studies(draw: st.DrawFn) -> list[Candidate]:
    count = draw(st.integers(1, 20))
    return [
        candidate(number, draw(st.sampled_from(range(-180, 181, 15))), draw(st.floats(0, 10)))
        for number in draw(st.permutations(range(1, count + 1)))
    ]


def told(weeks: tuple[tuple[Lesson, ...], ...]) -> list[int]:
    return [lesson.number for week in weeks for lesson in week]


@given(studies())
def test_every_view_stands_in_it_once_and_weeks_go_from_easy_to_hard(views: list[Candidate]) -> None:
    """Full weeks but for the last, none of them easier than the one before."""
    weeks = course(views)
    assert sorted(told(weeks)) == sorted(view.number for view in views)
    assert [len(week) for week in weeks[:-1]] == [A_WEEK] * (len(weeks) - 1) and weeks[-1]
    hardest = 0.0
    for week in weeks:
        assert min(lesson.difficulty for lesson in week) >= hardest
        hardest = max(lesson.difficulty for lesson in week)


@given(studies())
def test_easy_comes_first_where_no_two_views_are_alike(views: list[Candidate]) -> None:
    """Nothing stands out of its order unless views seen from one side would stand side by side."""
    weeks = course(views)
    plain = sorted(views, key=lambda view: (view.facts["side"]["difficulty"], view.number))
    bearings = [view.bearing_deg for view in plain]
    if all(abs(turned(one - two)) >= ALIKE_DEG for one, two in pairwise(bearings)):
        assert told(weeks) == [view.number for view in plain]


def test_views_from_one_side_are_set_apart_within_their_week() -> None:
    """1 and 2 are both from in front; 3, the hardest of the week, comes between them."""
    assert told(course([candidate(1, 0, 1.0), candidate(2, 15, 2.0), candidate(3, 90, 3.0)])) == [1, 3, 2]
    # the last of a week counts for the first of the next
    views = [candidate(1, 0, 1.0), candidate(2, 90, 2.0), candidate(3, 180, 3.0), candidate(4, -175, 4.0)]
    assert told(course([*views, candidate(5, 60, 5.0)])) == [1, 2, 3, 5, 4]


def test_the_lighting_that_shows_both_families_is_chosen() -> None:
    """Nearest to three fifths of the form in light; its own difficulty is what counts."""
    ((lesson,),) = course([candidate(1, 0, 4.0, {"rim": 0.1, "window": 0.7, "front": 1.0})])
    assert (lesson.lighting, lesson.difficulty) == ("window", 4.0)


def test_reasons_name_the_greatest_and_the_least_cause() -> None:
    ((easy,),), ((hard,),) = course([candidate(1, 0, 0.5)]), course([candidate(1, 0, 9.0)])
    assert easy.reasons == ("shapes_middle", "foreshortening_low")
    assert hard.reasons == ("foreshortening_high", "values_low")
