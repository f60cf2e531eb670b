"""What a pack says of its views on paper: from the pack and its words to sheets that can be laid out."""

from __future__ import annotations

import re
from collections.abc import Iterator

from builder.pack import PlateFile, ShownView, StudyPack, StudyView
from builder.plates.registry import KINDS
from builder.plates.values import step_codes
from builder.prompts.prompt import Prompt
from builder.sheets.view_sheet import Study, Swatch, ViewSheet
from builder.sheets.workbook import Cover
from builder.site.at_table import card_of
from builder.site.course import course_of
from builder.site.pages import opening_plate, shows_best, where_words
from builder.words.words import Words, number

VALUES, BLOCK_IN, PLANES, LINES = "values-5", "block-in-2", "planes-middle", "lines"
NOT_ON_PAPER = ("measures", "cross-contours")
"""Prompts that lead to plates which are not on the sheet."""
_LINK = re.compile(r"\[([^\]]*)\]\([^)]*\)")
_STRONG = re.compile(r"(\*\*|__|\*|`)(?=\S)(.+?)(?<=\S)\1")


def view_sheets(pack: StudyPack, words: Words) -> tuple[ViewSheet, ...]:
    """The sheets of a study in the order of its course, each view under its lighting there.

    The prompts go round: each view has the next of the study's kinds that can be done with what is on the sheet.
    """
    sheets: list[ViewSheet] = []
    for week, lessons in enumerate(course_of(pack), 1):
        for view, lesson in lessons:
            sheets.append(_sheet(pack, view, view.shown[lesson.lighting], week, len(sheets), words))
    return tuple(sheets)


def cover_of(pack: StudyPack, words: Words) -> Cover:
    """What the cover of the study's workbook says."""
    study = pack.study
    return Cover(
        title=study.title,
        about="\n".join(plain(line) for line in study.about.splitlines()),
        credit="\n".join(plain(line) for line in study.credit.splitlines()),
        counts=words.count("count.views", len(pack.views)),
        number=shows_best(pack).view.number,
    )


def task_of(prompt: Prompt) -> Prompt:
    """A prompt as it is printed, without marks of Markdown."""
    return Prompt(
        kind=prompt.kind,
        title=plain(prompt.title),
        aim=plain(prompt.aim),
        minutes=prompt.minutes,
        medium=plain(prompt.medium),
        steps=tuple(map(plain, prompt.steps)),
        look_for=tuple(map(plain, prompt.look_for)),
        self_check=tuple(map(plain, prompt.self_check)),
        cautions=tuple(map(plain, prompt.cautions)),
    )


def plain(text: str) -> str:
    """A line without the marks of inline Markdown."""
    text, before = _LINK.sub(r"\1", text), ""
    while text != before:
        text, before = _STRONG.sub(r"\2", text), text
    return " ".join(text.split())


def _sheet(pack: StudyPack, view: StudyView, shown: ShownView, week: int, place: int, words: Words) -> ViewSheet:
    study = pack.study
    prompts = [prompt for prompt in shown.prompts if prompt.kind not in NOT_ON_PAPER] or list(shown.prompts)
    plates = shown.plates
    lines = plates[LINES]
    assert lines.drawing is not None, "a line drawing has lines"
    return ViewSheet(
        study=study.title,
        number=view.view.number,
        title=view.view.title,
        where=where_words(view, words),
        lighting=shown.lighting.title,
        week=week,
        credit=plain(study.credit),
        picture=_study(opening_plate(view, shown.lighting.name)),
        lines=Study(LINES, _title(LINES), lines.drawing, words("sheets.overlay_alt", number=view.view.number)),
        studies=tuple(_studies(shown)),
        swatches=_swatches(shown),
        task=task_of(prompts[place % len(prompts)]) if prompts else None,
        size_px=(study.picture.width_px, study.picture.height_px),
        box_px=_box(shown),
        squares=study.guides.squares,
        marks=study.sheets.marks,
        table=card_of(pack, view, shown),
    )


def _studies(shown: ShownView) -> Iterator[Study]:
    """The small studies there are: a model that cannot be broken into planes has none of these."""
    for kind in (VALUES, BLOCK_IN, PLANES):
        plate = shown.plates.get(kind)
        if plate is not None:
            yield _study(plate, as_lines=kind == BLOCK_IN)


def _study(plate: PlateFile, as_lines: bool = False) -> Study:
    file = plate.drawing if as_lines and plate.drawing is not None else plate.path
    return Study(plate.kind, _title(plate.kind), file, plate.alt)


def _title(kind: str) -> str:
    return next(each.title for each in KINDS if each.name == kind)


def _swatches(shown: ShownView) -> tuple[Swatch, ...]:
    """The greys of the value study with their Munsell values, from dark to light."""
    if VALUES not in shown.plates:
        return ()
    codes = step_codes(int(VALUES.partition("-")[2]))
    return tuple(Swatch(number(10.0 * (step + 0.5) / len(codes)), int(code)) for step, code in enumerate(codes))


def _box(shown: ShownView) -> tuple[float, float, float, float]:
    left, top, right, bottom = (shown.facts[f"subject_{side}_px"] for side in ("left", "top", "right", "bottom"))
    assert isinstance(left, int | float) and isinstance(top, int | float)
    assert isinstance(right, int | float) and isinstance(bottom, int | float)
    return float(left), float(top), float(right), float(bottom)
