"""The course: from easy to hard, week by week, and no view beside its like where that can be helped."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from builder.prompts.course import A_WEEK, ALIKE_DEG, BALANCED, OPENING, Candidate, Lesson, course, lit
from builder.prompts.words import turned


def candidate(number: int, bearing_deg: float, difficulty: float, light: dict[str, float] | None = None) -> Candidate:
    facts = {
        name: {
            "light_share": share,
            "key_elevation_deg": 30.0,
            "key_from_eye_deg": 60.0,
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
    """Alike otherwise, the nearest to three fifths of the form in light; its own difficulty is what counts."""
    ((lesson,),) = course([candidate(1, 0, 4.0, {"rim": 0.1, "window": 0.7, "front": 1.0})])
    assert (lesson.lighting, lesson.difficulty) == ("window", 4.0)


def test_reasons_name_the_greatest_and_the_least_cause() -> None:
    ((easy,),), ((hard,),) = course([candidate(1, 0, 0.5)]), course([candidate(1, 0, 9.0)])
    assert easy.reasons == ("shapes_middle", "foreshortening_low")
    assert hard.reasons == ("foreshortening_high", "values_low")


def taught(number: int, lamps: dict[str, dict[str, float]]) -> Candidate:
    """A view whose difficulty is its number, under lightings of which some facts are told."""
    plain = candidate(number, 60.0 * number, float(number), dict.fromkeys(lamps, 0.6))
    clear = {"light_to_shadow_stops": 2.0, "family_rule_share": 1.0}
    return Candidate(
        number, plain.bearing_deg, {name: {**plain.facts[name], **clear, **told} for name, told in lamps.items()}
    )


def test_of_lightings_as_evenly_balanced_the_clearer_is_chosen() -> None:
    """Light and shadow farther apart, and along more of their edges the shadow the darker."""
    stops = {"flat": {"light_to_shadow_stops": 0.5}, "clear": {"light_to_shadow_stops": 2.5}}
    edges = {"mixed": {"family_rule_share": 0.5}, "clean": {"family_rule_share": 1.0}}
    assert [lit([taught(1, lamps)])[0][1] for lamps in (stops, edges)] == ["clear", "clean"]


def test_lightings_of_nearly_equal_worth_take_turns() -> None:
    """Three lamps a hair apart: no one of them is set twice before each has been set once."""
    lamps = {name: {"light_share": share} for name, share in (("a", 0.60), ("b", 0.61), ("c", 0.62))}
    names = [name for _, name in lit([taught(number, lamps) for number in range(1, 7)])]
    assert sorted(names[:3]) == sorted(names[3:]) == ["a", "b", "c"]


def test_lamps_from_below_and_behind_come_late() -> None:
    """They would be the clearer, and are not set at first; at the last they may be."""
    for hard in ({"key_elevation_deg": -30.0}, {"key_from_eye_deg": 120.0}):
        lamps = {"plain": {}, "other": {}, "hard": {**hard, "light_to_shadow_stops": 3.0}}
        names = [name for _, name in lit([taught(number, lamps) for number in range(1, 13)])]
        assert "hard" not in names[:4] and "hard" in names[-4:]


@given(st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1)), min_size=1, max_size=20))
def test_the_first_two_weeks_are_balanced_wherever_they_can_be(shares: list[tuple[float, float]]) -> None:
    """Whatever the lightings are: 35 to 65 of a hundred parts in light, if any lighting of the view has that."""
    low, high = BALANCED
    assert (low, high) == (0.35, 0.65)
    views = [
        candidate(number, 60.0 * number, number / 3, {"one": one, "two": two})
        for number, (one, two) in enumerate(shares, 1)
    ]
    lights = {view.number: {name: facts["light_share"] for name, facts in view.facts.items()} for view in views}
    for lesson in [lesson for week in course(views) for lesson in week][:OPENING]:
        could = any(low <= float(share) <= high for share in lights[lesson.number].values())  # type: ignore[arg-type]
        assert not could or low <= float(lights[lesson.number][lesson.lighting]) <= high  # type: ignore[arg-type]
