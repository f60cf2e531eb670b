"""The fields of study.yml that give a model by its contours, and what they come to."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

from builder.study.contours import ContourRow, ContourSource, ContourUnit, FormKind, Points
from builder.study.groups import Field, Group, ListOf, Record
from builder.study.report import Report
from builder.study.values import Choice, Number, Text

MM_PER_UNIT = {"mm": 1.0, "cm": 10.0, "in": 25.4}
WITH_MESH_ONLY = ("mesh", "unit", "up", "front", "height", "turn", "cut below", "close holes", "smooth")
"""Fields of a study that say how a mesh is read, and mean nothing to contours."""

_PLACE = Number(-10_000, 10_000)
_POINT = ListOf(_PLACE, 2, 2, "numbers, x and y")
_POINTS = ListOf(_POINT, 1, 5000, "points, each `[x, y]`")

CONTOUR = Group(
    "a contour",
    (
        Field("number", Number(1, 999, whole=True), "Its number; the numbers rise with the heights.", required=True),
        Field("height", _PLACE, "Its height over the base.", required=True),
        Field(
            "points",
            _POINTS,
            "Its outline, point after point, at least three: x to the model's left, y to its back. It is closed from "
            "the last point to the first, or along the back plane of a relief.",
            (),
            "needed unless `rings` is given",
        ),
        Field("rings", ListOf(_POINTS, 1, 50, "outlines"), "Several outlines at one height, holes too.", (), "none"),
    ),
)

SECTIONS = Group(
    "the sections",
    (
        Field("unit", Choice(get_args(ContourUnit)), "The unit of all numbers under `sections:`.", "mm"),
        Field(
            "kind",
            Choice(get_args(FormKind)),
            "`closed`: every contour goes all the way round. `relief`: every contour is open at the back and ends "
            "against a flat back.",
            "closed",
        ),
        Field("back", _PLACE, "Depth y of a relief's back.", None, "needed for a relief"),
        Field(
            "profile",
            ListOf(ListOf(_PLACE, 2, 2, "numbers, depth and height"), 2, 5000, "points, each `[depth, height]`"),
            "The front edge of the form seen from the side, from the base up.",
            (),
            "none",
        ),
        Field("profile at", _PLACE, "The x at which the profile was taken.", 0.0),
        Field("contours", ListOf(CONTOUR, 1, 200, "contours"), "The contours as points.", (), "needed unless `svg` is"),
        Field(
            "svg",
            Text(240, noun="the name of a file"),
            "A drawing at true scale in this folder with one path a contour, instead of `contours`.",
            None,
            "none",
        ),
        Field(
            "heights", ListOf(_PLACE, 1, 200, "numbers"), "Heights of the drawing's contours, by number.", (), "none"
        ),
    ),
)


def check_sections(study: Record, report: Report) -> None:
    """Report what the fields of contours must hold between them, and fields of a mesh beside them."""
    sections = study.get("sections")
    if sections is None:
        return
    for key in WITH_MESH_ONLY:
        if study.given(key):
            found = f"`{key}` and `sections` are both given"
            report.add(study.lines[key], found, f"`{key}` is for a study with a mesh", "take one of the two out")
    line = study.lines["sections"]
    if sections.given("contours") == sections.given("svg"):
        found = "`sections` has both `contours` and `svg`" if sections.given("svg") else "`sections` has no contours"
        report.add(line, found, "it takes `contours` with points, or `svg` with a drawing", "give one of the two")
    if sections.given("svg") != sections.given("heights"):
        missing, other = ("heights", "svg") if sections.given("svg") else ("svg", "heights")
        report.add(sections.lines[other], f"`{other}` is given without `{missing}`", "a drawing needs both", "")
    if sections.get("kind") == "relief" and not sections.given("back"):
        report.add(line, "`back` is missing in a relief", "it takes the depth y of its flat back", "add `back: ...`")
    if sections.get("kind") == "closed" and sections.given("back"):
        do = "write `kind: relief`, or take `back` out"
        report.add(sections.lines["back"], "`back` is given for a closed form", "only a relief has a back", do)
    for row in sections.get("contours") or ():
        if row.given("points") == row.given("rings"):
            which = "both `points` and `rings`" if row.given("points") else "neither `points` nor `rings`"
            found = f"contour {row.get('number')} has {which}"
            report.add(row.line, found, "a contour takes one of the two", "")


def contour_source(path: Path, where: str, sections: Record, line: int) -> ContourSource:
    """The contours of a group that has passed every check; ``where`` names the study's file, ``line`` the group's."""
    scale = MM_PER_UNIT[sections["unit"]]
    return ContourSource(
        where=where,
        line=line,
        kind=sections["kind"],
        back_mm=None if sections["back"] is None else scale * sections["back"],
        profile=_scaled(sections["profile"], scale),
        profile_line=sections.lines.get("profile", line),
        profile_x_mm=scale * sections["profile at"],
        rows=tuple(_row(row, scale) for row in sections["contours"]),
        svg=None if sections["svg"] is None else path.parent / sections["svg"],
        svg_line=sections.lines.get("svg", line),
        heights_mm=tuple(scale * height for height in sections["heights"]),
        heights_line=sections.lines.get("heights", line),
    )


def _row(row: Record, scale: float) -> ContourRow:
    rings = row["rings"] or (row["points"],)
    scaled = tuple(_scaled(ring, scale) for ring in rings)
    return ContourRow(row["number"], scale * row["height"], scaled, row.line)


def _scaled(points: Points, scale: float) -> Points:
    return tuple((scale * one, scale * other) for one, other in points)
