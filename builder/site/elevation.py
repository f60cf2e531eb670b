"""The side drawing: how far along the ground and how high each lamp of a lighting stands, at true scale."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from builder.pack import LampPlace, StudyPack
from builder.site.plan import Point
from builder.words.directions import along_mm

WIDTH = 520.0
MARGIN_X, MARGIN_TOP, MARGIN_BOTTOM = 90.0, 34.0, 34.0
HIGHEST = 300.0
"""Greatest height drawn over the ground, units."""
DIMENSION_STEP = 40.0
NAME_WIDTH, NAME_HEIGHT = 160.0, 22.0


@dataclass(frozen=True, slots=True)
class SideLamp:
    """A lamp seen from the side: its edge-on line, centre, foot on the ground, and the two lengths it is set up by."""

    role: str
    ends: tuple[Point, Point]
    centre: Point
    foot: Point
    name_at: Point
    dimension_y: float
    """Where the line that shows its length along the ground is drawn."""
    along_mm: float
    above_mm: float


@dataclass(frozen=True, slots=True)
class Elevation:
    """The side drawing in units, the ground line at y = 0 and up negative, the model's origin at x = 0."""

    box: tuple[float, float, float, float]
    """Left, top, width and height of what is drawn, units."""
    model: tuple[float, float, float, float]
    """Left, top, width and height of the sculpture, units."""
    stand: tuple[float, float, float, float]
    middle: Point
    lamps: tuple[SideLamp, ...]
    units_per_mm: float


def draw_elevation(study: StudyPack, lighting: str) -> Elevation:
    """The side drawing of one lighting: its lamps in turn to the right and the left of the model, so that none overlap.

    Only lengths along the ground and heights are true; the bearing is read from the plan.
    """
    lamps = study.lamps[lighting]
    sides = choose_sides([along_mm(lamp.centre_mm) for lamp in lamps])
    reach = {
        side: max(
            [
                along_mm(lamp.centre_mm) + lamp.height_mm / 2.0
                for lamp, own in zip(lamps, sides, strict=True)
                if own == side
            ]
            + [study.model.depth_mm]
        )
        for side in (1.0, -1.0)
    }
    rise = max([study.model.height_mm, *(lamp.centre_mm[2] - study.ground_mm for lamp in lamps)])
    scale = min((WIDTH - 2.0 * MARGIN_X) / (reach[1.0] + reach[-1.0]), HIGHEST / rise)
    ground, middle = study.ground_mm, study.model.height_mm / 2.0
    lowest = -min([0.0, *(lamp.centre_mm[2] - ground - lamp.height_mm / 2.0 for lamp in lamps)]) * scale
    marks: list[SideLamp] = []
    ends = [_ends(lamp, side, ground, middle, scale) for lamp, side in zip(lamps, sides, strict=True)]
    for index, (lamp, side) in enumerate(zip(lamps, sides, strict=True)):
        marks.append(_mark(lamp, side, ground, scale, ends[index], ends, marks, lowest))
    top = min([-study.model.height_mm * scale, *(mark.name_at[1] for mark in marks)]) - MARGIN_TOP
    bottom = max(mark.dimension_y for mark in marks) + MARGIN_BOTTOM
    width, height = study.model.depth_mm * scale, study.model.height_mm * scale
    stand = -ground * scale
    left, right = -reach[-1.0] * scale, reach[1.0] * scale
    return Elevation(
        box=(left - (WIDTH - right + left) / 2.0, top, WIDTH, bottom - top),
        model=(-width / 2.0, -stand - height, width, height),
        stand=(-width * 0.6, -stand, width * 1.2, stand),
        middle=(0.0, -stand - height / 2.0),
        lamps=tuple(marks),
        units_per_mm=scale,
    )


def choose_sides(along: Sequence[float]) -> list[float]:
    """For each distance along the ground the side to draw it on: 1 right, -1 left, where its nearest neighbour is
    farther; the first goes to the right.
    """
    sides: list[float] = []
    for index, own in enumerate(along):
        gap = {
            side: min([abs(own - along[k]) for k in range(index) if sides[k] == side], default=math.inf)
            for side in (1.0, -1.0)
        }
        sides.append(1.0 if gap[1.0] >= gap[-1.0] else -1.0)
    return sides


def _ends(lamp: LampPlace, side: float, ground_mm: float, middle_mm: float, scale: float) -> tuple[Point, Point]:
    """The lamp's edge-on line. It faces the model's middle, so from the side it lies square to the line from there."""
    along = along_mm(lamp.centre_mm)
    x, y = side * along * scale, -(lamp.centre_mm[2] - ground_mm) * scale
    rise = math.atan2(lamp.centre_mm[2] - middle_mm, along)
    half = lamp.height_mm * scale / 2.0
    dx, dy = -side * math.sin(rise) * half, -math.cos(rise) * half
    return (x - dx, y - dy), (x + dx, y + dy)


def _mark(
    lamp: LampPlace,
    side: float,
    ground_mm: float,
    scale: float,
    ends: tuple[Point, Point],
    every_line: Sequence[tuple[Point, Point]],
    before: Sequence[SideLamp],
    lowest: float,
) -> SideLamp:
    along, above = along_mm(lamp.centre_mm), lamp.centre_mm[2] - ground_mm
    centre = side * along * scale, -above * scale
    name_x, name_y = centre[0], min(ends[0][1], ends[1][1]) - 10.0
    while _taken(name_x, name_y, before, every_line):
        name_y -= 4.0
    same_side = sum(1 for mark in before if mark.centre[0] * side > 0.0)
    return SideLamp(
        role=lamp.role,
        ends=ends,
        centre=centre,
        foot=(centre[0], 0.0),
        name_at=(name_x, name_y),
        dimension_y=lowest + 22.0 + DIMENSION_STEP * same_side,
        along_mm=along,
        above_mm=above,
    )


def _taken(x: float, y: float, before: Sequence[SideLamp], lines: Sequence[tuple[Point, Point]]) -> bool:
    """Whether a name with its middle at x and its foot at y would lie on another name or on a lamp."""
    on_name = any(abs(x - mark.name_at[0]) < NAME_WIDTH and abs(y - mark.name_at[1]) < NAME_HEIGHT for mark in before)
    on_lamp = any(
        min(first[0], last[0]) - NAME_WIDTH / 2.0 < x < max(first[0], last[0]) + NAME_WIDTH / 2.0
        and min(first[1], last[1]) < y + 4.0
        and y - NAME_HEIGHT < max(first[1], last[1])
        for first, last in lines
    )
    return on_name or on_lamp
