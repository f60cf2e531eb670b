"""The card for a table: its printed numbers alone must put the eye where the picture was seen from."""

from __future__ import annotations

import io
import math
import re
from dataclasses import replace

import numpy as np
import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.arrays import Floats
from builder.camera.projection import project
from builder.camera.sight import Eye
from builder.light.setting import LampSetting
from builder.paper.document import Document
from builder.paper.formats import FORMATS
from builder.table.card import ARM_MM, SCALES, TableCard, table_card
from builder.table.sheet import Card, Titles, add_card
from builder.words.words import load_words

WORDS = load_words()
HEIGHT_MM, GROUND_MM = 276.0, -18.0
FOOTPRINT = [(-110.0, -40.0), (110.0, -40.0), (110.0, 50.0), (-110.0, 50.0)]
LANDMARKS = np.array(
    [[0.0, -45.0, 110.0], [32.0, -30.0, 150.0], [-32.0, -30.0, 150.0], [0.0, -35.0, 30.0], [60.0, 10.0, 250.0]]
)


def eye_place(bearing: float, level: float, distance: float) -> tuple[float, float, float]:
    around, up = math.radians(bearing), math.radians(level)
    return (
        distance * math.sin(around) * math.cos(up),
        -distance * math.cos(around) * math.cos(up),
        HEIGHT_MM / 2 + distance * math.sin(up),
    )


def lamp(bearing: float, elevation: float, distance: float, shape: str = "disc", high: float = 80.0) -> LampSetting:
    x, y, z = eye_place(bearing, elevation, distance)
    return LampSetting(x, -y, z - GROUND_MM, HEIGHT_MM / 2 - GROUND_MM, "key", shape, 80.0, high, 0.0)  # type: ignore[arg-type]


def cards_of(eye: tuple[float, float, float], *lamps: LampSetting) -> list[TableCard]:
    return [
        table_card(eye, lamps, FOOTPRINT, height_mm=HEIGHT_MM, ground_mm=GROUND_MM, scale=scale) for scale in SCALES
    ]


def printed(cards: list[TableCard], paper: str = "a4") -> list[str]:
    document = Document("Card", "en")
    add_card(document, FORMATS[paper], Card(tuple(cards), Titles("Mask", 45, "Three-quarter", "Side lamp")), WORDS)
    return str(pypdf.PdfReader(io.BytesIO(document.bytes())).pages[0].extract_text()).splitlines()


def looking(position: Floats, at: Floats) -> Eye:
    """An eye that looks at a place with z up, set up here from nothing but the two."""
    back = (position - at) / np.linalg.norm(position - at)
    right = np.cross([0.0, 0.0, 1.0], back)
    right /= np.linalg.norm(right)
    matrix = np.eye(4)
    matrix[:3, 0], matrix[:3, 1], matrix[:3, 2], matrix[:3, 3] = right, np.cross(back, right), back, position
    distance = float(np.linalg.norm(position - at))
    return Eye(45, position, matrix, 150.0 / distance, 150.0 / distance, 1500, 1500, distance)


def centimetres(text: str) -> float:
    return float(text.replace("−", "-"))


def read_eye(lines: list[str], column: int) -> tuple[float, float, float]:
    """The eye's place in mm from the rows of its part of the table: the lengths before "cm", nothing else."""
    text = " ".join(lines)
    part = text[text.index("Your eye:") : text.index("Key lamp:")]
    cells = re.findall(r"(front|behind|left|right|below)?:? ?([\d.]+) cm =|(none)", part)
    assert len(cells) == 15, part
    rows = [cells[3 * row : 3 * row + 3] for row in range(5)]
    sign = {"front": -1.0, "behind": 1.0, "right": 1.0, "left": -1.0, "below": -1.0, "": 1.0}
    y, x, z = (
        0.0 if rows[row][column][2] else sign[rows[row][column][0]] * centimetres(rows[row][column][1]) * 10.0
        for row in (0, 1, 3)
    )
    return x, y, z


@pytest.mark.parametrize(
    ("bearing", "level", "distance"), [(-30, 0, 1100), (20, -35, 970), (160, 25, 800), (90, 10, 650)]
)
@pytest.mark.parametrize("column", [0, 1, 2])
def test_landmarks_are_seen_where_the_picture_has_them_from_the_cards_numbers_alone(
    bearing: float, level: float, distance: float, column: int
) -> None:
    """Tape lengths are rounded to 5 or 10 mm, so that landmarks may move by 1 % of the picture's height (300 mm at the
    model): the room a careful student needs, our choice."""
    eye = eye_place(bearing, level, distance)
    x, y, z = read_eye(printed(cards_of(eye, lamp(-45, 40, 1100))), column)
    scale = SCALES[column]
    middle = np.array([0.0, 0.0, HEIGHT_MM / 2])
    stood = np.array([x, y, z]) / scale + np.array([0.0, 0.0, GROUND_MM])
    true, _ = project(looking(np.array(eye), middle), LANDMARKS)
    found, _ = project(replace(looking(stood, middle), tan_x=150.0 / distance, tan_y=150.0 / distance), LANDMARKS)
    assert np.abs(found - true).max() <= 15.0


@settings(max_examples=60)
@given(
    bearing=st.floats(-180, 180), level=st.floats(-60, 75), distance=st.floats(500, 3000), scale=st.sampled_from(SCALES)
)
def test_the_cards_lengths_are_the_eyes_place(bearing: float, level: float, distance: float, scale: float) -> None:
    """Unrounded, the lengths give the eye back at every size."""
    eye = eye_place(bearing, level, distance)
    card = next(card for card in cards_of(eye) if card.scale == scale)
    back = np.array([card.eye.left_mm, -card.eye.front_mm, card.eye.above_mm]) / scale + [0.0, 0.0, GROUND_MM]
    np.testing.assert_allclose(back, eye, atol=1e-6)
    assert card.eye.distance_mm == pytest.approx(scale * distance)
    assert card.eye.tilt_deg == pytest.approx(level, abs=1e-6)


def test_the_pencil_check_is_central_projection() -> None:
    """A rod of 276 mm seen level from 1,100 mm, ruler at 600 mm: 600 x 276 / 1100 = 150.5 mm (similar triangles); the
    same for a model of half the size at half the distance. From above the rod foreshortens."""
    for card in cards_of(eye_place(-30, 0, 1100)):
        assert card.pencil_mm == pytest.approx(ARM_MM * 276.0 / 1100.0)
    (_, above, _) = cards_of(eye_place(0, 60, 1100))
    top, foot = (
        math.atan2(z - above.eye.above_mm - GROUND_MM, above.eye.along_mm) + math.radians(60) for z in (HEIGHT_MM, 0.0)
    )
    assert above.pencil_mm == pytest.approx(ARM_MM * (math.tan(top) - math.tan(foot)))


def test_every_lamp_has_its_lengths_at_every_size() -> None:
    """In centimetres and inches: the lamp's place, height, distance and size, half, as here and twice."""
    text = " ".join(
        printed(cards_of(eye_place(0, 0, 1100), lamp(-45, 45, 1100), lamp(60, 30, 900, "rectangle", 600.0)))
    )
    assert "Key lamp: 45° to the model's right, 45° above its middle" in text
    for shown in (
        "55 cm = 21½ in",
        "110 cm = 43½ in",
        "220 cm = 86½ in",
        "8 cm = 3¼ in",
        "what shines, high",
        "60 cm =",
    ):
        assert shown in text


@pytest.mark.parametrize("paper", FORMATS)
def test_all_of_it_fits_the_page(paper: str) -> None:
    """With three lamps and every row, nothing stands below the check bar or beside the page."""
    document = Document("Card", "en")
    lamps = [lamp(-45, 45, 1100), lamp(60, 30, 900, "rectangle", 600.0), lamp(150, 40, 1000, "rectangle", 300.0)]
    page = add_card(
        document,
        FORMATS[paper],
        Card(tuple(cards_of(eye_place(20, -35, 970), *lamps)), Titles("M", 1, "V", "L")),
        WORDS,
    )
    lines = [thing for element in page.elements for thing in element.things if type(thing).__name__ == "Line"]
    bar = next(line for line in lines if "100 mm" in line.text)
    assert max(line.y for line in lines if line is not bar) < bar.y - 6.0
    assert min(line.x for line in lines) >= 10.0


def test_the_same_card_gives_the_same_bytes() -> None:
    """No date, no chance."""
    made = []
    for _ in range(2):
        document = Document("Card", "en")
        sizes = tuple(cards_of(eye_place(20, 5, 970), lamp(-45, 45, 1100)))
        add_card(document, FORMATS["a4"], Card(sizes, Titles("M", 1, "", "L")), WORDS)
        made.append(document.bytes())
    assert made[0] == made[1]
