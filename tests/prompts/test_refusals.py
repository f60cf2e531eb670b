"""What is refused in a page of prompts, and in which words."""

from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from builder.errors import PromptError
from builder.plates.fact_list import FACTS
from builder.plates.plate import FactValue
from builder.prompts.facts import WORDS
from builder.prompts.filters import BORROWED, FILTERS
from builder.prompts.grammar import faults
from builder.prompts.library import TEMPLATES, Library
from builder.study.description import Lighting, Study
from builder.study.report import any_of, listed
from tests.prompts.described import view

Complaints = Callable[[dict[str, str]], list[str]]
ALLOWED = "`{{ … }}`, `{% if %}`, comparisons, `and`, `or`, `not`, `in`, `is defined`, + - * /, lists and filters"
KINDS = (
    "kinds are `first-look`, `measures`, `block-in`, `shadow-shapes`, `values`, `planes`, `cross-contours`, "
    "`negative-shapes`, `memory` or `long-study`"
)
SECTIONS = (
    "sections are `## Steps`, `## Look for`, `## Check yourself` or `## Take care`, each with `, added` behind it to "
    "add to the list"
)
ROWS = (
    *("envelope_lengths", "envelope_off_plumb_deg", "few_lengths", "few_off_plumb_deg"),
    *("many_lengths", "many_off_plumb_deg", "negative_areas"),
    *(f"values_{n}_{of}shares" for n in (2, 3, 5, 9) for of in ("picture_", "")),
)
KNOWN = f"facts and words are {listed((*sorted(FACTS), *sorted(WORDS)))}"

PLACES = {
    "valeus.md": f"content/prompts/valeus.md: `valeus` is not a prompt kind; {KINDS}.",
    "bust/values.md": "content/prompts/bust/values.md: `bust` is not a study; studies are `gourd` or `torso`.",
    "torso/002-values.md": "content/prompts/torso/002-values.md: torso has no view 2; views are 1, 12.",
    "012-values.md": (
        "content/prompts/012-values.md: a page for one view lies outside its study; move it to its folder."
    ),
    "torso/extra/values.md": (
        "content/prompts/torso/extra/values.md: this page lies too deep; allowed are `<kind>.md`, "
        "`<study>/<kind>.md` and `<study>/<number>-<kind>.md`."
    ),
    "torso/values.txt": (
        "content/prompts/torso/values.txt: this is not a page of prompts; pages end in `.md`; move it elsewhere."
    ),
}


@pytest.mark.parametrize("address", PLACES)
def test_a_page_in_no_known_place_is_refused(complaints: Complaints, address: str) -> None:
    assert complaints({address: "## Steps\n- Draw.\n"}) == [PLACES[address]]


PAGES = {
    "unknown fact": (
        "## Steps\n- Draw.\n- Cover\n  {{ shadow_shares|percent }} of it.\n",
        [f"FILE:4: `shadow_shares` is not a fact; {KNOWN}; write `shadow_share` if that was meant."],
    ),
    "unknown fact, nothing like it": (
        "## Steps\n- {{ zzz }}\n",
        [f"FILE:2: `zzz` is not a fact; {KNOWN}."],
    ),
    "unknown filter": (
        "---\naim: 'Cover {{ shadow_share|precent }}'\n---\n",
        [
            "FILE:2: `precent` is not a filter; filters are "
            f"{listed(sorted((*FILTERS, *BORROWED)))}; write `percent` if that was meant."
        ],
    ),
    "broken template": (
        "## Steps\n- Cover {{ shadow_share|percent } of it.\n",
        [f"FILE:2: the template cannot be read (unexpected '}}'); allowed are {ALLOWED}."],
    ),
    "open if": (
        "## Steps\n- {% if number > 3 %}Draw.\n- Stop.\n",
        [
            f"FILE:2: the template cannot be read (an `{{% if %}}` is never closed); allowed are {ALLOWED}.",
        ],
    ),
    "loop": (
        "## Steps\n- {% for n in values_3_shares %}Draw.{% endfor %}\n",
        [f"FILE:2: a loop (`{{% for %}}`) is not allowed in a prompt; allowed are {ALLOWED}."],
    ),
    "not a row": (
        "## Steps\n- Draw {{ number[0] }} lines.\n",
        [f"FILE:2: `number` is not a row; rows are {any_of(ROWS)}; write `number` alone."],
    ),
    "beyond the row": (
        "## Steps\n- Cover {{ values_3_shares[3]|percent }}.\n",
        ["FILE:2: `values_3_shares[3]` does not exist; 0 to 2 are allowed."],
    ),
    "inside a row of any length": (
        "## Steps\n- {% if negative_areas is defined %}Find {{ negative_areas[1] }}.{% endif %}\n",
        ["FILE:2: `negative_areas[1]` may not exist; 0, the first, and -1, the last, are allowed."],
    ),
    "whole row": (
        "## Steps\n- Cover {{ values_3_shares }}.\n",
        [
            "FILE:2: a row of numbers stands where one number or word belongs; pick one with [0] or use `shares`.",
        ],
    ),
    "share out of range": (
        "## Steps\n- Cover\n  {{ (shadow_share * 100)|percent }}.\n",
        ["FILE:3: 'percent' takes a number from 0 to 1, and this is 36."],
    ),
    "word and number": (
        "## Steps\n- {% if key_side > 3 %}Draw.{% endif %}\n",
        ["FILE:2: a number and a word stand together where both must be the same."],
    ),
    "words added": (
        "## Steps\n- {{ key_side + lighting }}\n",
        ["FILE:2: `+` works on numbers."],
    ),
    "division by nothing": (
        "## Steps\n- {{ 3 / (number - number) }}\n",
        ["FILE:2: this divides by zero."],
    ),
    "another test": (
        "## Steps\n- {% if number is odd %}Draw.{% endif %}\n",
        [f"FILE:2: a test (`is …`) that is not `name is defined`; allowed are {ALLOWED}."],
    ),
    "whether an unknown fact is there": (
        "## Steps\n- {% if zzz is defined %}Draw.{% endif %}\n",
        [f"FILE:2: `zzz` is not a fact; {KNOWN}."],
    ),
    "a fact that some views lack": (
        "## Steps\n- The fill is\n  {{ fill_to_key_stops|round|int }} stops.\n",
        [
            "FILE:3: some views have no `fill_to_key_stops`; put what uses it between "
            "`{% if fill_to_key_stops is defined %}` and `{% endif %}`."
        ],
    ),
    "the wrong fact asked for": (
        "## Steps\n- {% if family_rule_share is defined %}{{ light_darkest_value|value }}{% endif %}\n",
        [
            "FILE:2: some views have no `light_darkest_value`; put what uses it between "
            "`{% if light_darkest_value is defined %}` and `{% endif %}`."
        ],
    ),
    "used where another is absent": (
        "## Steps\n- {% if family_core_value is defined %}Draw.{% else %}{{ family_cast_value|grey }}{% endif %}\n",
        [
            "FILE:2: some views have no `family_cast_value` or `family_core_value`; put what uses it between "
            "`{% if family_cast_value is defined %}` and `{% endif %}`."
        ],
    ),
    "a title that some views lack": (
        "---\ntitle: '{% if fill_to_key_stops is defined %}A fill{% endif %}'\n---\n",
        ["FILE:2: some views have no `fill_to_key_stops`, and then this comes out empty; say something else there."],
    ),
    "unknown field": (
        "---\ntime: 20\n---\n",
        ["FILE:2: `time` is not a field of a prompt; fields are `title`, `aim`, `minutes`, `medium` or `level`."],
    ),
    "field twice": (
        "---\ntitle: A\naim: B\ntitle: C\n---\n",
        ["FILE:4: `title` is given twice; keep this one or the one in line 2."],
    ),
    "field without text": (
        "---\ntitle:\n---\n",
        ["FILE:2: `title` is not a text; write a few words; put them in quotes if they begin with `{`."],
    ),
    "fields not closed": (
        "---\ntitle: A\n",
        ["FILE:1: the fields begin with `---` and never end; close them with a line `---`."],
    ),
    "fields not YAML": (
        "---\ntitle: A\naim: {{ number }} lines\n---\n",
        [
            "FILE:3: the fields cannot be read; allowed are lines `name: value`; put a text in quotes if it has a "
            "colon in it or begins with `{`, and take out tabs."
        ],
    ),
    "fields a list": (
        "---\n- title\n---\n",
        [
            "FILE:2: the fields are not written as `name: value`; fields are `title`, `aim`, `minutes`, `medium` or "
            "`level`."
        ],
    ),
    "level": (
        "---\nlevel: hard\n---\n",
        ["FILE:2: `hard` is not a level; levels are `beginner`, `steady` or `advanced`."],
    ),
    "unknown section": (
        "## Steps\n- Draw.\n\n## Hints\n- Look.\n",
        [f"FILE:4: `## Hints` is not a section of a prompt; {SECTIONS}."],
    ),
    "section of another depth": (
        "### Steps\n- Draw.\n",
        [f"FILE:1: `### Steps` is not a section of a prompt; {SECTIONS}."],
    ),
    "section twice": (
        "## Steps\n- Draw.\n## Steps\n- Stop.\n",
        ["FILE:3: `## Steps` is given twice; join it to line 1."],
    ),
    "section empty": (
        "## Steps\n",
        ["FILE:1: `## Steps` has no item; write a line that begins with `- ` under it."],
    ),
    "too many items": (
        "## Steps\n" + "- Draw.\n" * 13,
        ["FILE:1: `## Steps` has 13 items; at most 12 are allowed."],
    ),
    "text before the sections": (
        "\nDraw well.\n## Steps\n- Draw.\n",
        ["FILE:2: text stands outside a section; put it in a list under a `## ` heading."],
    ),
    "text outside the list": (
        "## Steps\n- Draw.\n{% if number > 3 %}\n",
        [
            "FILE:3: this line belongs to no item; begin it with `- `, or with two spaces if it goes on from the line "
            "above; an `{% if %}` stands inside its item, and an empty item is left out."
        ],
    ),
    "HTML": (
        "## Steps\n- Draw <b>well</b>.\n",
        ["FILE:2: a `<` begins an HTML tag; plain words, **bold** and *italic* are allowed."],
    ),
    "a text too long": (
        "## Steps\n- " + "x" * 3001 + "\n",
        ["FILE:2: a text of 3001 characters; at most 3000 are allowed; cut it in two."],
    ),
    "comes out too long": (
        "## Steps\n- " + "x" * 701 + "\n",
        ["FILE:2: the text comes to 701 characters; at most 700 are allowed."],
    ),
    "a file too long": (
        "x" * 65_537,
        ["FILE: the file has 65537 characters; at most 65536 are allowed."],
    ),
}


@pytest.mark.parametrize("case", PAGES)
def test_a_page_that_is_wrong_is_refused_by_line(complaints: Complaints, case: str) -> None:
    text, said = PAGES[case]
    file = "content/prompts/torso/012-values.md"
    assert complaints({"torso/012-values.md": text}) == [sentence.replace("FILE", file, 1) for sentence in said]


@pytest.mark.parametrize(
    "minutes",
    ["0", "601", "ten", "2.5", "'20'", "-3", "{beginner: 10}", "{beginner: 9, steady: 8, advanced: x}", "[1]"],
)
def test_minutes_that_are_no_time_are_refused(complaints: Complaints, minutes: str) -> None:
    assert complaints({"values.md": f"---\nminutes: {minutes}\n---\n"}) == [
        "content/prompts/values.md:2: `minutes` is not a time; allowed is a whole number from 1 to 600, or one for "
        "each of `beginner`, `steady` or `advanced`."
    ]


def test_everything_wrong_is_told_at_once(complaints: Complaints) -> None:
    """Problems of several files and of several lines of one file come together, by file and line."""
    told = complaints(
        {
            "nap.md": "",
            "torso/values.md": "---\nlevel: 3\ntime: 3\n---\n## Steps\n- {{ a }} {{ b }}\n- {{ now() }}\n## Hints\n",
        }
    )
    assert [sentence.split(" is ")[0].split("; ")[0] for sentence in told] == [
        "content/prompts/nap.md: `nap`",
        "content/prompts/torso/values.md:2: `3`",
        "content/prompts/torso/values.md:3: `time`",
        "content/prompts/torso/values.md:6: `a`",
        "content/prompts/torso/values.md:6: `b`",
        "content/prompts/torso/values.md:7: a call (a name followed by brackets)",
        "content/prompts/torso/values.md:8: `## Hints`",
    ]


def test_two_pages_for_one_view_are_refused(complaints: Complaints) -> None:
    assert complaints({"torso/001-values.md": "## Steps\n- A.\n", "torso/1-values.md": "## Steps\n- B.\n"}) == [
        "content/prompts/torso/1-values.md: this view has its values in content/prompts/torso/001-values.md too; join "
        "the two."
    ]


def test_a_page_that_is_no_text_is_refused(complaints: Complaints, tmp_path: Path) -> None:
    page = tmp_path / "content/prompts/values.md"
    page.parent.mkdir(parents=True)
    page.write_bytes(b"\xff\xfe\x00")
    assert complaints({}) == ["content/prompts/values.md: the file is not UTF-8 text; save it as UTF-8."]


def test_a_fact_that_is_not_there_is_told_with_its_line(
    library_of: Callable[[dict[str, str]], Library],
    with_kinds: Callable[..., Study],
    lighting: Lighting,
    facts: Mapping[str, FactValue],
) -> None:
    """All that goes wrong while prompts are put together comes in one error."""
    library = library_of({"memory.md": "## Steps\n- Draw.\n- Cover {{ shadow_share|percent }}.\n"})
    known = {name: value for name, value in facts.items() if name not in ("shadow_share", "lightest_y")}
    with pytest.raises(PromptError) as refusal:
        library.prompts(with_kinds("memory"), view(), lighting, known)
    lines = (TEMPLATES / "en/memory.md").read_text(encoding="utf-8").split("\n")
    light = next(number for number, line in enumerate(lines, 1) if line.startswith("- {% if lightest_y <"))
    shadow = next(number for number, line in enumerate(lines, 1) if line.startswith("- The outline is {{"))
    assert [problem.sentence() for problem in refusal.value.problems] == [
        "content/prompts/memory.md:3: view 12 of torso under side-lamp has no fact `shadow_share`.",
        f"en/memory.md:{light}: view 12 of torso under side-lamp has no fact `lightest_y`.",
        f"en/memory.md:{shadow}: view 12 of torso under side-lamp has no fact `shadow_share`.",
    ]


def test_what_goes_wrong_for_one_view_only_is_told_with_its_line(
    library_of: Callable[[dict[str, str]], Library],
    with_kinds: Callable[..., Study],
    lighting: Lighting,
    facts: Mapping[str, FactValue],
) -> None:
    page = "## Steps\n- {% if number < 9 %}Draw.{% endif %}\n## Look for\n- One in\n  {{ 1 / (number - 11) }}.\n"
    library = library_of({"memory.md": page})
    with pytest.raises(PromptError) as refusal:
        library.prompts(with_kinds("memory"), view(), lighting, {**facts, "number": 11})
    assert [problem.sentence() for problem in refusal.value.problems] == [
        "content/prompts/memory.md:2: `## Steps` comes out empty for view 12 of torso under side-lamp.",
        "content/prompts/memory.md:5: this divides by zero (view 12 of torso under side-lamp).",
    ]


ESCAPES = [
    "{{ ''.__class__ }}",
    "{{ lighting['__class__'] }}",
    "{{ lighting|attr('__class__') }}",
    "{{ (lighting,)|map('upper')|list }}",
    "{{ lighting.format(number) }}",
    "{{ self }}",
    "{{ self._TemplateReference__context }}",
    "{{ range(9) }}",
    "{{ cycler.__init__.__globals__ }}",
    "{{ namespace() }}",
    "{% include 'prompt.py' %}",
    "{% import 'prompt.py' as p %}",
    "{% extends 'prompt.py' %}",
    "{% macro a() %}{% endmacro %}",
    "{% set number = 3 %}",
    "{% set a %}{% endset %}",
    "{% call a() %}{% endcall %}",
    "{% filter upper %}a{% endfilter %}",
    "{% with a = 3 %}{% endwith %}",
    "{% for a in values_3_shares recursive %}{% endfor %}",
    "{% autoescape true %}{% endautoescape %}",
    "{% raw %}<script>{% endraw %}",
    "{{ '<script>' }}",
    "{{ 9 ** 9 ** 9 }}",
    "{{ 'a' * 999999999 }}",
    "{{ [1] * 999999999 }}",
    "{{ '%999999999d' % 1 }}",
    "{{ 'a' ~ 'b' }}",
    "{{ lighting|center(999999999) }}",
    "{{ lighting|replace('a', 'b') }}",
    "{{ lighting|format(number) }}",
    "{{ {'a': 1} }}",
    "{{ lighting[0:3] }}",
    "{{ values_3_shares[number] }}",
    "{{ number|round(precision=3) }}",
    "{{ number|round(*values_3_shares) }}",
    "{{ number is defined }}",
    "{% if number is defined(lighting) %}a{% endif %}",
    "{% if number is defined(*values_3_shares) %}a{% endif %}",
    "{% if lighting.x is defined %}a{% endif %}",
    "{% if number is callable %}a{% endif %}",
    "{{ lipsum() }}",
    "{{ true }}",
    "{{ none }}",
    "{{ " + "(" * 400 + "1" + ")" * 400 + " }}",
    "{{ " + "-" * 900 + "1 }}",
    "{{ " + "+".join(["1"] * 500) + " }}",
    "{{ " + "*".join(["999999"] * 9) + " }}",
]


@pytest.mark.parametrize("source", ESCAPES)
def test_ways_out_of_the_template_are_closed(complaints: Complaints, source: str) -> None:
    """Nothing reaches Python, the disk, a loop or a long text: each attempt is refused while the page is read."""
    told = complaints({"values.md": f"## Steps\n- {source}\n"})
    assert told and all(sentence.startswith("content/prompts/values.md:2: ") for sentence in told)
    assert not any("Traceback" in sentence or "object at" in sentence for sentence in told)


@pytest.mark.parametrize(
    "source",
    [
        "{{ number }}",
        "{{ values_3_shares[-1]|percent }}",
        "{{ (200 * width_to_height)|mm }}",
        "{{ ['a', 'b']|in_turn(number) }}",
        "{% if key_side in ('left',) and not number == 3 %}a{% elif level == 'steady' %}b{% else %}c{% endif %}",
        "{{ 'a' if number < 3 else 'b' }}",
        "{% if fill_to_key_stops is not defined or fill_to_key_stops < -3 %}a{% endif %}",
        "{# a note #}plain, a < b",
        "{{ values_9_shares|max|percent }} {{ (shadow_share * 100)|round|int }} {{ -bearing_deg }}",
    ],
)
def test_what_is_allowed_is_let_through(source: str) -> None:
    assert faults(source) == []
