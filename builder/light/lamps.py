"""Lamps standing in the room: where they are, how bright, and the points that stand for them."""

from __future__ import annotations

import math

import numpy as np

from builder.arrays import Floats, Ints
from builder.errors import LightError, Problem
from builder.light.lit import Emitter
from builder.model.model import Model, Part
from builder.study.description import Lamp, Lighting

PATTERNS = 256
"""Patterns of lamp points there are; a phase counts modulo this."""

GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0
PLASTIC = (0.7548776662466927, 0.5698402909980532)
"""Powers -1 and -2 of the plastic number: their multiples modulo 1 fill the square evenly (M. Roberts, "The
unreasonable effectiveness of quasirandom sequences", 2018)."""


def disc_factor(radius: float, distance: float) -> float:
    """Form factor of a disc for a patch on its axis, facing it (Howell, catalogue of radiation configuration factors,
    B-12). Lengths in one unit.
    """
    return radius**2 / (radius**2 + distance**2)


def rectangle_factor(half_width: float, half_height: float, distance: float) -> float:
    """Form factor of a rectangle for a patch on its axis, facing it: four times that of a quarter whose corner stands
    over the patch (Howell, catalogue of radiation configuration factors, B-4). Lengths in one unit.
    """
    a, b = half_width / distance, half_height / distance
    to_a, to_b = math.hypot(1.0, a), math.hypot(1.0, b)
    return 4.0 / math.tau * (a / to_a * math.atan(b / to_a) + b / to_b * math.atan(a / to_b))


def place(lighting: Lighting, model: Model) -> tuple[Emitter, ...]:
    """The lamps of a lighting, standing in the model's room, the key first.

    Each is aimed at the model's middle, and as bright as gives an irradiance of pi * 2**stops there, facing the lamp
    and unoccluded.

    Raises:
        LightError: a lamp dips under the ground, cuts into the sculpture's or the plinth's bounding box, or reaches
            through the wall; every such lamp is named.

    """
    emitters = tuple(_emitter(role, lamp, model) for role, lamp in lighting.lamps())
    problems = [problem for emitter in emitters for problem in _misplaced(lighting.name, emitter, model)]
    if problems:
        raise LightError(problems)
    return emitters


def lamp_points(emitter: Emitter, count: int, phase: int = 0) -> Floats:
    """Points that stand for equal shares of a lamp's area.

    They are spread evenly without lining up in any direction, so that a shadow edge falls off in ``count`` steps
    whichever way it runs. Different phases (modulo :data:`PATTERNS`) give patterns that fill each other's gaps.

    Returns:
        (count, 3) float64, mm, model frame.

    """
    points: Floats = lamp_patterns(emitter, count, np.array([phase % PATTERNS], dtype=np.int32))[0]
    return points


def lamp_patterns(emitter: Emitter, count: int, phases: Ints) -> Floats:
    """:func:`lamp_points` for several phases at once: (p,) int32 to (p, count, 3) float64, mm."""
    step = np.arange(count, dtype=np.float64)[None, :]
    shift = np.mod(0.5 + phases.astype(np.float64)[:, None] * np.array(PLASTIC), 1.0)
    along = (step + shift[:, :1]) / count
    turn = np.mod(step * GOLDEN + shift[:, 1:], 1.0)
    if emitter.shape == "disc":
        # equal areas between the rings, each point a golden section of a turn further on (H. Vogel, "A better way to
        # construct the sunflower head", Mathematical Biosciences 44, 1979)
        radius, angle = np.sqrt(along), turn * math.tau
        x, y = radius * np.cos(angle), radius * np.sin(angle)
    else:
        x, y = along * 2.0 - 1.0, turn * 2.0 - 1.0
    points: Floats = emitter.centre + x[..., None] * emitter.across + y[..., None] * emitter.along
    return points


def _emitter(role: str, lamp: Lamp, model: Model) -> Emitter:
    bearing, elevation = math.radians(lamp.bearing_deg), math.radians(lamp.elevation_deg)
    sin_b, cos_b, sin_e, cos_e = math.sin(bearing), math.cos(bearing), math.sin(elevation), math.cos(elevation)
    towards = np.array([sin_b * cos_e, -cos_b * cos_e, sin_e])
    distance = lamp.distance.mm(model.size_mm)
    half_width, half_height = lamp.width.mm(model.size_mm) / 2, lamp.height.mm(model.size_mm) / 2
    if lamp.shape == "disc":
        half_height = half_width
        factor = disc_factor(half_width, distance)
    else:
        factor = rectangle_factor(half_width, half_height, distance)
    return Emitter(
        role=role,
        shape=lamp.shape,
        centre=model.middle_mm + distance * towards,
        normal=-towards,
        across=half_width * np.array([-cos_b, -sin_b, 0.0]),
        along=half_height * np.array([-sin_b * sin_e, cos_b * sin_e, cos_e]),
        radiance=2.0**lamp.stops / factor,
    )


def _misplaced(lighting: str, emitter: Emitter, model: Model) -> list[Problem]:
    where = f"lighting {lighting}, {emitter.role} lamp"
    face = _spread(emitter)
    problems = []
    lowest = float(face[:, 2].min())
    if lowest < model.ground_mm:
        problems.append(
            Problem(
                where,
                f"reaches {model.ground_mm - lowest:.0f} mm under the ground",
                "a lamp stands wholly above the ground",
                "raise its elevation, or make it smaller or nearer",
            )
        )
    for part, what in ((Part.MODEL, "the sculpture"), (Part.PLINTH, "the plinth")):
        corners = _vertices_of(model, part)
        if len(corners) and bool(((face > corners.min(axis=0)) & (face < corners.max(axis=0))).all(axis=1).any()):
            problems.append(
                Problem(
                    where,
                    f"stands inside the box round {what}",
                    "a lamp stands clear of the model",
                    "move it further away, or make it smaller",
                )
            )
    wall = _vertices_of(model, Part.BACKDROP)
    if len(wall):
        # the wall may lean outwards as it rises out of the ground, so what counts is how wide it is below each point
        wall = wall[np.argsort(wall[:, 2], kind="stable")]
        widest = np.maximum.accumulate(np.linalg.norm(wall[:, :2], axis=1))
        room = widest[np.maximum(np.searchsorted(wall[:, 2], face[:, 2], side="right") - 1, 0)]
        reach = np.linalg.norm(face[:, :2], axis=1)
        worst = int(np.argmax(reach - room))
        if reach[worst] >= room[worst]:
            problems.append(
                Problem(
                    where,
                    f"reaches {reach[worst]:.0f} mm from the middle of the room",
                    f"the wall stands at {room[worst]:.0f} mm there",
                    "move it nearer, or make it smaller",
                )
            )
    return problems


def _spread(emitter: Emitter) -> Floats:
    """Points all over the lamp's face and on its very edge."""
    side = np.linspace(-1.0, 1.0, 25)
    x, y = (grid.ravel() for grid in np.meshgrid(side, side))
    if emitter.shape == "disc":
        longest = np.maximum(np.abs(x), np.abs(y))
        length = np.hypot(x, y)
        shrink = np.divide(longest, length, out=np.ones_like(length), where=length > 0)
        x, y = x * shrink, y * shrink
        # the disc's lowest point, exactly
        down = np.array([emitter.across[2], emitter.along[2]])
        if (steep := float(np.linalg.norm(down))) > 0:
            x, y = np.append(x, -down[0] / steep), np.append(y, -down[1] / steep)
    points: Floats = emitter.centre + x[:, None] * emitter.across + y[:, None] * emitter.along
    return points


def _vertices_of(model: Model, part: Part) -> Floats:
    scene = model.scene
    vertices: Floats = scene.vertices[np.unique(scene.faces[scene.parts == part])]
    return vertices
