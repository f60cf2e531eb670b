"""Prompts put together for a view, built-in and overridden."""

import re
import shutil
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from builder.errors import PromptError
from builder.plates.fact_list import FACTS
from builder.plates.plate import FactValue
from builder.prompts.compared import compared_words
from builder.prompts.facts import OPTIONAL, SPECIMEN, TOGETHER, WORDS, WORDS_SPECIMEN
from builder.prompts.filters import BORROWED, FILTERS
from builder.prompts.grammar import rendered
from builder.prompts.library import KINDS, TEMPLATES, Library, load_library, spoken
from builder.prompts.opening import begin_words
from builder.prompts.page import LEVELS
from builder.prompts.prompt import Prompt
from builder.prompts.unusual import CAUSES, unusual_words
from builder.study.description import Lighting, PromptChoice, Study, View
from builder.study.read import find_studies
from builder.study.schema import PROMPT_KINDS
from builder.study.values import slug
from tests.prompts.described import lamp, view
from tests.prompts.stored_facts import stored

Made = Callable[[dict[str, str]], Library]
BUILT_IN = load_library(None, {})


def shares(parts: int) -> st.SearchStrategy[tuple[float, ...]]:
    weights = st.lists(st.integers(0, 1000), min_size=parts, max_size=parts).filter(any)
    return weights.map(lambda row: tuple(weight / sum(row) for weight in row))


@st.composite
def any_facts(draw: st.DrawFn) -> dict[str, FactValue]:
    """Facts anywhere in their ranges; what must belong together does."""
    facts: dict[str, FactValue] = {}
    for fact in FACTS.values():
        if fact.shape == "shares":
            facts[fact.name] = draw(shares(fact.parts))
        elif fact.shape == "whole":
            facts[fact.name] = draw(st.integers(int(fact.low), int(fact.high)))
        elif fact.shape == "row":
            facts[fact.name] = tuple(draw(st.lists(st.floats(fact.low, fact.high), min_size=1, max_size=7)))
        elif fact.shape == "text":
            facts[fact.name] = draw(st.sampled_from(("nose base", "the whole width, against the whole height")))
        elif fact.shape == "word":
            facts[fact.name] = draw(st.sampled_from(fact.words or ("side-lamp",)))
        elif fact.shape == "yes-no":
            facts[fact.name] = draw(st.booleans())
        else:
            facts[fact.name] = draw(st.floats(fact.low, fact.high))
    light = draw(shares(2))
    facts |= {"light_share": light[0], "shadow_share": light[1]}
    facing = draw(shares(5))
    facts |= dict(zip(("top_share", "under_share", "front_share", "left_share", "right_share"), facing, strict=True))
    darkest, lightest = sorted((draw(st.floats(0, 10)), draw(st.floats(0, 10))))
    facts |= {
        "subject_darkest_value": darkest,
        "subject_lightest_value": lightest,
        "value_range": lightest - darkest,
        "subject_mean_value": draw(st.floats(darkest, lightest)),
    }
    alone = OPTIONAL.difference(*TOGETHER)
    groups = [*TOGETHER, *(frozenset({name}) for name in sorted(alone))]
    absent: set[str] = set().union(*draw(st.sets(st.sampled_from(groups))))
    return {name: value for name, value in facts.items() if name not in absent}


views = st.builds(
    lambda number, bearing, level: view(bearing, level, number),
    st.integers(1, 999),
    st.floats(-180, 180),
    st.floats(-89, 89),
)
lamps = st.builds(lambda bearing, rise: lamp(bearing, rise), st.floats(-180, 180), st.floats(-89, 89))


def texts(prompt: Prompt) -> list[str]:
    lists = (*prompt.steps, *prompt.look_for, *prompt.self_check, *prompt.cautions)
    return [prompt.title, prompt.aim, prompt.medium, *lists]


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(facts=any_facts(), seen=views, key=lamps, level=st.sampled_from(LEVELS))
def test_every_kind_reads_well_for_any_facts(
    study: Study, facts: dict[str, FactValue], seen: View, key: object, level: str
) -> None:
    """Whatever was measured, every prompt is whole sentences with sane numbers and nothing left unfilled."""
    study = replace(study, prompts=PromptChoice(KINDS, level))  # type: ignore[arg-type]
    lighting = Lighting("any", "Any lamp", key)  # type: ignore[arg-type]
    prompts = BUILT_IN.prompts(study, seen, lighting, facts)
    assert [prompt.kind for prompt in prompts] == list(KINDS)
    for prompt in prompts:
        assert prompt.minutes > 0
        assert len(prompt.steps) >= 3 and len(prompt.look_for) >= 2 and len(prompt.self_check) >= 2
        for text in texts(prompt):
            assert text
            assert not re.search(
                r"None|nan|inf\b|[Uu]ndefined|\{|\}|True|False|  | [.,;:?!]|\.\.|,,|\(\)|^[a-z].*\.$", text
            )
            assert all(0 <= int(number) <= 100 for number in re.findall(r"(\d+)%", text)), text
        for text in (*prompt.steps, *prompt.look_for, *prompt.self_check, prompt.aim):
            assert text.endswith((".", "?", "!")), text
            assert text[0].isupper() or text.startswith("**"), text
            # a sentence within the text begins with a capital too
            assert not re.search(r"[.?!] [a-z]", text), text


def test_words_are_those_that_are_spoken(study: Study, lighting: Lighting) -> None:
    """Every word promised to a template is there when it is put together, and no other."""
    found = {*unusual_words(SPECIMEN), *begin_words(SPECIMEN), *compared_words(SPECIMEN)}
    words = {*spoken(study, view(), lighting), *found, "level", "minutes"}
    assert words == WORDS.keys() == WORDS_SPECIMEN.keys()


def test_every_kind_has_a_built_in_page_and_no_page_is_unknown() -> None:
    for home in TEMPLATES.iterdir():
        assert sorted(page.stem for page in home.iterdir()) == sorted(KINDS)


def test_a_study_may_ask_for_no_kind_that_is_not_there() -> None:
    """Each kind the study file allows is one that prompts are written for."""
    assert {slug(kind) for kind in PROMPT_KINDS} <= set(KINDS)


def test_prompts_come_in_the_order_of_the_study(
    with_kinds: Callable[..., Study], lighting: Lighting, facts: Mapping[str, FactValue]
) -> None:
    study = with_kinds("values", "first-look")
    assert [p.kind for p in BUILT_IN.prompts(study, view(), lighting, facts)] == ["values", "first-look"]


def test_numbers_of_the_view_are_told(
    with_kinds: Callable[..., Study], lighting: Lighting, facts: Mapping[str, FactValue]
) -> None:
    """The self-check of the values names this view's own shares, in the steps that the level asks for."""
    facts = {**facts, "values_3_shares": (0.2, 0.45, 0.35), "values_5_shares": (0.11, 0.13, 0.17, 0.29, 0.3)}
    (easy,) = BUILT_IN.prompts(with_kinds("values", level="beginner"), view(), lighting, facts)
    (steady,) = BUILT_IN.prompts(with_kinds("values"), view(), lighting, facts)
    assert "From dark to light, the three values cover 20%, 45% and 35% of the form." in easy.self_check[0]
    assert "From dark to light, the five values cover 11%, 13%, 17%, 29% and 30% of the form." in steady.self_check[0]


def test_levels_change_the_minutes_and_the_steps(with_kinds: Callable[..., Study], lighting: Lighting) -> None:
    for kind in KINDS:
        made = {lv: BUILT_IN.prompts(with_kinds(kind, level=lv), view(), lighting, SPECIMEN)[0] for lv in LEVELS}
        assert len({prompt.minutes for prompt in made.values()}) == 3, kind
        assert len({prompt.steps for prompt in made.values()}) == 3, kind


@pytest.mark.parametrize("kind", KINDS)
def test_prompts_differ_where_the_facts_differ(with_kinds: Callable[..., Study], lighting: Lighting, kind: str) -> None:
    """The same view in another light, and the neighbouring view in the same light, are told in other words; a kind that
    is all form or all light, where that differs.
    """
    study = with_kinds(kind)
    other_light = {
        **SPECIMEN,
        "shadow_share": 0.12,
        "light_share": 0.88,
        "values_5_shares": (0.05, 0.1, 0.2, 0.3, 0.35),
    }
    other_view = {**SPECIMEN, "number": 13, "bearing_deg": 60.0, "width_to_height": 0.7}
    here = BUILT_IN.prompts(study, view(), lighting, SPECIMEN)
    lit_otherwise = BUILT_IN.prompts(study, view(), replace(lighting, key=lamp(80.0, 10.0)), other_light)
    beside = BUILT_IN.prompts(study, view(60.0, -10.0, 13), lighting, other_view)
    assert (lit_otherwise == here) == (kind in {"measures", "cross-contours"})
    assert beside != here or kind == "values"


def demo_like(number: int) -> dict[str, FactValue]:
    """Facts of one of ten views that follow one another in a study: nothing jumps, and nothing stands still."""
    step = (number - 1) / 9
    dark = 0.15 + 0.6 * step
    return {
        **SPECIMEN,
        "number": number,
        "bearing_deg": -90.0 + 180.0 * step,
        "eye_level_deg": -25.0 + 65.0 * step,
        "width_to_height": 0.62 + 0.3 * step,
        "shadow_share": dark,
        "light_share": 1.0 - dark,
        "values_3_shares": (dark, 0.6 - 0.6 * dark, 0.4 - 0.4 * dark),
        "values_5_shares": (dark, 0.05, 0.05, 0.05, 0.85 - dark),
        "front_share": 0.7 - 0.2 * step,
        "left_share": 0.05 + 0.2 * step,
        "right_share": 0.1,
        "first_tilt_deg": -9.0 + 18.0 * step,
        "longest_side_off_plumb_deg": -20.0 + 30.0 * step,
        "negative_areas": (0.03 + 0.1 * step, 0.02),
        "darkest_x": 0.1 + 0.8 * step,
        "lightest_y": 0.9 - 0.8 * step,
    }


def test_ten_views_in_a_row_are_ten_different_prompts(study: Study, lighting: Lighting) -> None:
    """And no two of them share their aim and all of their steps and what to look for, whatever their numbers."""
    made = []
    for n in range(1, 11):
        facts = demo_like(n)
        seen = view(facts["bearing_deg"], facts["eye_level_deg"], n)  # type: ignore[arg-type]
        made.append(BUILT_IN.prompts(study, seen, lighting, facts))
    for of_one_kind in zip(*made, strict=True):
        assert len(set(of_one_kind)) == 10, of_one_kind[0].kind
        assert len({prompt.self_check for prompt in of_one_kind}) == 10, of_one_kind[0].kind


def test_templates_know_no_other_causes() -> None:
    """Each word that a template compares with what is most unusual is one that is ever said, and each is said."""
    compared = set()
    for page in TEMPLATES.glob("en/*.md"):
        source = " ".join(page.read_text(encoding="utf-8").split())
        compared |= set(re.findall(r"(?:view|form|light)_(?:first|second) [!=]= '([^']*)'", source))
    assert compared == set(CAUSES) - {"plain"}


def test_an_override_changes_only_what_it_gives(
    library_of: Made, with_kinds: Callable[..., Study], lighting: Lighting, facts: Mapping[str, FactValue]
) -> None:
    study = with_kinds("block-in")
    (plain,) = BUILT_IN.prompts(study, view(), lighting, facts)
    page = "---\ntitle: Straight lines first\n---\n## Look for\n- The lean, {{ width_to_height|ratio }}.\n"
    library = library_of({"torso/block-in.md": page})
    (changed,) = library.prompts(study, view(), lighting, facts)
    assert changed == replace(plain, title="Straight lines first", look_for=("The lean, 3 wide to 4 high.",))


def test_the_nearer_override_is_the_stronger(
    library_of: Made, with_kinds: Callable[..., Study], lighting: Lighting, facts: Mapping[str, FactValue]
) -> None:
    """A view's page beats its study's, which beats the one for all; what each leaves out comes from the one before."""
    library = library_of(
        {
            "memory.md": "---\ntitle: For all\nmedium: ink\naim: Remember.\n---\n",
            "torso/memory.md": "---\ntitle: For the torso\nmedium: chalk\n---\n",
            "torso/001-memory.md": "---\ntitle: For view one\n---\n",
        }
    )
    study = with_kinds("memory")
    one, twelve = (library.prompts(study, view(number=n), lighting, facts)[0] for n in (1, 12))
    other = library.prompts(replace(study, name="gourd"), view(number=7), lighting, facts)[0]
    assert (one.title, one.medium, one.aim) == ("For view one", "chalk", "Remember.")
    assert (twelve.title, twelve.medium, twelve.aim) == ("For the torso", "chalk", "Remember.")
    assert (other.title, other.medium, other.aim) == ("For all", "ink", "Remember.")


def test_items_can_be_added_to_what_is_inherited(
    library_of: Made, with_kinds: Callable[..., Study], lighting: Lighting, facts: Mapping[str, FactValue]
) -> None:
    study = with_kinds("planes")
    (plain,) = BUILT_IN.prompts(study, view(), lighting, facts)
    library = library_of(
        {
            "planes.md": "## Look for, added\n- One more.\n",
            "torso/planes.md": "## Look for, added\n- And one.\n\n## Take care\n- Mind the knife.\n",
        }
    )
    (added,) = library.prompts(study, view(), lighting, facts)
    assert added.look_for == (*plain.look_for, "One more.", "And one.")
    assert added.cautions == ("Mind the knife.",)
    assert added.steps == plain.steps


def test_a_fact_that_some_views_lack_is_used_where_it_is_there(
    library_of: Made, with_kinds: Callable[..., Study], lighting: Lighting, facts: Mapping[str, FactValue]
) -> None:
    """A guarded item is filled in where the fact was measured, and left out where it was not."""
    guarded = (
        "{% if fill_to_key_stops is defined and fill_to_key_stops < 0 %}{{ fill_to_key_stops|round|int }}{% endif %}"
    )
    library = library_of({"memory.md": f"## Steps\n- Draw.\n- {guarded}\n"})
    without = {name: value for name, value in facts.items() if name not in OPTIONAL}
    there = library.prompts(with_kinds("memory"), view(), lighting, {**without, "fill_to_key_stops": -3.2})
    absent = library.prompts(with_kinds("memory"), view(), lighting, without)
    assert (there[0].steps, absent[0].steps) == (("Draw.", "-3"), ("Draw.",))


def test_facts_measured_together_are_asked_for_once(library_of: Made) -> None:
    """Every stored view has all or none of each group; a page that asks for one may use the others, and no more."""
    for there in stored().values():
        for group in TOGETHER:
            assert group <= there.keys() or not group & there.keys(), sorted(group)
    assert all(group <= OPTIONAL for group in TOGETHER)
    asked = "## Look for\n- {% if first_tilt_name is defined %}The {{ first_tilt_name }}: {{ first_tilt_deg|slope }}."
    library_of({"memory.md": f"{asked}{{% endif %}}\n"})
    with pytest.raises(PromptError, match="some views have no `unit_across`"):
        library_of({"memory.md": f"{asked} {{{{ unit_across|times }}}}.{{% endif %}}\n"})


def test_minutes_and_level_can_be_set(
    library_of: Made, with_kinds: Callable[..., Study], lighting: Lighting, facts: Mapping[str, FactValue]
) -> None:
    """One number holds for all levels; a pinned level wins over the study's."""
    library = library_of(
        {"values.md": "---\nminutes: 33\n---\n", "torso/memory.md": "---\nlevel: advanced\n---\n"},
    )
    values, memory = library.prompts(with_kinds("values", "memory"), view(), lighting, facts)
    (advanced,) = BUILT_IN.prompts(with_kinds("memory", level="advanced"), view(), lighting, facts)
    assert values.minutes == 33
    assert memory == advanced


def test_cautions_can_be_taken_out(
    library_of: Made, with_kinds: Callable[..., Study], lighting: Lighting, facts: Mapping[str, FactValue]
) -> None:
    library = library_of({"values.md": "## Take care\n"})
    assert BUILT_IN.prompts(with_kinds("values"), view(), lighting, facts)[0].cautions != ()
    assert library.prompts(with_kinds("values"), view(), lighting, facts)[0].cautions == ()


def test_an_item_that_comes_out_empty_is_left_out(
    library_of: Made, with_kinds: Callable[..., Study], lighting: Lighting, facts: Mapping[str, FactValue]
) -> None:
    page = "## Steps\n- Draw.\n- {% if shadow_share > 0.9 %}Only in the dark.{% endif %}\n"
    library = library_of({"memory.md": page})
    assert library.prompts(with_kinds("memory"), view(), lighting, facts)[0].steps == ("Draw.",)


def test_items_may_run_over_lines_and_be_numbered(
    library_of: Made, with_kinds: Callable[..., Study], lighting: Lighting, facts: Mapping[str, FactValue]
) -> None:
    page = "\ufeff## Steps\r\n1. Draw\r\n   slowly.\r\n\r\n2. Stop.\r\n"
    library = library_of({"memory.md": page})
    assert library.prompts(with_kinds("memory"), view(), lighting, facts)[0].steps == ("Draw slowly.", "Stop.")


def test_digest_follows_every_page(library_of: Made, tmp_path: Path) -> None:
    """The same pages give the same digest; another word, another file or no file gives another."""
    first = library_of({"torso/values.md": "---\ntitle: A\n---\n"}).digest()
    again = library_of({}).digest()
    second = library_of({"torso/values.md": "---\ntitle: B\n---\n"}).digest()
    moved = (
        shutil.move(tmp_path / "content/prompts/torso", tmp_path / "content/prompts/gourd") and library_of({}).digest()
    )
    shutil.rmtree(tmp_path / "content")
    none = library_of({}).digest()
    assert first == again
    assert len({first, second, moved, none}) == 4
    assert none == load_library(None, {}).digest()


def test_hidden_files_are_passed_over(library_of: Made) -> None:
    assert library_of({".draft.md": "what?", "torso/.notes/a.txt": ""}).digest() == load_library(None, {}).digest()


def test_unknown_language_is_refused() -> None:
    with pytest.raises(PromptError) as refusal:
        load_library(None, {}, "xx")
    assert str(refusal.value) == "prompts: there are no prompts in `xx`; languages are `en`."


def test_unknown_kind_of_a_study_is_refused(
    with_kinds: Callable[..., Study], lighting: Lighting, facts: Mapping[str, FactValue]
) -> None:
    study = with_kinds("values", "nap")
    said = (
        "torso: prompts: `nap` is not a prompt kind; kinds are `first-look`, `measures`, `block-in`, `shadow-shapes`, "
        "`values`, `planes`, `cross-contours`, `negative-shapes`, `memory` or `long-study`."
    )
    assert [problem.sentence() for problem in BUILT_IN.problems(study)] == [said]
    with pytest.raises(PromptError) as refusal:
        BUILT_IN.prompts(study, view(), lighting, facts)
    assert str(refusal.value) == said


def own_prompts_page() -> str:
    return (Path(__file__).parents[2] / "content/lessons/own-prompts.md").read_text(encoding="utf-8")


def test_the_tutors_page_lists_every_word() -> None:
    """What the page promises is what a template may use; the facts have a page of their own."""
    assert set(re.findall(r"^\| `([a-z_N0-9]+)` \| [^`]", own_prompts_page(), re.MULTILINE)) == WORDS.keys()
    assert "(../reference/facts.md)" in own_prompts_page()


def test_the_filters_on_the_tutors_page_give_what_it_says() -> None:
    """Each example is put together with the specimen facts and words."""
    rows = re.findall(r"^\| `(\w+)` \| `(\{\{ .+ \}\})` \| (.+) \|$", own_prompts_page(), re.MULTILINE)
    assert sorted(name for name, _, _ in rows) == sorted(FILTERS)
    values = {**SPECIMEN, **WORDS_SPECIMEN}
    assert [rendered(source, values) for _, source, _ in rows] == [gives for _, _, gives in rows]
    assert all(f"`{name}`" in own_prompts_page() for name in BORROWED)


def test_examples_on_the_tutors_page_can_be_used(library_of: Made) -> None:
    examples = re.findall(r"```markdown\n(.*?)```", own_prompts_page(), re.DOTALL)
    assert len(examples) == 3
    library_of({f"torso/{kind}.md": text for kind, text in zip(KINDS, examples, strict=False)})


def test_pages_of_this_projects_own_content_are_sound() -> None:
    """The overrides that ship with the demonstration fit its studies."""
    root = Path(__file__).parents[2]
    studies = {study.name: [v.number for v in study.views] for study in find_studies(root / "models", root)}
    assert load_library(root / "content", studies).digest() != load_library(None, {}).digest()


def told(study: Study, seen: View, lighting: Lighting, facts: Mapping[str, FactValue]) -> str:
    return " ".join(text for prompt in BUILT_IN.prompts(study, seen, lighting, facts) for text in texts(prompt))


def test_a_view_without_light_is_sent_to_no_light_shapes(with_kinds: Callable[..., Study], lighting: Lighting) -> None:
    """Where the lamp reaches nothing that is seen, no prompt asks for the light shapes."""
    facts = {**SPECIMEN, "light_share": 0.0, "shadow_share": 1.0, "values_2_shapes": 1}
    said = told(with_kinds("first-look", "shadow-shapes", "long-study"), view(180.0, 0.0), lighting, facts)
    assert not re.search("light shapes|Outline the lights|Search the edges for light|form in light", said)
    assert (
        told(with_kinds("shadow-shapes"), view(180.0, 0.0), lighting, SPECIMEN).count("Search the edges for light") == 1
    )


def test_shadows_run_up_only_where_the_light_is_seen_below(
    with_kinds: Callable[..., Study], lighting: Lighting
) -> None:
    """A low lamp seen from farther below still lights the picture from above."""
    low = replace(lighting, key=lamp(-20.0, -25.0))
    facts = {**SPECIMEN, "key_elevation_deg": -25.0}
    up = "Shadows run up the picture"
    assert up in told(with_kinds("shadow-shapes"), view(0.0, 0.0), low, facts)
    assert up not in told(with_kinds("shadow-shapes"), view(0.0, -80.0), low, facts)


@pytest.mark.parametrize(
    ("around", "said"),
    [
        (2.0, "It is darker than the form"),
        (8.5, "Keep the background lighter"),
        (5.4, "It is close to the middle value"),
    ],
)
def test_the_background_is_told_as_it_was_measured(
    with_kinds: Callable[..., Study], lighting: Lighting, around: float, said: str
) -> None:
    facts = {**SPECIMEN, "subject_mean_value": 5.6, "around_value": around}
    assert said in told(with_kinds("values"), view(), lighting, facts)
