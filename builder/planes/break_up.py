"""From a model to its planes, in three nested levels: the whole stage, read as a list of steps."""

from __future__ import annotations

import functools

import numpy as np

from builder.arrays import Floats
from builder.errors import ModelError, Notice, Problem
from builder.model.boxes import boxed
from builder.model.model import Model
from builder.model.spread import spread
from builder.model.triangles import Indices
from builder.planes.aim import Aim
from builder.planes.carve import Block, Carved
from builder.planes.choose import carved_well
from builder.planes.divide import divided, gathered_within
from builder.planes.finish import Place, finished
from builder.planes.half import halved
from builder.planes.lighter import lighter
from builder.planes.mirror import MOST_RESIDUAL, Mirror, find_mirror
from builder.planes.nest import Nest, nested, open_nest, parents
from builder.planes.planes import PlaneLevels, Planes
from builder.planes.skin import Skin, skin_of
from builder.planes.straighten import Labelled
from builder.planes.tunnels import without_tunnels
from builder.study.description import PlaneChoice, Zone

NAMES = ("big", "middle", "small")
SAMPLES = 20_000
"""Points at which the distance of the model from its planes is measured."""


FAILED = (ArithmeticError, LookupError, RuntimeError, ValueError)
"""What geometry raises that is too degenerate for a step, LinAlgError and QhullError among them."""


def break_up(model: Model, choice: PlaneChoice) -> PlaneLevels:
    """The planes of a model's sculpture.

    Raises ModelError where its form is such that no step can be taken; a single level that fails is left out.
    """
    try:
        return _broken(model, choice)
    except FAILED as failed:
        raise ModelError(Problem(model.name, "its form could not be broken into planes")) from failed


def _broken(model: Model, choice: PlaneChoice) -> PlaneLevels:
    whole = skin_of(model)
    light = lighter(whole, max(choice.counts))
    solid = without_tunnels(light)
    filled = solid is not light
    light = lighter(solid, max(choice.counts)) if filled else light
    mirror = find_mirror(light)
    size = float(np.linalg.norm(np.ptp(light.vertices, axis=0)))
    body, place, notices = _placed(model, light, mirror, size, choice)
    if filled:
        text = "narrow tunnels through the form are filled in its planes"
        notices += (Notice(model.name, text),)
    division = divided(body, choice.counts, _times(body, place, choice.zone), place.mirrored)
    samples = spread(whole.vertices, whole.faces, SAMPLES)
    ground = float(whole.vertices[:, 2].min()) / place.size_mm
    sheet = boxed(body.vertices, body.faces)
    levels: dict[int, Planes] = {}
    outer: Labelled | None = None
    for number, (count, wide, sums) in enumerate(zip(choice.counts, division.sizes, division.sums, strict=True)):
        crosses = None if outer is None else outer.span
        made = _level(
            division.labelled, sums, outer, Block(wide, ground, sheet), Aim(count, outer is not None, crosses)
        )
        if made is None:
            text = f"no {NAMES[number]} planes are drawn: the form could not be made of about {count} flat planes"
            notices += (Notice(model.name, text),)
            continue
        known = parents(made.parent, made.labelled.span, crosses, place.mirrored)
        levels[number] = finished(made, known, place, samples)
        outer = made.labelled
    notices += _counted(model.name, levels, choice.counts)
    kept = tuple(levels.values()), tuple(levels)
    return PlaneLevels(*kept, place.mirrored, mirror.x, mirror.residual, notices)


def _level(labelled: Labelled, sums: Floats, outer: Labelled | None, block: Block, aim: Aim) -> Carved | None:
    """One level cut from the fine labels, within the planes of the bigger one; ``None`` where it cannot be made.

    A scan can be of any shape: where geometry fails on it the level is left out, and the pack goes on without.
    """
    fine, nest = (labelled, open_nest(labelled)) if outer is None else nested(labelled, outer)
    patches = functools.partial(_patches, fine, sums, nest)
    try:
        return carved_well(patches, block, aim)
    except FAILED:
        return None


def _counted(name: str, levels: dict[int, Planes], counts: tuple[int, ...]) -> tuple[Notice, ...]:
    """What to tell where a level has more or fewer planes than were asked for."""
    told = []
    for number, planes in levels.items():
        wanted = counts[number]
        if Aim(wanted, False).misfit(planes.count) > 0:
            text = (
                f"it is broken into {planes.count} {NAMES[number]} planes, not {wanted}: "
                "its form lies flat in no other number"
            )
            told.append(Notice(name, text))
    return tuple(told)


def _patches(fine: Labelled, sums: Floats, nest: Nest, count: int) -> tuple[Labelled, Indices]:
    """The fine labels gathered to a number of planes within bigger ones."""
    return gathered_within(fine, sums, count, nest)


def _placed(
    model: Model, light: Skin, mirror: Mirror, size: float, choice: PlaneChoice
) -> tuple[Skin, Place, tuple[Notice, ...]]:
    """The body to divide, scaled to a diagonal of 1: half of it where it is to be mirrored."""
    wanted = choice.mirrored
    if wanted is None:
        wanted = mirror.residual <= MOST_RESIDUAL * size
    free = Place(size, 0.0, False)
    if not wanted:
        return free.inward(light), free, ()
    place = Place(size, mirror.x, True)
    half = halved(place.inward(light)) if light.closed and int(light.bodies().max()) == 0 else None
    if half is not None:
        return half, place, ()
    text = "its planes are not mirrored: the surface is not one closed body"
    return free.inward(light), free, (Notice(model.name, text),)


def _times(body: Skin, place: Place, zone: Zone | None) -> Floats:
    """(m,) how much more each face counts: more within the zone."""
    if zone is None:
        return np.ones(len(body.faces))
    middles = body.vertices[body.faces].mean(axis=1)
    centre = (np.array(zone.point_mm) - (place.x_mm, 0.0, 0.0)) / place.size_mm
    if place.mirrored:
        centre[0] = abs(centre[0])  # a zone on the other half counts through its image
    near = np.linalg.norm(middles - centre, axis=1) <= zone.radius_mm / place.size_mm
    return np.where(near, zone.times, 1.0)
