"""What the values of a study must hold between them: numbers and names used once, lines that need each other."""

from __future__ import annotations

from collections.abc import Iterable

from builder.paper.formats import FORMATS
from builder.paper.spread import greatest_height_mm
from builder.study.groups import Record
from builder.study.lightings import LIGHTINGS
from builder.study.report import Report, any_of
from builder.study.schema import AXIS, PICTURE, UNIT
from builder.study.section_fields import check_sections
from builder.study.values import nearest, slug


def check_across(study: Record, report: Report) -> None:
    """Report every clash between values that are right by themselves."""
    _check_mesh(study, report)
    _check_views(study.get("views") or (), report)
    _check_lightings(study.get("lightings") or (), report)
    landmarks = study.get("landmarks") or ()
    _check_once("the landmark", ((slug(name), line) for name, line, _ in landmarks), "each name once", report)
    _check_planes(study, report)
    _check_landmarks_named(study, report)
    _check_sheets(study, report)


def _check_mesh(study: Record, report: Report) -> None:
    if study.given("sections"):
        check_sections(study, report)
        return
    if not study.given("unit") and not study.given("height"):
        report.add(
            0,
            "neither `unit` nor `height` is given, so the size of the model is unknown",
            f"`unit` takes {UNIT.takes}",
            "add the unit of the mesh file, or the true height of the model",
        )
    up, front = study.get("up"), study.get("front")
    if up is not None and front is not None and up[1] == front[1]:
        sides = any_of(axis for axis in AXIS.options if axis[1] != up[1])
        report.add(
            study.lines["front"],
            f"`front` is `{front}` though `up` is `{up}`: a model cannot face where it stands up",
            f"with that `up` it takes {sides}",
        )


def _check_planes(study: Record, report: Report) -> None:
    planes = study.get("planes")
    counts = planes.get("counts") if planes is not None else None
    if counts is not None and list(counts) != sorted(set(counts)):
        found = f"`counts` is {', '.join(str(count) for count in counts)}"
        report.add(planes.lines["counts"], found, "each level has more planes than the one before it", "")


def _check_landmarks_named(study: Record, report: Report) -> None:
    """Report each landmark that zone, unit or tilts name and the study does not have."""
    known = [name for name, _, _ in study.get("landmarks") or ()]
    planes, guides = study.get("planes"), study.get("guides")
    named = []
    zone = planes.get("zone") if planes is not None else None
    if zone is not None and zone.get("at") is not None:
        named.append((zone["at"], zone.lines["at"]))
    if guides is not None:
        named += [(name, guides.lines["unit"]) for name in guides.get("unit") or ()]
        named += [(name, line) for _, line, pair in guides.get("tilts") or () for name in pair]
    for name, line in named:
        if name not in known:
            likely = nearest(name, known)
            do = f"write `{likely}` if that is meant" if likely else "add it under `landmarks`"
            allowed = f"landmarks are {any_of(known)}" if known else "the study has no landmarks"
            report.add(line, f"there is no landmark `{name}`", allowed, do)


def _check_sheets(study: Record, report: Report) -> None:
    """Report a frame that is larger than one of its papers."""
    sheets, picture = study.get("sheets"), study.get("picture") or PICTURE.defaults()
    height = sheets.get("height") if sheets is not None else None
    wide, high = picture.get("width"), picture.get("height")
    if height is None or wide is None or high is None:
        return
    for name in sheets.get("papers") or ():
        most = greatest_height_mm(FORMATS[name], wide / high)
        if height.value > most:
            found = f"`height` is {height.value:g} mm, and a frame of that height does not fit on `{name}`"
            allowed = f"with pictures of {wide} by {high} pixels it takes {most:g} mm at most"
            report.add(sheets.lines["height"], found, allowed, "choose a lower frame or larger paper")


def _check_views(views: Iterable[Record], report: Report) -> None:
    views = tuple(views)
    sets = ((view["preset"], view.line) for view in views if view.get("preset"))
    _check_once("the set of views", sets, "each set once", report)
    numbers = [(view["number"], view.lines["number"]) for view in views if view.get("number") is not None]
    _check_once("the view number", numbers, "each number once, so that it means one view for ever", report)


def _check_lightings(lightings: Iterable[Record], report: Report) -> None:
    taken = {lighting.name: lighting.title.lower() for lighting in LIGHTINGS}
    names = []
    for record in lightings:
        name, start = record.get("name"), record.get("lighting")
        if name is not None and name in taken and name != start:
            report.add(
                record.lines["name"],
                f"`name` is `{taken[name]}`, which is a lighting of the list already",
                "a lighting of your own takes another name",
                f"choose one, or write `lighting: {taken[name]}` to adjust that one",
            )
        elif name is not None or start is not None:
            names.append((name or start, record.lines.get("name", record.line)))
        for role in ("key", "fill", "rim"):
            lamp = record.get(role)
            if lamp is not None and lamp.given("disc") and lamp.given("rectangle"):
                found = f"the {role} lamp has both `disc` and `rectangle`"
                report.add(lamp.lines["rectangle"], found, "a lamp has one shape", "take one of the two out")
    _check_once("the lighting", names, "each name once", report, "give this one a `name` of its own")


def _check_once(
    noun: str,
    keys: Iterable[tuple[str | int, int]],
    allowed: str,
    report: Report,
    do: str = "change or remove one of them",
) -> None:
    """Report each key that was met before, with both lines."""
    first: dict[str | int, int] = {}
    for key, line in keys:
        if key in first:
            where = f"line {first[key]}" if first[key] != line else "the same line"
            report.add(line, f"{noun} `{key}` stands here and in {where}", f"a study has {allowed}", do)
        else:
            first[key] = line
