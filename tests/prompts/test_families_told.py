"""What the prompts say of the light families follows what was measured of them."""

from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from builder.plates.plate import FactValue
from builder.prompts.library import load_library
from builder.prompts.prompt import Prompt
from builder.study.description import Lighting, Study
from tests.prompts.described import view

Told = Callable[..., Prompt]


@pytest.fixture
def told(tmp_path: Path, with_kinds: Callable[..., Study], lighting: Lighting, facts: Mapping[str, FactValue]) -> Told:
    """A prompt of a kind, under facts of which some are changed (``None``: not measured)."""
    library = load_library(tmp_path, {})

    def made(kind: str, **changed: FactValue | None) -> Prompt:
        values = {name: value for name, value in {**facts, **changed}.items() if value is not None}
        (prompt,) = library.prompts(with_kinds(kind), view(), lighting, values)
        return prompt

    return made


@pytest.mark.parametrize(
    ("core", "cast", "reflected", "said"),
    [
        (0.3, 0.0, 0.06, "Next to no shadow is thrown on the form itself"),
        (0.1, 0.2, 0.06, "More of the shadow on the form is thrown than its own"),
        (0.2, 0.1, 0.06, "let the two join into one shape"),
    ],
)
def test_thrown_shadow_is_spoken_of_where_there_is_any(
    told: Told, core: float, cast: float, reflected: float, said: str
) -> None:
    """Whether the form's own shadow or the thrown one is the larger decides what the student is asked to do."""
    prompt = told("shadow-shapes", family_core_share=core, family_cast_share=cast, family_reflected_share=reflected)
    assert said in prompt.steps[2]


@pytest.mark.parametrize(
    ("stops", "said"),
    [(0.8, "Keep it pale"), (3.0, "not even soft bounced light."), (4.5, "Make it dark"), (None, "bounced light.")],
)
def test_tone_of_the_shadow_follows_the_distance_of_the_families(told: Told, stops: float | None, said: str) -> None:
    """Families that lie close together ask for a pale shadow, those far apart for a dark one."""
    step = told("shadow-shapes", light_to_shadow_stops=stops).steps[3]
    assert said in step
    assert ("Keep it pale" in step, "Make it dark" in step) == (stops == 0.8, stops == 4.5)


def test_bounced_light_is_told_where_it_takes_a_good_part_of_the_shadow(told: Told) -> None:
    """0.12 of 0.36 is a third of the shadow; a twentieth of it is not worth a word."""
    shares = {"family_core_share": 0.16, "family_cast_share": 0.08}
    told_of = told("shadow-shapes", **shares, family_reflected_share=0.12, key_elevation_deg=30.0).look_for
    assert any("takes a good part of the shadow" in line for line in told_of)
    told_of = told("shadow-shapes", **shares, family_reflected_share=0.01, key_elevation_deg=30.0).look_for
    assert not any("a good part of the shadow" in line for line in told_of)


def test_the_place_that_breaks_the_family_rule_is_named(told: Told) -> None:
    """Where a shadow is as light as the light beside it the student is warned; elsewhere no line is left over."""
    kept = told("shadow-shapes", family_rule_worst_x=None, family_rule_worst_y=None)
    broken = told("shadow-shapes", family_rule_holds=False, family_rule_worst_x=0.1, family_rule_worst_y=0.9)
    assert [line for line in broken.look_for if line not in kept.look_for] == [
        "A trap in the lower left of the form: there the shadow is as light as the light beside it, or lighter. It "
        "belongs to the shadow all the same."
    ]


@pytest.mark.parametrize(
    ("picture_range", "light", "shadow", "told_of"),
    [("full", 6.2, 2.2, True), ("full", 4.1, 3.6, False), ("pencil", 6.2, 2.2, False), ("full", None, None, False)],
)
def test_the_gap_between_the_families_is_told_where_it_is_open(
    told: Told, picture_range: str, light: float | None, shadow: float | None, told_of: bool
) -> None:
    """The values of light and shadow along their edges are told when they lie apart and are those that are painted."""
    prompt = told("values", picture_range=picture_range, light_darkest_value=light, shadow_lightest_value=shadow)
    said = (
        "Where light and shadow meet on the form, the light side hardly goes below value 6, middle-light grey, and the "
        "shadow side hardly above value 2, very dark grey. Is that gap open in yours?"
    )
    assert (said in prompt.self_check) == told_of
