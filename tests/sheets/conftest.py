from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from builder.form.stroke import Drawing, Mark, Stroke
from builder.form.stroke_svg import drawing_svg
from builder.light.setting import LampSetting
from builder.plates.values import step_codes
from builder.prompts.prompt import Prompt
from builder.sheets.view_sheet import Study, Swatch, ViewSheet
from builder.table.card import SCALES, table_card
from builder.table.sheet import Card, Titles

WIDTH, HEIGHT = 1200, 1500
LINE_X, LINE_Y = 300.0, 900.0
"""Where the line drawing has its only upright and its only level line, px."""


@pytest.fixture(scope="session")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A tone plate of known pixels, value steps, planes, and drawings of known lines."""
    folder = tmp_path_factory.mktemp("plates")
    rows, columns = np.mgrid[:HEIGHT, :WIDTH]
    tone = ((rows // 7 + columns // 5) % 256).astype(np.uint8)
    steps = step_codes(5)[np.minimum(columns * 5 // WIDTH, 4)].astype(np.uint8)
    for name, picture in (("tone", tone), ("values", steps), ("planes", 255 - steps)):
        (folder / name).mkdir()
        Image.fromarray(picture).save(folder / name / "plate.webp", lossless=True)
    lines = (
        Stroke(np.array([(LINE_X, 0.0), (LINE_X, float(HEIGHT))]), "outline", 3.0),
        Stroke(np.array([(0.0, LINE_Y), (float(WIDTH), LINE_Y)]), "outline", 3.0),
    )
    for name in ("lines", "block"):
        (folder / name).mkdir()
        marks = (Mark(600.0, 700.0, "K", "name"),) if name == "block" else ()
        (folder / name / "outlines.svg").write_bytes(drawing_svg(Drawing(name, WIDTH, HEIGHT, lines, marks)))
    return folder


@pytest.fixture(scope="session")
def sheet(folder: Path) -> ViewSheet:
    return view_sheet(folder, 45, 1)


LAMP = LampSetting(-778.0, 778.0, 938.0, 156.0, "key", "disc", 85.0, 85.0, 0.0)
SIZES = tuple(
    table_card(
        (-550.0, -953.0, 138.0),
        (LAMP,),
        [(-110.0, -40.0), (110.0, -40.0), (110.0, 50.0), (-110.0, 50.0)],
        height_mm=276.0,
        ground_mm=-18.0,
        scale=scale,
    )
    for scale in SCALES
)


def view_sheet(folder: Path, number: int, week: int) -> ViewSheet:
    task = Prompt(
        kind="values",
        title="Values",
        aim="Put every shape in its value.",
        minutes=40,
        medium="2B and 4B pencils",
        steps=("Make a scale of five flat patches.", "Draw the outline lightly."),
        look_for=("The darkest place is in the upper left.",),
        self_check=(f"The five values cover view {number} unevenly.",),
        cautions=("Tap charcoal dust off over a bin.",),
    )
    return ViewSheet(
        study="Mask",
        number=number,
        title=f"View of {number}",
        where="in front, level with its middle",
        lighting="Side lamp",
        week=week,
        credit="Made for the tests.",
        picture=Study("tone", "Tone", folder / "tone" / "plate.webp", "the tone of it"),
        lines=Study("lines", "Line drawing", folder / "lines" / "outlines.svg", "the lines of it"),
        studies=(
            Study("values-5", "Five values", folder / "values" / "plate.webp", "five values"),
            Study("block-in-2", "Few straight lines", folder / "block" / "outlines.svg", "few lines"),
            Study("planes-middle", "Middle planes", folder / "planes" / "plate.webp", "planes"),
        ),
        swatches=tuple(Swatch(str(2 * step + 1), int(code)) for step, code in enumerate(step_codes(5))),
        task=task,
        size_px=(WIDTH, HEIGHT),
        box_px=(300.0, 300.0, 900.0, 1200.0),
        squares=6,
        marks="grid",
        table=Card(SIZES, Titles("Mask", number, f"View of {number}", "Side lamp")),
    )
