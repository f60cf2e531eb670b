"""The legend of a plate: its greys as painted, their numbers, names and shares, and what is said of the family rule."""

from __future__ import annotations

import re
from html import unescape
from importlib import resources

import pytest
from PIL import Image

from builder.form.stroke_svg import SHEET_WIDTH_MM
from builder.pack import Pack, ShownView
from builder.plates.plate import FactValue
from builder.site.legend import Legend, rule_words, sheet_legends, view_legends
from builder.words.words import Words, percent
from tests.site.conftest import KINDS

OF_LINES = {kind for kind, names in KINDS.items() if names.over}


def legend_of(legends: tuple[Legend, ...], lighting: str, kind: str) -> Legend:
    (found,) = [one for one in legends if one.lighting == lighting and kind in one.kinds]
    return found


@pytest.fixture
def of_sheet(pack: Pack, words: Words) -> tuple[Legend, ...]:
    return tuple(sheet_legends(pack.studies[0].views[0], words, OF_LINES))


def painted(shown: ShownView, kind: str) -> set[int]:
    """The codes in a plate's picture."""
    with Image.open(shown.plates[kind].path) as picture:
        return {code for _, code in picture.convert("L").getcolors() or ()}


def test_every_plate_of_a_sheet_has_one_legend(pack: Pack, of_sheet: tuple[Legend, ...]) -> None:
    """Under each lighting; a plate in full gradation borrows five values, and plates of lines have none."""
    for name, shown in pack.studies[0].views[0].shown.items():
        for kind in shown.plates:
            if kind not in OF_LINES:
                legend_of(of_sheet, name, kind)
    assert not [one for one in of_sheet if OF_LINES & set(one.kinds)]
    for name in pack.studies[0].views[0].shown:
        assert legend_of(of_sheet, name, "tone") == legend_of(of_sheet, name, "values-5")


@pytest.mark.parametrize("kind", ["values-2", "values-3", "values-5", "values-9", "families", "light-shadow"])
def test_swatches_are_the_greys_of_the_picture(pack: Pack, of_sheet: tuple[Legend, ...], kind: str) -> None:
    """Every grey in a plate is in its legend, and no two entries of a legend have one grey."""
    codes = [entry.code for entry in legend_of(of_sheet, "side-lamp", kind).entries]
    assert len(set(codes)) == len(codes)
    assert painted(pack.studies[0].views[0].shown["side-lamp"], kind) <= set(codes)


def test_steps_of_value_stand_lightest_first(of_sheet: tuple[Legend, ...]) -> None:
    """Three equal bins of the value scale have the middles 8.3, 5 and 1.7 (ASTM D1535 codes 209, 121, 42); the number
    counts from the dark end."""
    three = legend_of(of_sheet, "side-lamp", "values-3").entries
    assert [(entry.number, entry.name, entry.code) for entry in three] == [
        (3, "8.3", 209),
        (2, "5", 121),
        (1, "1.7", 42),
    ]


def test_families_are_named_from_the_lamp_into_the_shadow(of_sheet: tuple[Legend, ...]) -> None:
    """Six entries with the numbers of the outlines, a meaning each, and the shares that were measured."""
    families = legend_of(of_sheet, "side-lamp", "families")
    assert [(entry.number, entry.name, percent(entry.share)) for entry in families.entries] == [
        (1, "Highlight", "3\u00a0%"),
        (2, "Light", "25\u00a0%"),
        (3, "Halftone", "30\u00a0%"),
        (4, "Core shadow", "28\u00a0%"),
        (5, "Cast shadow", "<\u00a01\u00a0%"),
        (6, "Reflected light", "13\u00a0%"),
    ]
    assert all(entry.means for entry in families.entries)
    assert families.edges
    lit, dark = families.entries[:3], families.entries[3:]
    assert min(entry.code for entry in lit) > max(entry.code for entry in dark)


def test_two_families_share_the_form(of_sheet: tuple[Legend, ...]) -> None:
    """Light and shadow alone: two entries whose shares sum to the whole."""
    two = legend_of(of_sheet, "window", "light-shadow").entries
    assert [entry.name for entry in two] == ["Light", "Shadow"]
    assert sum(entry.share for entry in two) == pytest.approx(1.0)


def test_a_view_shows_the_legends_of_cause_only(pack: Pack, words: Words) -> None:
    """Steps of value stand on the sheet; beside the plate of a view stand families and light against shadow."""
    shown = {(one.lighting, one.kinds) for one in view_legends(pack.studies[0].views[0], words)}
    assert shown == {
        (lighting, (kind,)) for lighting in ("side-lamp", "window", "low-lamp") for kind in ("families", "light-shadow")
    }


WHERE = {"family_rule_worst_x": 0.2, "family_rule_worst_y": 0.9}


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        ({}, ""),
        (
            {"family_rule_holds": True, "family_rule_share": 0.99},
            "The family rule holds here: nearly everywhere that light and shadow meet on the form, the shadow side is "
            "the darker.",
        ),
        (
            {"family_rule_holds": False, "family_rule_share": 0.77, **WHERE},
            "The family rule does not hold everywhere here. Along 23 % of the edge between light and shadow, the "
            "shadow side is as light as the light side or lighter, most of all in the lower left of the form.",
        ),
        (
            {"family_rule_holds": False, "family_rule_share": 0.77},
            "The family rule does not hold everywhere here. Along 23 % of the edge between light and shadow, the "
            "shadow side is as light as the light side or lighter.",
        ),
    ],
)
def test_family_rule(facts: dict[str, FactValue], said: str, words: Words) -> None:
    """Whether it holds is said, and where not; nothing where light and shadow nowhere meet."""
    assert rule_words(facts, words).replace("\u00a0", " ") == said


@pytest.mark.parametrize("x", [0.1, 0.5, 0.9])
@pytest.mark.parametrize("y", [0.1, 0.5, 0.9])
def test_every_place_has_its_words(x: float, y: float, words: Words) -> None:
    """Wherever the rule is broken, the place is named."""
    facts: dict[str, FactValue] = {"family_rule_holds": False, "family_rule_share": 0.5}
    facts |= {"family_rule_worst_x": x, "family_rule_worst_y": y}
    across = {0.1: "left", 0.9: "right"}.get(x, "centre" if y == 0.5 else "middle")
    assert re.search(rf"in the ([a-z ]*){across} of the form\.$", rule_words(facts, words))


def test_legend_in_the_page(texts: dict[str, str]) -> None:
    """A view opens with its legends hidden behind the tone plate; each stands once for every lighting."""
    text = unescape(texts["studies/egg/view-002.md"])
    blocks = re.findall(
        r'<div class="cw-legend-of( cw-off)?" data-for-lighting="([a-z-]+)" data-for-plate="([a-z-]+)">', text
    )
    assert len(blocks) == 6 and all(hidden for hidden, _, _ in blocks)
    assert text.count("most of all in the lower left of the form.") == 1
    assert text.count('class="cw-edge-heavy cw-edge-broken"') == 3


@pytest.mark.parametrize(
    ("share", "said"), [(0.0, "0 %"), (0.002, "< 1 %"), (0.005, "< 1 %"), (0.256, "26 %"), (1.0, "100 %")]
)
def test_shares_are_read_in_whole_per_cent(share: float, said: str) -> None:
    """What is there is never called nothing."""
    assert percent(share).replace("\u00a0", " ") == said


def test_outlines_have_the_size_of_the_sheet(words: Words) -> None:
    """A file of outlines is as wide as the plate on the printed sheet, and the page says so."""
    css = (resources.files("builder.site") / "assets" / "sheet.css").read_text(encoding="utf-8")
    width = re.search(r"\.cw-sheet-row \.cw-layers \{[^}]*width: ([\d.]+)mm", css)
    assert width and float(width[1]) == SHEET_WIDTH_MM
    assert f"{SHEET_WIDTH_MM:g} mm" in words("outlines.file")
