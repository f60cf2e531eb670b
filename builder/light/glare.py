"""Light thrown back by the few places that a lamp stands close to, such as the ground right under a low one.

Such a place may get a hundred times the light that the sculpture gets. Of the rays that the surface sends out to see
where its light comes from, none or a few meet it: left to them, its light would be lost in one place and sparkle in
another. So its light beyond an even measure is taken out of what the rays gather and sent to every vertex by itself.
"""

from __future__ import annotations

import math
import os
from concurrent.futures import ThreadPoolExecutor

import numba
import numpy as np

from builder.arrays import Bools, Floats, Ints, Singles
from builder.light.areas import face_areas, piece_middles, piece_points, vertex_areas
from builder.light.direct import lamp_irradiance
from builder.light.lit import Emitter
from builder.light.origins import LIFT, vertex_origins
from builder.model.model import Surface
from builder.model.tracer import Tracer

SPOTS = 48
"""Points that stand, at most, for all that is too bright, each for an equal share of its light."""
SPOT_SHARE = 0.002
"""Share of all the light from the lamps, once thrown back, that is worth a point of its own."""
PIECES = 8
"""Pieces along each side that a triangle with too bright a corner is cut into, to find its light: right under a lamp
light changes by far within one."""
LAMP_POINTS = 16
"""Lamp points that the middle of each piece looks at."""

_CHUNK_RAYS = 1 << 18


def glare(
    scene: Surface, first: Singles, most: float, albedo: Singles, emitters: tuple[Emitter, ...], tracer: Tracer
) -> Singles:
    """Irradiance over pi that every vertex gets from the light beyond ``most``, once thrown back, (n,) float32.

    Args:
        scene: the surface.
        first: (n,) float32, irradiance over pi straight from the lamps.
        most: what is passed on otherwise: of each vertex's light as much as this.
        albedo: (n,) float32 reflectance.
        emitters: the lamps.
        tracer: what can stand between.

    """
    given = np.zeros(len(first), np.float32)
    bright = np.asarray((first > most)[scene.faces].any(axis=1))
    if not bright.any():
        return given
    points, normals, power, area = _pieces(scene, bright, first, most, albedo, emitters, tracer)
    reached = np.cumsum(power)
    total = float(reached[-1])
    if total <= 0.0:
        return given
    share = total / (total + float((vertex_areas(scene) * albedo * np.minimum(first, most)).sum()))
    count = min(SPOTS, math.ceil(share / SPOT_SHARE))
    chosen = np.searchsorted(reached, (np.arange(count) + 0.5) / count * total)
    spots, facing = points[chosen], normals[chosen]
    each, spread = total / count, float(area[power > 0.0].sum()) / count
    lift = LIFT * tracer.extent_mm
    starts, ends = vertex_origins(scene) + scene.normals * lift, spots + facing * lift

    def work(start: int) -> None:
        part = slice(start, start + step)
        room = len(given[part]) * count
        origins, rays = np.zeros((room, 3), np.float32), np.zeros((room, 3), np.float32)
        gains, owners = np.zeros(room, np.float32), np.zeros(room, np.int32)
        used = _towards(
            starts[part],
            scene.normals[part],
            ends,
            facing,
            each / math.pi,
            spread / math.pi,
            origins,
            rays,
            gains,
            owners,
        )
        dark = tracer.blocked(origins[:used], rays[:used], np.full(used, np.float32(1.0)))
        got = np.where(dark, np.float32(0.0), gains[:used])
        given[part] = np.bincount(owners[:used], got, len(given[part]))

    step = max(1, _CHUNK_RAYS // count)
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        list(pool.map(work, range(0, len(given), step)))
    return given


def _pieces(
    scene: Surface,
    bright: Bools,
    first: Singles,
    most: float,
    albedo: Singles,
    emitters: tuple[Emitter, ...],
    tracer: Tracer,
) -> tuple[Floats, Floats, Floats, Floats]:
    """The bright triangles in pieces: middles (k, 3), normals (k, 3), the power each throws back beyond ``most`` over
    pi, in mm2, and its area.
    """
    weights = piece_middles(PIECES)
    faces = scene.faces[bright]
    points, normals = piece_points(scene, bright, weights)
    light = np.zeros(len(points))
    for emitter in emitters:
        light += lamp_irradiance(points, normals, emitter, LAMP_POINTS, 0, tracer)[0]
    # what the rays will find here: the corners' light, capped
    even = (np.minimum(first, most)[faces] @ weights.T).ravel()
    area = np.repeat(face_areas(scene)[bright] / len(weights), len(weights))
    beyond = (light - even) * (albedo[faces] @ weights.T).ravel() * area
    # where light falls off fast the rays find too much between the corners: what is sent besides makes up for that
    power = np.maximum(beyond, 0.0)
    power *= max(float(beyond.sum()), 0.0) / max(float(power.sum()), 1e-30)
    return points, normals, power, area


@numba.njit(cache=True, nogil=True)
def _towards(
    at: Floats,
    facing: Floats,
    spots: Floats,
    turned: Floats,
    each: float,
    spread: float,
    origins: Singles,
    rays: Singles,
    gains: Singles,
    owners: Ints,
) -> int:
    """Fill in the rays from each point to the spots it can face, and the light each brings; count them.

    A spot is a small disc of area pi ``spread``: seen from its axis it gives as much as Howell's B-12 says.
    """
    used = 0
    for i in range(len(at)):
        px, py, pz = at[i]
        for s in range(len(spots)):
            dx, dy, dz = spots[s, 0] - px, spots[s, 1] - py, spots[s, 2] - pz
            here = dx * facing[i, 0] + dy * facing[i, 1] + dz * facing[i, 2]
            there = -(dx * turned[s, 0] + dy * turned[s, 1] + dz * turned[s, 2])
            if here <= 0.0 or there <= 0.0:
                continue
            square = dx * dx + dy * dy + dz * dz
            origins[used, 0], origins[used, 1], origins[used, 2] = px, py, pz
            rays[used, 0], rays[used, 1], rays[used, 2] = dx, dy, dz
            gains[used] = each * (here / square) * (there / (square + spread))
            owners[used] = i
            used += 1
    return used
