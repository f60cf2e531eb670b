"""The measures of a view on its page: numbered questions, answers to open one by one, and the lines that show them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from builder.form.measure import Measure
from builder.form.stroke import Drawing
from builder.form.stroke_svg import mark_size_px, mark_text, plain_width_px, stroke_path
from builder.site.nearly import nearly
from builder.words.words import Words, number


@dataclass(frozen=True, slots=True)
class Question:
    """One question with its answer, in words."""

    number: int
    asks: str
    answer: str


def questions(measures: Iterable[Measure], words: Words) -> tuple[Question, ...]:
    """The measures as sentences, in their order."""
    return tuple(
        Question(
            measure.number,
            words(f"measure.{measure.slug}.question", **_said(measure.parameters, words)),
            words(f"measure.{measure.slug}.answer", **_said(measure.parameters, words)),
        )
        for measure in measures
    )


def answer_lines(measures: Iterable[Measure], width_px: int, height_px: int) -> Markup:
    """An SVG to lie over the picture: a group of lines for each measure, marked with its number and hidden."""
    frame = Drawing("", width_px, height_px, ())
    plain, letters = plain_width_px(frame), mark_size_px(frame)
    groups = []
    for measure in measures:
        strokes = "".join(stroke_path(stroke, plain) for stroke in measure.strokes)
        marks = "".join(mark_text(mark, letters) for mark in measure.marks)
        if strokes or marks:
            groups.append(
                f'<g class="cw-off" data-answer-lines="{measure.number}">'
                f'<g class="cw-strokes">{strokes}</g><g class="cw-marks" font-size="{letters:g}">{marks}</g></g>'
            )
    return Markup(
        f'<svg class="cw-over" viewBox="0 0 {width_px} {height_px}" aria-hidden="true">{"".join(groups)}</svg>'
    )


def _said(parameters: Mapping[str, str | float], words: Words) -> dict[str, str]:
    """Parameters for reading: names as they are, angles in whole degrees, other numbers to two places; and the numbers
    as easy fractions, under their names with ``_nearly``.
    """
    said = {
        name: value if isinstance(value, str) else number(value, 0 if name.endswith("_deg") else 2)
        for name, value in parameters.items()
    }
    fractions = {
        f"{name}_nearly": nearly(value, words) for name, value in parameters.items() if not isinstance(value, str)
    }
    return said | fractions
