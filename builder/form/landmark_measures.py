"""Measures between landmarks: the unit, levels and plumb lines, alignments, tilts, the proportion that changes most."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from builder.form.alignments import Alignment, alignments
from builder.form.landmarks import Placed
from builder.form.measure import Measure
from builder.form.measure_lines import THIN, cross, level, line, mark, plumb, point, span, through, ticks
from builder.form.proportions import length, odd_proportion, to_front
from builder.form.stroke import Drawing, Mark, Stroke
from builder.form.stroke_svg import mark_size_px
from builder.form.survey import Survey
from builder.form.tilts import Angle, central_axis, tilts

LINES_MOST = 6
"""Level lines and plumb lines through landmarks, each."""
LINES_APART_SHARE = 0.06
"""Lines nearer to one another than this share of the height say the same."""
LETTER_WIDTH = 0.55
"""Mean width of a letter against the size it is written in."""
SHORTER_SHARE = 0.05
"""A length is called foreshortened or lengthened from this change against the front view on."""
EVEN_DEG = 0.75
"""Angles below this are none to the eye. Our choice: a pencil's width at arm's length on a line as long as a pencil."""


def unit_measures(view: Survey) -> Iterator[Measure]:
    """The study's unit of comparison, counted down and across, and against the front view."""
    names = view.looked.guides.unit
    if names is None or view.landmark(names[0]) is None or view.landmark(names[1]) is None:
        return
    told: dict[str, str | float] = {"one": names[0], "two": names[1]}
    both = view.both_seen(names)
    if both is None:
        yield Measure(0, "unit-hidden", told)
        return
    one, two = both
    unit = length(one.place, two.place)
    if unit < 0.01 * view.height:
        yield Measure(0, "unit-point", told)
        return
    left, top, right, _ = view.box
    tick = 0.02 * view.height
    itself = span(one.place, two.place, tick)
    side, over = left - 1.5 * tick, top - 1.5 * tick
    down = (line((side, top), (side, view.box[3]), THIN), *ticks((side, top), (side, view.box[3]), unit, tick))
    yield Measure(
        0, "unit-down", {**told, "times": view.height / unit}, (*itself, *down), (mark(side - tick, top, anchor="end"),)
    )
    across = (line((left, over), (right, over), THIN), *ticks((left, over), (right, over), unit, tick))
    yield Measure(
        0, "unit-across", {**told, "times": view.width / unit}, (*itself, *across), (mark(right, over - 0.7 * tick),)
    )
    yield from _against_front(view, one, two, told, "unit")


def line_measures(view: Survey) -> Iterator[Measure]:
    """Level and plumb lines through the landmarks that matter most, with how high and how far across they lie."""
    left, top, right, bottom = view.box
    pad = 0.05 * view.height
    for axis, slug in ((1, "levels"), (0, "plumbs")):
        chosen = _apart(view, axis)
        if len(chosen) < 2:
            continue
        if axis == 1:
            chosen.sort(key=lambda at: -at.place[1])
            shares = [(bottom - at.place[1]) / view.height for at in chosen]
            strokes = tuple(level(at.place[1], left - pad / 2, right + pad) for at in chosen)
            number = mark(left - 0.7 * pad, chosen[0].place[1], anchor="end")
            names_at = [_name_right(view, at.name, right + 1.1 * pad, at.place[1]) for at in chosen]
        else:
            chosen.sort(key=lambda at: at.place[0])
            shares = [(at.place[0] - left) / view.width for at in chosen]
            # names stand in three rows, so that neighbours do not run into one another
            foot = [bottom + pad * (1.0 + 0.5 * (k % 3)) for k in range(len(chosen))]
            strokes = tuple(
                plumb(at.place[0], top - pad / 2, y - 0.4 * pad) for at, y in zip(chosen, foot, strict=True)
            )
            number = mark(chosen[0].place[0], top - 0.7 * pad)
            names_at = [mark(at.place[0], y, at.name) for at, y in zip(chosen, foot, strict=True)]
        places = ", ".join(f"{at.name} {max(share, 0.0):.2f}" for at, share in zip(chosen, shares, strict=True))
        names = ", ".join(at.name for at in chosen)
        yield Measure(0, slug, {"names": names, "places": places}, strokes, (number, *names_at))


def alignment_measures(view: Survey) -> Iterator[Measure]:
    """The alignments that tell most."""
    for found in alignments(view):
        yield Measure(0, found.along, {"one": found.one.name, "two": found.two.name}, *_aligned_lines(view, found))


def tilt_measures(view: Survey) -> Iterator[Measure]:
    """The study's tilts with how much they are foreshortened, and the middle line."""
    for tilt in tilts(view):
        yield _angle_measure(view, tilt, "tilt", {"name": tilt.name})
        one, two = view.landmark(tilt.ends[0]), view.landmark(tilt.ends[1])
        assert one is not None and two is not None, "a tilt runs between landmarks of the study"
        yield from _against_front(view, one, two, {"name": tilt.name}, "tilt")
    axis = central_axis(view)
    if any(set(tilt.ends) <= set(view.middle) for tilt in tilts(view)):
        return  # the study has the middle line among its tilts
    if axis is not None and axis.ends:
        yield _angle_measure(view, axis, "middle-line", {"one": axis.ends[0], "two": axis.ends[1]})
    elif axis is not None:
        yield _angle_measure(view, axis, "axis", {})


def odd_measure(view: Survey) -> Iterator[Measure]:
    """The proportion furthest from the front view."""
    odd = odd_proportion(view)
    if odd is not None:
        one, two = odd.ends
        strokes = span(one, two, 0.03 * view.height)
        at = mark((one[0] + two[0]) / 2 + 0.02 * view.height, (one[1] + two[1]) / 2, anchor="start")
        slug = "odd-more" if odd.change > 0 else "odd-less"
        yield Measure(0, slug, {"name": odd.name, "here": odd.here, "front": odd.front}, strokes, (at,))


def hidden_measure(view: Survey) -> Iterator[Measure]:
    """The landmarks that this view hides."""
    hidden = [at for at in view.placed if not at.seen]
    if hidden:
        names = ", ".join(at.name for at in hidden)
        size = 0.006 * view.height
        inside = [at for at in hidden if _in_picture(view, at)]
        strokes = tuple(stroke for at in inside for stroke in cross(at.place, size))
        marks = tuple(mark(at.place[0] + 2 * size, at.place[1] + size, anchor="start") for at in inside[:1])
        yield Measure(0, "hidden-all" if not view.seen else "hidden", {"names": names}, strokes, marks)


def _name_right(view: Survey, name: str, x: float, y: float) -> Mark:
    """A name beside the right end of a level line, or over it where the picture ends too soon for that."""
    size = mark_size_px(Drawing("", view.looked.eye.width_px, view.looked.eye.height_px, ()))
    if x + LETTER_WIDTH * size * len(name) < view.looked.eye.width_px:
        return mark(x, y + 0.3 * size, name, "start")
    return mark(view.looked.eye.width_px - 0.5 * size, y - 0.2 * size, name, "end")


def _in_picture(view: Survey, at: Placed) -> bool:
    x, y = at.place
    return 0 <= x <= view.looked.eye.width_px and 0 <= y <= view.looked.eye.height_px


def _against_front(
    view: Survey, one: Placed, two: Placed, told: dict[str, str | float], what: Literal["unit", "tilt"]
) -> Iterator[Measure]:
    ratio = to_front(one, two, view)
    if ratio is not None and abs(ratio - 1) >= SHORTER_SHARE:
        tick = 0.02 * view.height
        strokes = span(one.place, two.place, tick)
        marks = (mark(one.place[0] - tick, one.place[1] + tick, anchor="end"),)
        yield Measure(0, f"{what}-{'shorter' if ratio < 1 else 'longer'}", {**told, "ratio": ratio}, strokes, marks)


def _angle_measure(view: Survey, found: Angle, what: str, told: dict[str, str | float]) -> Measure:
    beyond = 0.08 * view.height
    lean = "even" if abs(found.degrees) < EVEN_DEG else "right" if found.degrees > 0 else "left"
    (x0, y0), (x1, y1) = found.one, found.two
    strokes = [through(found.one, found.two, beyond, 1.2)]
    if lean != "even":
        # the level or plumb line that the angle is read from, through the end it is read at
        if found.off == "level":
            strokes.append(level(y0, min(x0, x1) - beyond, max(x0, x1) + beyond))
        else:
            foot = found.one if y0 > y1 else found.two
            strokes.append(plumb(foot[0], min(y0, y1) - beyond, max(y0, y1) + beyond))
    end = strokes[0].points[1]
    marks = (mark(float(end[0]), float(end[1]) - 0.01 * view.height),)
    told = {**told, "angle_deg": abs(found.degrees)}
    return Measure(0, f"{what}-{found.off}-{lean}", told, tuple(strokes), marks)


def _aligned_lines(view: Survey, found: Alignment) -> tuple[tuple[Stroke, ...], tuple[Mark, ...]]:
    beyond, size = 0.05 * view.height, 0.006 * view.height
    one, two = found.one.place, found.two.place
    if found.along == "plumb":
        thread = plumb((one[0] + two[0]) / 2, one[1] - beyond, two[1] + beyond, 1.0)
        number = mark((one[0] + two[0]) / 2, two[1] + 1.6 * beyond)
    else:
        thread = level((one[1] + two[1]) / 2, one[0] - beyond, two[0] + beyond, 1.0)
        number = mark(two[0] + 1.2 * beyond, (one[1] + two[1]) / 2, anchor="start")
    return (thread, point(one, size), point(two, size)), (number,)


def _apart(view: Survey, axis: int) -> list[Placed]:
    """Landmarks seen, those that the study measures by first, with places apart from one another along an axis."""
    guides = view.looked.guides
    first = [*(guides.unit or ()), *(name for tilt in guides.tilts for name in tilt.landmarks), *view.middle]
    names = list(dict.fromkeys([*first, *(at.name for at in view.placed)]))
    chosen: list[Placed] = []
    for name in names:
        at = view.landmark(name)
        if at is None or not at.seen or len(chosen) == LINES_MOST:
            continue
        if all(abs(at.place[axis] - other.place[axis]) >= LINES_APART_SHARE * view.height for other in chosen):
            chosen.append(at)
    return chosen
