"""Alternative text: short, true, and never twice the same on a page."""

from collections.abc import Mapping
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from builder.plates.plate import FactValue
from builder.plates.registry import KINDS
from builder.prompts.alt import LONGEST, alt_text
from builder.prompts.facts import SPECIMEN
from builder.study.description import Lighting, Study
from builder.study.lightings import LIGHTINGS
from builder.study.presets import PRESETS
from tests.prompts.described import view

TITLES = [kind.title for kind in KINDS]


def test_a_plate_is_told_whole(study: Study, lighting: Lighting, facts: Mapping[str, FactValue]) -> None:
    """What it is, from where it is seen, how it is lit, and what was measured."""
    assert alt_text(study, view(), lighting, "Three values", facts) == (
        "Three values, view 12: A small torso, three-quarter view from its left, eye a little below its middle. "
        "Side lamp: light from the upper left. Dark to light, 26%, 41% and 33% of the form."
    )
    assert alt_text(study, view(), lighting, "Tone", facts).endswith("Shadow covers about a third of the form.")


@pytest.mark.parametrize(
    ("title", "said"),
    [
        ("Two values", "Dark to light, 42% and 58% of the form."),
        ("Values in 5 steps", "Dark to light, 12%, 24%, 21%, 28% and 15% of the form."),
        ("Nine values", "The largest part of the form, about a seventh, is step 7 from the dark end."),
        ("Four values", "Shadow covers about a third of the form."),
        ("Light families", "Of the form: highlight 3%, light 39%, halftone 22%; core 17%, cast 8%, reflected 11%."),
        ("Light and shadow only", "Light covers 64% of the form, shadow 36%."),
    ],
)
def test_plates_in_flat_greys_tell_their_own_shares(
    study: Study, lighting: Lighting, facts: Mapping[str, FactValue], title: str, said: str
) -> None:
    assert alt_text(study, view(), lighting, title, facts).endswith(said)


def test_families_are_told_as_two_where_six_do_not_fit(
    study: Study, lighting: Lighting, facts: Mapping[str, FactValue]
) -> None:
    """A long title costs the six shares first; light against shadow is still told, and without facts nothing is."""
    long = replace(study, title="A small torso with one raised arm, cast from the life and worked over twice")
    told = alt_text(long, view(), lighting, "Light families", facts)
    assert told.endswith("Side lamp: light from the upper left. Light covers 64% of the form, shadow 36%.")
    assert alt_text(study, view(), lighting, "Light families", {}).endswith("light from the upper left.")


def test_no_two_plates_of_a_study_read_alike(study: Study, facts: Mapping[str, FactValue]) -> None:
    seen = [seen for preset in PRESETS for seen in preset.views()]
    told = {alt_text(study, v, light, title, facts) for v in seen for light in LIGHTINGS for title in TITLES}
    assert len(told) == len(seen) * len(LIGHTINGS) * len(TITLES)


def test_the_sets_of_views_and_lightings_are_told_in_full(study: Study, facts: Mapping[str, FactValue]) -> None:
    """With an ordinary title there is room for the view, the light and the shares."""
    for preset in PRESETS:
        for seen in preset.views():
            for light in LIGHTINGS:
                assert "of the form" in alt_text(study, seen, light, "Five values", facts)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(title=st.text(min_size=1, max_size=400), light=st.text(min_size=1, max_size=200))
def test_it_is_never_too_long_whatever_the_titles(study: Study, lighting: Lighting, title: str, light: str) -> None:
    """Long titles cost the measured part first, then the light; kind and view stay, so texts stay apart."""
    study, lighting = replace(study, title=title), replace(lighting, title=light)
    told = [alt_text(study, view(), lighting, kind, SPECIMEN) for kind in TITLES]
    assert all(len(text) <= LONGEST for text in told)
    assert len(set(told)) == len(TITLES)
    assert all(text.startswith(f"{kind}, view 12: ") for text, kind in zip(told, TITLES, strict=True))


def test_it_does_without_facts(study: Study, lighting: Lighting) -> None:
    assert alt_text(study, view(), lighting, "Three values", {}).endswith("Side lamp: light from the upper left.")
