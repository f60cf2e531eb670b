"""All measures of a view: questions with their answers, facts, and one drawing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from builder.form.alignments import alignments
from builder.form.horizon import horizon_px
from builder.form.landmark_measures import (
    alignment_measures,
    hidden_measure,
    line_measures,
    odd_measure,
    tilt_measures,
    unit_measures,
)
from builder.form.looked import Looked
from builder.form.measure import Measure
from builder.form.measure_lines import KIND
from builder.form.outline_measures import horizon_measure, nearest_to_middle, outline_measures
from builder.form.proportions import length, odd_proportion, to_front
from builder.form.stroke import Drawing, Mark, Stroke
from builder.form.survey import Survey
from builder.form.tilts import central_axis, tilts

UPRIGHT_AXIS = "upright axis"
"""What the form's middle line is called where it is the first angle to check and no landmarks show it."""

Measured = str | float | int
"""What a fact of the measures may be."""


def numbered(view: Survey) -> tuple[Measure, ...]:
    """What can be measured in a view, from the whole to its parts, numbered from 1."""
    return tuple(_with_number(measure, k) for k, measure in enumerate(_measures(view), 1))


def survey_facts(view: Survey) -> dict[str, Measured]:
    """What was measured, by the names of the list of facts; those that a view does not have are left out."""
    facts: dict[str, Measured] = {}
    if view.placed:
        facts |= {"landmarks_seen": len(view.seen), "landmarks_hidden": len(view.placed) - len(view.seen)}
    both = view.both_seen(view.looked.guides.unit) if view.looked.guides.unit is not None else None
    if both is not None and (unit := length(both[0].place, both[1].place)) >= 0.01 * view.height:
        facts |= {"unit_across": view.width / unit, "unit_down": view.height / unit}
        ratio = to_front(*both, view)
        if ratio is not None:
            facts["unit_to_front"] = ratio
    horizon = horizon_px(view.looked.eye)
    if horizon is not None:
        facts["horizon_height"] = (view.box[3] - horizon) / view.height
    first = next(tilts(view), None) or central_axis(view)
    if first is not None:
        facts |= {
            "first_tilt_name": first.name or _through(first.ends),
            "first_tilt_deg": first.degrees,
            "first_tilt_from": first.off,
        }
    odd = odd_proportion(view)
    if odd is not None:
        facts |= {"odd_proportion_name": odd.name, "odd_proportion": odd.here, "odd_proportion_front": odd.front}
    aligned = next(iter(alignments(view)), None)
    if aligned is not None:
        facts |= {
            "aligned_upper": aligned.one.name,
            "aligned_lower": aligned.two.name,
            "aligned_along": aligned.along,
        }
    if view.symmetry is not None:
        facts["mirror_residual_mm"] = view.symmetry.rms_mm
    near = nearest_to_middle(view, 1)
    if near is not None:
        facts["middle_height_at"] = near[0]
    return facts


def _through(ends: tuple[str, ...]) -> str:
    """The middle line by what it runs through: in profile nobody sees a middle."""
    return f"line from {ends[0]} to {ends[-1]}" if ends else UPRIGHT_AXIS


def measures_drawing(looked: Looked, taken: tuple[Measure, ...]) -> Drawing:
    """The lines of the measures :func:`numbered` has taken, with their numbers, as one drawing."""
    return Drawing(
        "Measures",
        looked.eye.width_px,
        looked.eye.height_px,
        tuple(stroke for measure in taken for stroke in measure.strokes),
        tuple(mark for measure in taken for mark in measure.marks),
    )


def _measures(view: Survey) -> Iterator[Measure]:
    yield from outline_measures(view)
    yield from unit_measures(view)
    yield from line_measures(view)
    yield from alignment_measures(view)
    yield from tilt_measures(view)
    yield horizon_measure(view)
    yield from odd_measure(view)
    yield from hidden_measure(view)


def _with_number(measure: Measure, number: int) -> Measure:
    """The measure with its number on its lines, and where a mark says nothing else."""
    kind = f"measure-{number}"

    def stroke(one: Stroke) -> Stroke:
        return replace(one, kind=kind) if one.kind == KIND else one

    def mark(one: Mark) -> Mark:
        return replace(one, kind=kind, text=one.text or str(number))

    return replace(
        measure,
        number=number,
        strokes=tuple(map(stroke, measure.strokes)),
        marks=tuple(map(mark, measure.marks)),
    )
