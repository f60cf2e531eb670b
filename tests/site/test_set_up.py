"""Setting a lighting up at a table: lengths as a tape reads, steps in order, a table that says the same."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.light.setting import LampSetting
from builder.pack import LampPlace, Pack, StudyPack
from builder.site.lamp_places import clock, lamp_settings, measures, offsets, share_words, two_figures
from builder.site.pages import site_files
from builder.site.set_up import card_mm, card_words, set_up
from builder.study.description import Lamp, Length, Lighting
from builder.table.tape import tape_cm, tape_in
from builder.words.words import Words
from tests.site.conftest import KINDS


@pytest.mark.parametrize(
    ("length_mm", "cm", "inches"),
    [
        (1104.0, "110", "43½"),
        (936.6, "94", "37"),
        (499.0, "50", "19¾"),
        (487.0, "48.5", "19¼"),
        (82.8, "8.5", "3¼"),
        (50.8, "5", "2"),
        (31.0, "3.1", "1.2"),
        (12.7, "1.3", "0.5"),
        (0.0, "0", "0"),
        (-93.0, "−9.5", "−3¾"),
        (-4000.0, "−400", "−157½"),
    ],
)
def test_lengths_as_a_tape_reads(length_mm: float, cm: str, inches: str) -> None:
    """Whole cm from 50 on, halves from 5 on, tenths below; halves of an inch from 20 on, quarters from 2 on."""
    assert (tape_cm(length_mm), tape_in(length_mm)) == (cm, inches)


@given(st.floats(0, 20_000))
def test_what_the_tape_says_is_within_half_its_step(length_mm: float) -> None:
    """No length is put down farther off than half of the step it is rounded to."""
    cm = length_mm / 10
    step = 1.0 if cm >= 50 else 0.5 if cm >= 5 else 0.1
    assert abs(float(tape_cm(length_mm)) - cm) <= step / 2 + 1e-9
    inches = length_mm / 25.4
    step = 0.5 if inches >= 20 else 0.25 if inches >= 2 else 0.1
    text = tape_in(length_mm)
    parts = {"¼": 0.25, "½": 0.5, "¾": 0.75}
    said = float(text[:-1] or 0) + parts[text[-1]] if text[-1] in parts else float(text)
    assert abs(said - inches) <= step / 2 + 1e-9


@pytest.mark.parametrize(
    ("bearing", "time"),
    [
        (0, "6:00"),
        (-45, "7:30"),
        (-90, "9:00"),
        (180, "12:00"),
        (135, "1:30"),
        (90, "3:00"),
        (35, "4:50"),
        (-20, "6:40"),
    ],
)
def test_directions_on_a_clock(bearing: float, time: str) -> None:
    """With 6 in front of the model its right is at 9, where the left hand of someone in front of it points."""
    assert clock(bearing) == time


def lamp(left: float, front: float, above: float = 800.0) -> LampSetting:
    return LampSetting(left, front, above, 150.0, "key", "disc", 80.0, 80.0, 0.0)


@pytest.mark.parametrize(
    ("left", "front", "ways"),
    [
        (300.0, 400.0, (("towards", 400.0), ("right", 300.0))),
        (-300.0, -400.0, (("away", 400.0), ("left", 300.0))),
        (0.001, 400.0, (("towards", 400.0),)),
        (-700.0, -10.0, (("left", 700.0),)),
        (1.0, -2.0, ()),
    ],
)
def test_the_way_from_the_cross(left: float, front: float, ways: tuple[tuple[str, float], ...]) -> None:
    """The model's left is the right of someone in front of it; what is too short to matter is not measured."""
    assert offsets(lamp(left, front)) == ways


def test_strengths_in_plain_parts(words: Words) -> None:
    """Whole stops down to a sixteenth have names; others are parts in a hundred to two figures."""
    shares = [
        share_words(stops, words).replace("\u00a0", " ") for stops in (0.0, -1.0, -2.0, -3.0, -4.0, -2.5, -5.0, 0.5)
    ]
    assert shares == [
        "as much light",
        "half its light",
        "a quarter of its light",
        "an eighth of its light",
        "a sixteenth of its light",
        "18 % of its light",
        "3.1 % of its light",
        "140 % of its light",
    ]
    assert [two_figures(value) for value in (0.004321, 0.24, 9.0, 62.5, 1414.2)] == ["0.004", "0.24", "9", "62", "1400"]


@pytest.mark.parametrize(("size", "card"), [(276, 100), (170, 100), (160, 50), (40, 20), (20, 20), (2000, 500)])
def test_the_card_suits_the_model(size: float, card: float) -> None:
    """A height that is easily cut, no higher than three fifths of the model, and never under 2 cm."""
    assert card_mm(size) == card


def study_with(pack: Pack, lighting: Lighting, *lamps: LampPlace, ground_mm: float = -18.0) -> StudyPack:
    study = pack.studies[0]
    return replace(
        study,
        study=replace(study.study, lightings=(lighting,)),
        lamps={lighting.name: lamps},
        ground_mm=ground_mm,
    )


def one(shape: str = "disc", width: float = 90.0, height: float = 90.0) -> Lighting:
    return Lighting("one", "One", Lamp(0.0, 0.0, Length(1000.0), "disc", Length(width), Length(height)))


def plain(lines: tuple[str, ...]) -> list[str]:
    return [line.replace("\u00a0", " ") for line in lines]


def test_steps_of_one_lamp(pack: Pack, words: Words) -> None:
    """Seven steps from the cross to the model. The invented pack's lamp: 75 degrees to the model's left, 30 up, 1200
    away from a middle 150 over the base and 168 over the table; a card of 100 throws 100 x 1039.2 / 668."""
    study = pack.studies[0]
    got = set_up(study, study.study.lightings[0], words)
    steps = plain(got.steps)
    assert len(steps) == 7
    assert "27 cm towards you, and from there, square to that, 100 cm to your right." in steps[1]
    assert "it is 104 cm from the cross" in steps[1]
    assert "77 cm above the table" in steps[2]
    assert "17 cm above the cross: it then looks 30° down, over 120 cm in a straight line" in steps[2]
    assert "round, 20 cm across" in steps[3]
    assert "Its shadow ends 15.5 cm from the cross" in steps[4]
    assert "and 3 cm wide at the far end" in steps[4]
    assert "it should read 62 now" in steps[5]
    assert "on a slab 1.8 cm thick" in steps[6]
    assert card_words(study) == "10"


def test_steps_of_three_lamps(pack: Pack, words: Words) -> None:
    """Each lamp has its place, height, size and check alone; fill and rim have a strength, and the fill the ratio that
    studios name; a soft lamp's check names no width."""
    study = pack.studies[0]
    steps = plain(set_up(study, study.study.lightings[1], words).steps)
    starts = [re.match(r"\*\*(.*?)\*\*", step) for step in steps]
    assert [start[1] if start else "" for start in starts] == [
        "",
        *("Key lamp, place.", "Height.", "Size.", "Check."),
        *("Fill lamp, place.", "Height.", "Size.", "Check."),
        *("Rim lamp, place.", "Height.", "Size.", "Check."),
        "Fill lamp, strength.",
        "Rim lamp, strength.",
        "Light of the room.",
        "Model.",
    ]
    assert all("no other lamp" in step for step in steps if "Check." in step)
    assert steps[11] == "**Size.** What shines is round, 15 cm across."
    assert "so soft" in steps[4] and "so soft" in steps[8] and "15 mm wide" in steps[12]
    assert "3 stops below the key: an eighth of its light" in steps[13]
    assert "it should read 120 now" in steps[13]
    assert steps[13].endswith("9 times as light as where only the fill does, a ratio of 9 to 1.")
    assert "0.5 stops above the key: 140 % of its light" in steps[14] and "ratio" not in steps[14]


def test_a_low_lamp_is_checked_with_a_second_card(pack: Pack, words: Words) -> None:
    """A lamp lower than the card is high throws its shadow on past the table: 42.7 high at 891, the card 100: at 200
    beyond it 42.7 + 57.3 x 1091 / 891."""
    study = pack.studies[0]
    steps = plain(set_up(study, study.study.lightings[2], words).steps)
    assert "89 cm towards you, straight along the arm" in steps[1]
    assert "it then looks 8° up" in steps[2]
    assert "a larger one upright 20 cm beyond it" in steps[4]
    assert "the shadow's top is 11.5 cm above the table" in steps[4]


def test_odd_places_have_their_own_words(pack: Pack, words: Words) -> None:
    """Straight above, straight to the side, level, without a slab: no step speaks of a length that is nought."""
    above = study_with(pack, one(), LampPlace("key", (0.0, 0.0, 1150.0), 90.0, 90.0, "disc"))
    steps = plain(set_up(above, one(), words).steps)
    assert "straight over the cross" in steps[1] and "alike on all sides" in steps[4]
    table = measures(lamp_settings(above, one()), words)
    assert [row.cells[0].text for row in table[:2]] == ["none", "none"]
    assert table[5].cells[0].text == "straight above"
    side = study_with(pack, one(), LampPlace("key", (-1000.0, 0.0, 150.0), 90.0, 90.0, "disc"), ground_mm=0.0)
    steps = plain(set_up(side, one(), words).steps)
    assert "measure 100 cm to your left, square to the arm" in steps[1]
    assert "it then looks level" in steps[2]
    assert "slab" not in steps[6]
    big = study_with(pack, one(), LampPlace("key", (-900.0, -900.0, 950.0), 900.0, 900.0, "rectangle"))
    assert (
        "90 cm wide and 90 cm high: tracing paper or white cloth on a frame"
        in plain(set_up(big, one(), words).steps)[3]
    )
    large = study_with(pack, one(), LampPlace("key", (-900.0, -900.0, 950.0), 900.0, 900.0, "disc"))
    assert "lit evenly from well behind" in plain(set_up(large, one(), words).steps)[3]
    small = study_with(pack, one(), LampPlace("key", (-900.0, -900.0, 950.0), 90.0, 60.0, "rectangle"))
    assert "9 cm wide and 6 cm high. Is your bulb smaller?" in plain(set_up(small, one(), words).steps)[3]


def test_the_table_says_what_the_steps_say(pack: Pack, words: Words) -> None:
    """Every length of the steps about a lamp's place stands in its column too, with inches beside."""
    study = pack.studies[0]
    for lighting in study.study.lightings:
        got = set_up(study, lighting, words)
        rows = {row.name: row.cells for row in got.measures}
        assert all(len(cells) == len(got.lamps) for cells in rows.values())
        for index in range(len(got.lamps)):
            place, height = plain(got.steps)[1 + 4 * index : 3 + 4 * index]
            for name in ("To the side", "In front or behind"):
                cell = rows[name][index]
                if cell.text != "none":
                    assert cell.text.replace("\u00a0", " ") in place
                    assert cell.beside.endswith("\u00a0in")
            for name in ("Above the table", "To the middle of the model", "Tilt"):
                assert rows[name][index].text.replace("\u00a0", " ") in height


def test_the_page_shows_cautions_once_steps_and_table(texts: dict[str, str]) -> None:
    """Cautions for heat, cables, stands, glare and wiring stand once, before the first lighting."""
    text = unescape(texts["studies/egg/lightings.md"])
    before, *sections = text.split("<section ")
    assert len(sections) == 3
    for word in (
        "get hot",
        "let a lamp cool",
        "clamp",
        "Tape cables flat",
        "RCD",
        "Do not look into a lamp",
        "licensed electrician",
    ):
        assert before.count(word) == 1, word
        assert all(word not in section for section in sections)
    assert "local rules" in before and "maker's instructions" in before
    assert [len(re.findall("<li>", section)) for section in sections] == [7, 17, 7]
    assert [len(re.findall("<tr>", section)) for section in sections] == [11, 11, 11]
    assert all("{" not in part for part in (before, *sections))


def test_the_tutors_own_cautions_are_linked_where_there_are_any(pack: Pack, words: Words) -> None:
    """The link leads out of the study's folder to the page; without such a page there is none."""
    for care, found in (("safety.md", 1), ("", 0)):
        pages = {file.address: file.content for file in site_files(pack, words, KINDS, care)}
        assert str(pages["studies/egg/lightings.md"]).count('href="../../safety.html"') == found
