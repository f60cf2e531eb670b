"""The generated pages: which there are, and that each says what the pack says."""

from __future__ import annotations

import json
import re
from html import unescape
from html.parser import HTMLParser
from pathlib import Path

import pytest

from builder.pack import Pack
from builder.site.pages import SiteFile, site_files, studies_list
from builder.words.words import Words, load_words
from tests.site.conftest import KINDS
from tests.site.invented import LINES

VOID = {"img", "input", "link", "br", "hr", "meta"}


class Tree(HTMLParser):
    """Checks that tags nest, and keeps start tags."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def tree_of(text: str) -> Tree:
    tree = Tree()
    tree.feed(text.split("\n\n", 2)[2] if text.startswith("---") else text)
    assert tree.open == []
    return tree


def test_there_is_a_page_for_everything(texts: dict[str, str]) -> None:
    """Study, lamps, course, and for every view a page and a sheet; nothing else."""
    expected = {
        f"studies/{study}/{page}"
        for study, views in (("egg", 5), ("pebble", 2))
        for page in ["index.md", "lightings.md", "course.md"]
        + [f"{kind}-00{n}.md" for kind in ("view", "sheet") for n in range(1, views + 1)]
        if not (study == "pebble" and page.endswith("002.md"))
    } | {"studies/pebble/view-003.md", "studies/pebble/sheet-003.md"}
    assert set(texts) == expected


def test_only_studies_stand_in_the_menu(files: dict[str, SiteFile], texts: dict[str, str]) -> None:
    """Views, sheets and lamps are reached from their study."""
    assert {address for address in texts if files[address].in_menu} == {
        "studies/egg/index.md",
        "studies/pebble/index.md",
    }


def test_every_plate_is_a_file_of_the_site(pack: Pack, files: dict[str, SiteFile]) -> None:
    """Each plate, small picture and drawing is handed over once, as a path, at the address the pack gives."""
    plates = [
        plate
        for study in pack.studies
        for view in study.views
        for shown in view.shown.values()
        for plate in shown.plates.values()
    ]
    expected = {plate.address: plate.path for plate in plates}
    expected |= {plate.thumb_address: plate.thumb for plate in plates if plate.thumb_address and plate.thumb}
    expected |= {plate.drawing_address: plate.drawing for plate in plates if plate.drawing_address and plate.drawing}
    for planes in pack.studies[0].planes_files:
        expected |= {planes.stl_address: planes.stl, planes.glb_address: planes.glb}
    for sides in (study.sides for study in pack.studies if study.sides is not None):
        expected |= {sides.small_address: sides.small, sides.large_address: sides.large}
    assert {address: file.content for address, file in files.items() if isinstance(file.content, Path)} == expected


def test_pages_are_sound_html_without_styles_or_handlers(texts: dict[str, str]) -> None:
    """Tags nest, ids are unique, and nothing stands in a page that its policy forbids."""
    for address, text in texts.items():
        tags = tree_of(text).tags
        ids = [attributes["id"] for _, attributes in tags if "id" in attributes]
        assert len(ids) == len(set(ids)), address
        for tag, attributes in tags:
            assert tag not in ("style", "script"), address
            assert not [name for name in attributes if name == "style" or name.startswith("on")], address


def test_no_blank_line_ends_the_html_early(texts: dict[str, str]) -> None:
    """After the heading the page is one block, so that Markdown leaves it alone."""
    for text in texts.values():
        assert text.count("\n\n") == 2


def test_every_picture_has_size_and_description(texts: dict[str, str], pack: Pack) -> None:
    """Width and height as in the pack, and its description."""
    alts = {
        plate.alt
        for study in pack.studies
        for view in study.views
        for shown in view.shown.values()
        for plate in shown.plates.values()
    }
    for text in texts.values():
        for tag, attributes in tree_of(text).tags:
            if tag == "img" and "sides/" not in attributes["src"]:
                assert (attributes["width"], attributes["height"]) == ("12", "15")
                assert attributes["alt"] in alts


def test_labels_belong_to_their_buttons(texts: dict[str, str]) -> None:
    """Every label names an input of its page, and every group of choices has one chosen."""
    for text in texts.values():
        tags = tree_of(text).tags
        inputs = {attributes.get("id"): attributes for tag, attributes in tags if tag == "input"}
        assert all(attributes["for"] in inputs for tag, attributes in tags if tag == "label" and "for" in attributes)
        groups = {attributes["name"] for attributes in inputs.values() if "name" in attributes}
        for group in groups:
            chosen = [one for one in inputs.values() if one.get("name") == group and "checked" in one]
            assert len(chosen) == 1


def test_view_page_opens_as_the_pack_says(texts: dict[str, str]) -> None:
    """View 2 opens with the tall window: its plate, its prompts and its facts are the ones not hidden."""
    tags = tree_of(texts["studies/egg/view-002.md"]).tags
    picture = next(attributes for tag, attributes in tags if tag == "img" and "data-plate-picture" in attributes)
    assert picture["src"] == "../../plates/egg/002/window-tone.webp"
    for _, attributes in tags:
        lighting = attributes.get("data-for-lighting")
        if lighting is not None and "data-for-plate" not in attributes:
            assert ("cw-off" in (attributes.get("class") or "")) == (lighting != "window")


def test_view_page_lists_every_plate(texts: dict[str, str], pack: Pack) -> None:
    """Every plate of the view is a link with what the switch needs."""
    tags = tree_of(texts["studies/egg/view-002.md"]).tags
    listed = {
        (a["data-lighting"], a["data-plate"], a["href"], a["data-alt"], a.get("data-outlines"))
        for tag, a in tags
        if tag == "a" and "data-plate" in a
    }
    view = pack.studies[0].views[1]
    expected = {
        (
            "" if kind in LINES else name,
            kind,
            f"../../{plate.address}",
            plate.alt,
            f"../../{plate.drawing_address}" if plate.drawing_address else None,
        )
        for name, shown in view.shown.items()
        for kind, plate in shown.plates.items()
    }
    assert listed == expected


def test_outlines_are_links_without_scripts(texts: dict[str, str], pack: Pack) -> None:
    """Each plate's outlines are a named link beside it, in the view's list of files."""
    tags = tree_of(texts["studies/egg/view-002.md"]).tags
    listed = {a["href"]: a.get("aria-label") for tag, a in tags if tag == "a" and "data-outlines-file" not in a}
    for name, shown in pack.studies[0].views[1].shown.items():
        for kind, plate in shown.plates.items():
            if plate.drawing_address:
                lines = KINDS[kind].over != ""
                named = (
                    f"Lines: {KINDS[kind].title}" if lines else f"Outlines: {KINDS[kind].title}, {shown.lighting.title}"
                )
                assert listed[f"../../{plate.drawing_address}"] == named, name


def test_neighbours(texts: dict[str, str]) -> None:
    """The first view has no previous, the last no next; in between each leads one on."""

    def steps(address: str) -> dict[str, str]:
        return {a["rel"]: a["href"] for tag, a in tree_of(texts[address]).tags if tag == "a" and "rel" in a}  # type: ignore[misc]

    assert steps("studies/egg/view-001.md") == {"next": "view-002.html"}
    assert steps("studies/egg/view-003.md") == {"prev": "view-002.html", "next": "view-004.html"}
    assert steps("studies/egg/view-005.md") == {"prev": "view-004.html"}
    assert steps("studies/pebble/view-001.md") == {"next": "view-003.html"}


def test_facts_are_read_with_their_units(texts: dict[str, str]) -> None:
    """Shares in per cent, angles in degrees, lengths in mm, values with one decimal."""
    page = texts["studies/egg/view-002.md"].replace("\u00a0", " ")
    table = page.split('data-for-lighting="window">\n<table')[1].split("</div>")[0]
    rows = dict(re.findall(r'<tr><th scope="row">(.*?)</th><td>(.*?)</td></tr>', table))
    assert re.findall(r'scope="rowgroup">(.*?)</th>', table) == [
        "Size",
        "Lamps",
        "Light and shadow",
        "Values",
        "Difficulty",
    ]
    assert {
        name: rows[name]
        for name in (
            "Silhouette, height at true size",
            "Silhouette, width to height",
            "Lightest value, on a scale of 0 to 10",
            "Darkest value",
            "Part of the model seen in shadow",
            "Angle between the eye and the key lamp",
        )
    } == {
        "Silhouette, height at true size": "301 mm",
        "Silhouette, width to height": "0.78 : 1",
        "Lightest value, on a scale of 0 to 10": "9.1",
        "Darkest value": "1.5",
        "Part of the model seen in shadow": "42 %",
        "Angle between the eye and the key lamp": "75°",
    }
    assert table.count('href="../../plates/egg/002/window-facts.json"') == 1


@pytest.mark.parametrize(
    ("view", "where"),
    [
        (1, "from straight in front, eye level with its middle, 150 cm away"),
        (2, "from 30° round to the model's left, eye 20° above its middle, 150 cm away"),
        (5, "from 135° round to the model's right, eye 20° below its middle, 150 cm away"),
    ],
)
def test_where_the_eye_stands(texts: dict[str, str], view: int, where: str) -> None:
    """Bearing, level and distance in words."""
    assert where in unescape(texts[f"studies/egg/view-00{view}.md"]).replace("\u00a0", " ")


def test_sheet_hides_the_answers(texts: dict[str, str]) -> None:
    """What the student should check afterwards is not printed."""
    assert "Is one edge lost?" in texts["studies/egg/view-001.md"]
    assert "Is one edge lost?" not in texts["studies/egg/sheet-001.md"]


def test_lamp_table(texts: dict[str, str]) -> None:
    """Places are worked out from where the lamps stand: 1200 mm at 30 degrees up is 104 cm along and 60 cm over the
    middle, which is 15 cm over the base and 16.8 cm over the table."""
    text = texts["studies/egg/lightings.md"].replace("\u00a0", " ")
    section = text.split('<section aria-labelledby="side-lamp">')[1].split("</section>")[0]
    cells = re.findall(r'<th scope="row">(.*?)</th><td.*?>(.*?)(?: <span.*?>(.*?)</span>)?</td>', unescape(section))
    assert {name: (text, beside) for name, text, beside in cells} == {
        "To the side": ("100 cm to your right", "39½ in"),
        "In front or behind": ("27 cm towards you", "10½ in"),
        "Straight from the cross": ("104 cm", "41 in"),
        "Above the table": ("77 cm", "30 in"),
        "To the middle of the model": ("120 cm", "47 in"),
        "Round the model": ("75° to the model's left", "3:30 on a clock with 6 at your side"),
        "Tilt": ("30° down", ""),
        "What shines": ("round, 20 cm across", "7¾ in"),
        "Strength": ("sets the level", ""),
        "Light of the room": ("4 stops below the key: a sixteenth of its light", ""),
    }
    assert "0.5 stops above the key" in text


def test_prompts_are_markdown(texts: dict[str, str]) -> None:
    """Markup inside a line of a prompt is kept, and texts of the tutor are not read as HTML by accident."""
    assert "<strong>one</strong>" in texts["studies/egg/view-001.md"]
    assert "Egg &amp; stand" in texts["studies/egg/view-001.md"]


def test_first_page_lists_studies_with_their_counts(pack: Pack, words: Words) -> None:
    """One card a study: picture, link, and how much there is."""
    text = studies_list(pack, words)
    tags = tree_of(text.split("\n\n", 2)[2]).tags
    links = [attributes["href"] for tag, attributes in tags if tag == "a"]
    assert links == ["studies/egg/index.html", "studies/pebble/index.html"]
    assert "5 views, 3 lightings" in text
    assert "2 views, 1 lighting" in text


def test_notices_reach_the_tutor(texts: dict[str, str]) -> None:
    """What the builder noticed stands in the study's page."""
    assert "egg.ply: a crumb of 12 triangles was left out." in texts["studies/egg/index.md"]


def test_search_knows_a_view_by_title_place_and_opening_prompt(files: dict[str, SiteFile]) -> None:
    """What the search is given is short; sheets are not found at all."""
    found_by = files["studies/egg/view-002.md"].found_by
    assert found_by.startswith("Turned away, from above from 30° round")
    assert found_by.endswith("First look. Catch the whole under the tall window before any part of it.")
    assert len(found_by) < 300
    assert files["studies/egg/sheet-002.md"].found_by == ""


def test_front_matter_survives_any_title(pack: Pack, words: Words) -> None:
    """Title and description are JSON strings, which YAML reads as they are."""
    text = site_files(pack, words, KINDS)[0].content
    assert isinstance(text, str)
    lines = text.split("---")[1].strip().splitlines()
    front = dict(line.split(": ", 1) for line in lines)
    assert json.loads(front["title"]) == "Egg &amp; stand"  # the theme does not escape it
    assert json.loads(front["hide"]) == ["toc"]


def test_same_pack_same_bytes(pack: Pack) -> None:
    """Making the pages twice gives the same files."""
    first, second = (site_files(pack, load_words(), KINDS) for _ in range(2))
    assert first == second


def test_a_study_tells_what_its_model_is_and_shows_its_sides(texts: dict[str, str], files: dict[str, SiteFile]) -> None:
    """Every fact of the survey stands there, the picture has words in its place and leads to the large one."""
    page = texts["studies/egg/index.md"]
    for said in (
        "160 × 200 × 300 mm",
        "<dt>Bodies</dt><dd>2</dd>",
        "at the back, low: 21 mm across",
        "0.8 % of the surface is thinner than 6 mm; on its left, high: 2.1 mm thick, 14 mm across",
        "two like halves; the halves differ by 1.2 mm rms",
    ):
        assert said in page, said
    (picture,) = re.findall(r'<a href="([^"]*)"><img src="([^"]*)" width="12" height="9" [^>]*alt="([^"]+)"', page)
    assert picture[:2] == ("../../sides/egg.webp", "../../sides/egg-small.webp")
    assert "from the front, its left, the back" in picture[2]
    assert {"sides/egg.webp", "sides/egg-small.webp"} <= set(files)
    # a study whose model was not surveyed has no empty rows
    assert all(
        "Thin parts" not in text
        for address, text in texts.items()
        if address.startswith("studies/") and "egg" not in address
    )
