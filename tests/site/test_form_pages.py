"""What pages say of the plates of the form: groups, lines, answers, sides, planes models and the pages about them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from mkdocs.commands.build import build
from mkdocs.exceptions import Abort

from builder.pack import Pack
from builder.site.about import about_pages
from builder.site.answers import answer_lines, questions
from builder.site.kinds import kind_groups, plate_files
from builder.site.pages import site_files
from builder.site.sides import lean_words, side_tables
from builder.words.words import Words
from tests.site.conftest import KINDS
from tests.site.invented import FORM_FACTS, LINES, measures
from tests.site.test_pages import tree_of
from tests.site.test_plugin import configured

VIEW, SHEET, STUDY = "studies/egg/view-002.md", "studies/egg/sheet-002.md", "studies/egg/index.md"


def test_kinds_stand_in_their_groups(pack: Pack, words: Words) -> None:
    """Every kind of the view once, in the order of the registry and not of the plates made, under its group's title."""
    groups = kind_groups(pack.studies[0].views[0], KINDS, words)
    assert [group.title for group in groups] == ["Light", "Planes", "Construction", "Form", "Measure"]
    assert [kind for group in groups for kind, _ in group.kinds] == list(KINDS)
    assert dict(groups[2].kinds) == {"block-in-1": "Envelope", "block-in-4": "Finished contour"}


def test_one_group_at_a_time_is_open(texts: dict[str, str]) -> None:
    """At first the members of the opening plate's group are shown, the others hidden; each group is named for ears."""
    tags = tree_of(texts[VIEW]).tags
    members = {a["data-members"]: a["class"] for _, a in tags if "data-members" in a}
    assert members == {
        "light": "cw-members",
        **dict.fromkeys(("planes", "construction", "form", "measure"), "cw-members cw-off"),
    }
    assert texts[VIEW].count("<legend>Plate: ") == 5


def test_a_file_of_lines_is_listed_once(pack: Pack, words: Words) -> None:
    """What no lamp changes stands under a head of its own; a contour with its shadow stands under every lamp."""
    files = list(plate_files(pack.studies[0].views[0], KINDS, words))
    assert [each.title for each in files] == ["Side lamp", "Tall window", "Low lamp", "The same under every lamp"]
    assert tuple(plate.kind for plate in files[-1].plates) == LINES
    for each in files[:-1]:
        kinds = [plate.kind for plate in each.plates]
        assert "block-in-4" in kinds
        assert not set(LINES) & set(kinds)


def test_under_one_lamp_nothing_is_the_same_under_every_lamp(pack: Pack, words: Words) -> None:
    """A study with one lighting lists all plates under it."""
    (only,) = plate_files(pack.studies[1].views[0], KINDS, words)
    assert only.lighting == "side-lamp"
    assert set(LINES) < {plate.kind for plate in only.plates}


def test_kinds_of_lines_say_what_they_lie_over(texts: dict[str, str]) -> None:
    """Their files name the tone plate; the measures' file says that its lines come with the answers."""
    links = {a["data-plate"]: a for tag, a in tree_of(texts[VIEW]).tags if tag == "a" and "data-plate" in a}
    assert {kind for kind, a in links.items() if a.get("data-over") == "tone"} == {*LINES, "block-in-4"}
    assert [kind for kind, a in links.items() if "data-asked" in a] == ["measures"]


def test_questions_and_answers_are_sentences(words: Words) -> None:
    """Numbers come with two decimals at most, names as they are."""
    asked = questions(measures(100), words)
    assert [one.number for one in asked] == [1, 2, 3]
    assert "1.28" in asked[0].answer
    assert "the stand's rim" in asked[1].answer
    assert all(one.asks and one.answer and "{" not in one.asks + one.answer for one in asked)


def test_answers_are_folded_and_their_lines_hidden(texts: dict[str, str]) -> None:
    """Each answer is folded by itself, its lines carry its number and are off, and an answer without lines has none."""
    tags = tree_of(texts[VIEW]).tags
    answers = [a for _, a in tags if "data-answer" in a]
    assert [a["data-answer"] for a in answers] == ["1", "2", "3"]
    assert not [a for a in answers if "open" in a]
    lines = [a for _, a in tags if "data-answer-lines" in a]
    assert [(a["data-answer-lines"], a["class"]) for a in lines] == [("1", "cw-off"), ("2", "cw-off")]


def test_lines_of_an_answer_are_where_the_measure_says() -> None:
    """Picture coordinates are the SVG's: a level at half of 125 px stands at 62.5, from 10 to 90."""
    svg = str(answer_lines(measures(100), 100, 125))
    assert 'viewBox="0 0 100 125"' in svg
    assert re.search(r'd="M10 62.5L90 62.5"', svg)
    assert re.search(r"<text[^>]*>2</text>", svg)


def test_leans_in_words(words: Words) -> None:
    """Whole degrees off plumb: none is plumb, 90 is level, + leans to the right at the top."""
    said = [lean_words(lean, words) for lean in (0.3, -0.4, 6.5, -52.0, 89.4, 89.6, -90.0)]
    assert said == ["plumb", "plumb", "6° to the right", "52° to the left", "89° to the right", "level", "level"]


def test_sides_and_negative_shapes_are_tables(words: Words) -> None:
    """A row for each side, numbered as in the drawing; a row for each piece of air, lettered as in the drawing."""
    sides, air = side_tables(FORM_FACTS, words)  # type: ignore[arg-type]
    assert (sides.kind, air.kind) == ("block-in-1", "block-in-1")
    assert sides.rows == (("1", "0.41", "level"), ("2", "0.72", "6° to the right"), ("3", "0.39", "52° to the left"))
    assert air.rows == (("A", "9\u00a0%"), ("B", "<\u00a01\u00a0%"))
    assert "lower right" in air.note
    assert list(side_tables({}, words)) == []


def test_tables_are_folded_and_not_printed(texts: dict[str, str]) -> None:
    """The view has them folded, for their plate alone; the sheet has none."""
    folds = [a for tag, a in tree_of(texts[VIEW]).tags if tag == "details" and "data-for-plate" in a]
    assert [(a["data-for-plate"], "open" in a) for a in folds] == [("block-in-1", False)] * 2
    assert "0.72" not in texts[SHEET]


def test_sheet_asks_and_answers_at_its_foot(texts: dict[str, str]) -> None:
    """Questions, then answers in the same numbers."""
    asked, rest = texts[SHEET].split('<ol class="cw-asked', 1)[1].split("</ol>", 1)
    key = rest.split('<div class="cw-key', 1)[1]
    numbers = re.compile(r'<li value="(\d+)">')
    assert numbers.findall(asked) == numbers.findall(key) == ["1", "2", "3"]
    assert "1.28" not in asked
    assert "1.28" in key
    assert "data-answer" not in texts[SHEET]


def test_planes_models_are_offered_with_their_numbers(texts: dict[str, str]) -> None:
    """Count and distance of each level, a link to each file; a study without any says nothing of it."""
    page = texts[STUDY].split('<h2 id="planes">')[1].split("</section>")[0]
    rows = re.findall(r'<th scope="row">(.*?)</th><td>(.*?)</td><td>(.*?)</td>', page)
    assert rows == [
        ("Big planes", "14", "5 mm on average (root mean square), 17.2 mm at most"),
        ("Middle planes", "40", "2 mm on average (root mean square), 8.1 mm at most"),
    ]
    assert re.findall(r'href="(.*?)" download', page) == [
        f"../../planes/egg-{level}.{suffix}" for level in (0, 1) for suffix in ("stl", "glb")
    ]
    assert 'id="planes"' not in texts["studies/pebble/index.md"]


def test_planes_beside_their_plate(texts: dict[str, str]) -> None:
    """How many there are, how many are seen, and how far the form is from them."""
    line = re.search(r'<span class="cw-planes">(.*?)</span>', texts[VIEW])
    assert line
    assert re.findall(r"\d[\d.]*", line[1])[:4] == ["14", "9", "2.5", "9.1"]


def test_symmetry_of_the_model(texts: dict[str, str]) -> None:
    """How far the model is from its own mirror image stands among the facts of the model."""
    assert re.search(r"mirror image.*?<dd>1.2 mm</dd>", texts[STUDY])


def test_a_page_says_which_plates_it_is_about() -> None:
    """By its front matter, one name or several; pages without the field are about none."""
    pages = [("plates/a.md", "content/plates/a.md", {"plates": ["tone", "grid"]}), ("b.md", "content/b.md", {})]
    pages.append(("c.md", "content/c.md", {"plates": "measures"}))
    assert about_pages(pages, KINDS) == {"tone": "plates/a.md", "grid": "plates/a.md", "measures": "c.md"}


def test_views_link_to_the_page_about_a_plate(pack: Pack, words: Words) -> None:
    """The link stands with the plate's paragraph, and only where there is a page."""
    made = {file.address: file for file in site_files(pack, words, KINDS, about={"grid": "plates/a.md"})}
    text = str(made[VIEW].content)
    assert text.count("How to use it") == 1
    assert re.search(r'data-for-plate="grid"[^>]*>In <em>squares</em>. <a href="../../plates/a.html">', text)


def test_wrong_names_of_plates_are_told(project: Path, pack: Pack, caplog: pytest.LogCaptureFixture) -> None:
    """A name that is no plate kind, and a kind that two pages claim, are named with their files."""
    content = project / "content"
    (content / "a.md").write_text("---\nplates: [tone, sculpture]\n---\n# A\n", encoding="utf-8")
    (content / "b.md").write_text("---\nplates: tone\n---\n# B\n", encoding="utf-8")
    with pytest.raises(Abort):
        build(configured(project, pack))
    assert "content/a.md: `plates` names 'sculpture', which is no plate kind; plate kinds are: tone, " in caplog.text
    assert (
        "content/b.md: `plates` names 'tone', as content/a.md does; one page is about a plate kind; "
        "take it out of one of the two." in caplog.text
    )
    assert "Traceback" not in caplog.text


def test_our_own_pages_are_about_all_there_is() -> None:
    """Every page in content/plates names kinds, has 150 to 350 words, mistakes, and an exercise with its minutes."""
    for path in sorted((Path(__file__).parents[2] / "content" / "plates").glob("*.md")):
        text = path.read_text(encoding="utf-8")
        body = text.split("---\n", 2)[2]
        assert re.search(r"^plates: \[.+\]$", text, re.MULTILINE), path.name
        assert 150 <= len(body.split()) <= 350, path.name
        assert re.search(r"^## Exercise: .*\d+ minutes$", text, re.MULTILINE), path.name
        assert "## Common mistakes" in text, path.name
