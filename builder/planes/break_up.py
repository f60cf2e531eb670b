"""From a model to its planes, in three nested levels: the whole stage, read as a list of steps."""

from __future__ import annotations

import numpy as np

from builder.arrays import Floats
from builder.errors import Notice
from builder.model.model import Model
from builder.planes.distance import spread
from builder.planes.divide import Division, divided
from builder.planes.finish import Place, finished, parents
from builder.planes.half import halved
from builder.planes.lighter import lighter
from builder.planes.mirror import MOST_RESIDUAL, Mirror, find_mirror
from builder.planes.planes import PlaneLevels, Planes
from builder.planes.skin import Skin, skin_of
from builder.planes.slivers import carved_clean
from builder.study.description import PlaneChoice, Zone

SAMPLES = 20_000
"""Points at which the distance of the model from its planes is measured."""


def break_up(model: Model, choice: PlaneChoice) -> PlaneLevels:
    """The planes of a model's sculpture."""
    whole = skin_of(model)
    light = lighter(whole, max(choice.counts))
    mirror = find_mirror(light)
    size = float(np.linalg.norm(np.ptp(light.vertices, axis=0)))
    body, place, notices = _placed(model, light, mirror, size, choice)
    divisions = divided(body, choice.counts, _times(body, place, choice.zone), place.mirrored)
    samples = spread(whole.vertices, whole.faces, SAMPLES)
    ground = float(whole.vertices[:, 2].min()) / place.size_mm
    levels: list[Planes] = []
    outer: Division | None = None
    for division in divisions:
        clean, carved = carved_clean(division, outer, ground)
        levels.append(finished(carved, clean.labelled.span, parents(clean, outer), place, samples))
        outer = clean
    big, middle, small = levels
    return PlaneLevels(big, middle, small, place.mirrored, mirror.x, mirror.residual, notices)


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
