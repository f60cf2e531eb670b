"""The plan drawing: footprint, eyes and lamps seen from above, in drawing units, ready for the SVG template.

The model frame is laid on the page with the front (-y) down: right = x, down = -y. Eyes and lamps stand at true scale
within a circle; outside it the views' numbers stand in discs near their bearing, each tied to its eye by a line.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from builder.pack import LampPlace, StudyPack, StudyView
from builder.words.directions import NEAR_DEG, along_mm, bearing_deg

TRUE_RADIUS, TRUE_RADIUS_ALONE = 110.0, 180.0
"""Radius that is drawn to scale, with the numbers of the views round it and without."""
DISC_RADIUS = 25.0
DISC_STEP = 2.0 * DISC_RADIUS + 4.0
FIRST_SLOT = TRUE_RADIUS + DISC_RADIUS + 16.0
SLIDES_DEG = (0.0, 4.0, -4.0, 8.0, -8.0, 12.0, -12.0)
"""How far a disc may slide from its bearing rather than stand farther out."""
RIM_GAP, RIM_GAP_ALONE = 24.0, 52.0
"""From the part that is drawn to scale to the ring; lamps alone have their names there."""
SHORTEST_LEG, SHORT_LEG = 14.0, 90.0
"""A length shorter than the first is not measured out, units; below the second its figure is as long as it is."""
TICK_DEG = 15
BAR_LENGTHS_MM = (50.0, 100.0, 200.0, 250.0, 500.0, 1000.0, 2000.0, 5000.0, 10000.0)

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class EyeMark:
    """A view's number: its disc's centre, the true place of its eye, and -1, 0 or 1 for below, level or above."""

    number: int
    disc: Point
    eye: Point
    level: int


@dataclass(frozen=True, slots=True)
class Leg:
    """A length to measure, mm; its figure stands at ``label_at`` and is anchored there as SVG's ``text-anchor``."""

    ends: tuple[Point, Point]
    length_mm: float
    label_at: Point
    anchor: str


@dataclass(frozen=True, slots=True)
class LampMark:
    """A lamp: its edge-on line, the outline of its beam to the footprint, and where its name stands."""

    role: str
    ends: tuple[Point, Point]
    beam: tuple[Point, ...]
    name_at: Point
    legs: tuple[Leg, ...] = ()
    """How a tape gets there from the middle of the model: along the front line, then square to it."""


@dataclass(frozen=True, slots=True)
class Tick:
    """A stroke of the bearing ring; ``label`` is empty on the small ones."""

    inner: Point
    outer: Point
    label: str
    label_at: Point


@dataclass(frozen=True, slots=True)
class Plan:
    """The whole drawing. The origin of the units is the model's; ``half`` is half the side of the square it fills."""

    half: float
    units_per_mm: float
    ring_radius: float
    footprint: tuple[Point, ...]
    front_at: Point
    eyes: tuple[EyeMark, ...]
    lamps: tuple[LampMark, ...]
    ticks: tuple[Tick, ...]
    bar_mm: float
    bar_units: float


def draw_plan(study: StudyPack, lighting: str | None, with_eyes: bool = True) -> Plan:
    """The plan of a study with the lamps of one lighting (``None``: none) and, if asked for, the eyes of its views."""
    views = study.views if with_eyes else ()
    lamps = study.lamps[lighting] if lighting is not None else ()
    # beside the eyes every lighting has the same scale, for the reader switches between them
    reaching = [lamp for places in study.lamps.values() for lamp in places] if with_eyes else lamps
    radius = TRUE_RADIUS if with_eyes else TRUE_RADIUS_ALONE
    reach_mm = max(
        [along_mm(view.eye_mm) for view in views]
        + [along_mm(lamp.centre_mm) + lamp.width_mm / 2.0 for lamp in reaching]
        + [math.hypot(*corner) for corner in study.footprint_mm]
    )
    scale = radius / reach_mm
    eyes, farthest = place_numbers(views, scale)
    ring = max(farthest, radius) + (RIM_GAP if with_eyes else RIM_GAP_ALONE)
    bar_mm = max(length for length in BAR_LENGTHS_MM if length * scale <= 0.7 * radius or length == BAR_LENGTHS_MM[0])
    front_y = -min(y for _, y in study.footprint_mm) * scale + 20.0
    return Plan(
        half=ring + 38.0,
        units_per_mm=scale,
        ring_radius=ring,
        footprint=tuple(on_page(corner, scale) for corner in study.footprint_mm),
        front_at=(0.0, front_y),
        eyes=eyes,
        lamps=tuple(mark_lamp(lamp, study.footprint_mm, scale, front_y, name_inside=with_eyes) for lamp in lamps),
        ticks=bearing_ticks(ring),
        bar_mm=bar_mm,
        bar_units=bar_mm * scale,
    )


def on_page(point_mm: Sequence[float], scale: float) -> Point:
    """A point of the model frame (mm) in drawing units: right = x, down = -y."""
    return point_mm[0] * scale, -point_mm[1] * scale


def at_bearing(angle_deg: float, radius: float) -> Point:
    """The place on the page at a bearing and a distance from the model's origin, drawing units."""
    angle = math.radians(angle_deg)
    return radius * math.sin(angle), radius * math.cos(angle)


def place_numbers(views: Sequence[StudyView], scale: float) -> tuple[tuple[EyeMark, ...], float]:
    """The discs of all views, none overlapping another, and the radius that holds them all.

    Each stands as near as can be to its view's bearing and to the model; those in front are placed first.
    """
    marks: list[EyeMark] = []
    farthest = 0.0
    for view in sorted(views, key=lambda each: (round(abs(bearing_deg(*each.eye_mm[:2])), 1), each.view.number)):
        disc = _free_place(bearing_deg(*view.eye_mm[:2]), [mark.disc for mark in marks])
        farthest = max(farthest, math.hypot(*disc) + DISC_RADIUS)
        level_deg = view.view.eye_level_deg
        level = 0 if abs(level_deg) < NEAR_DEG else int(math.copysign(1, level_deg))
        marks.append(EyeMark(view.view.number, disc, on_page(view.eye_mm, scale), level))
    return tuple(sorted(marks, key=lambda mark: mark.number)), farthest


def _free_place(angle_deg: float, taken: Sequence[Point]) -> Point:
    # Views mirrored left and right have mirrored places; on the axis between them discs do not slide.
    outwards = -1.0 if angle_deg < 0.0 else 1.0
    slides = SLIDES_DEG if 15.0 < abs(angle_deg) < 165.0 else (0.0,)
    for ring in itertools.count():
        for slide in slides:
            place = at_bearing(angle_deg + outwards * slide, FIRST_SLOT + ring * DISC_STEP / 2.0)
            if all(math.dist(place, other) >= DISC_STEP for other in taken):
                return place
    raise AssertionError("rings grow without end")


def mark_lamp(
    lamp: LampPlace, footprint_mm: Sequence[Point], scale: float, front_y: float = 0.0, *, name_inside: bool = False
) -> LampMark:
    """A lamp edge-on, ``width_mm`` wide across its bearing, with its beam to the two sides of the footprint.

    Its name stands behind it, or in its beam where the numbers of views leave no room behind.
    """
    place = np.array(on_page(lamp.centre_mm, scale))
    away = np.linalg.norm(place)
    outward = place / away if away > 0.0 else np.array((0.0, 1.0))
    across = np.array((-outward[1], outward[0]))
    half = across * lamp.width_mm * scale / 2.0
    corners = np.array([on_page(corner, scale) for corner in footprint_mm])
    sideways = corners @ across
    sides = corners[int(sideways.argmin())], corners[int(sideways.argmax())]
    beam = (place + half, sides[1], sides[0], place - half)
    return LampMark(
        lamp.role,
        (_pair(place - half), _pair(place + half)),
        tuple(_pair(corner) for corner in beam),
        _pair(place * 0.6 if name_inside else place + outward * (18.0 + 12.0 * abs(outward[0]))),
        () if name_inside else tape_legs(lamp, scale, front_y),
    )


def tape_legs(lamp: LampPlace, scale: float, front_y: float) -> tuple[Leg, ...]:
    """The two lengths a lamp's place is measured by; one that is too short to draw a figure at is left out. ``front_y``
    is where the word for the front stands on the line, which the figure keeps clear of.
    """
    x, y = on_page(lamp.centre_mm, scale)
    along, across = abs(lamp.centre_mm[1]), abs(lamp.centre_mm[0])
    side = math.copysign(1.0, x)
    legs = []
    if abs(y) > SHORTEST_LEG:
        aside = 30.0 if abs(y * 0.62 - front_y) < 24.0 else 8.0
        # the figure stands on the far side of the line, clear of the beam
        legs.append(
            Leg(((0.0, 0.0), (0.0, y)), along, (-side * aside, y * 0.62 + 6.0), "end" if side > 0.0 else "start")
        )
    if abs(x) > SHORTEST_LEG:
        # outside, or inside where the lamp's name stands too near
        under = (y >= 0.0) == (abs(x) >= SHORT_LEG)
        legs.append(Leg(((0.0, y), (x, y)), across, (x / 2.0, y + (18.0 if under else -8.0)), "middle"))
    return tuple(legs)


def bearing_ticks(ring: float) -> tuple[Tick, ...]:
    """Strokes of the bearing ring every ``TICK_DEG`` degrees, named every 45."""
    ticks = []
    for angle in range(-180 + TICK_DEG, 181, TICK_DEG):
        named = angle % 45 == 0
        ticks.append(
            Tick(
                at_bearing(angle, ring),
                at_bearing(angle, ring + (10.0 if named else 5.0)),
                f"{angle}°".replace("-", "−") if named else "",
                at_bearing(angle, ring + 25.0),
            )
        )
    return tuple(ticks)


def _pair(point: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> Point:
    return float(point[0]), float(point[1])
