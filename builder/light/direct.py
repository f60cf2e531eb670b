"""Light that comes straight from a lamp, with the shadows cast and without."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor

import numba
import numpy as np
from numpy.typing import NDArray

from builder.arrays import Floats, Ints, Singles
from builder.light.factor import form_factors, outline
from builder.light.lamps import PATTERNS, lamp_patterns
from builder.light.lit import Emitter
from builder.light.origins import LIFT, vertex_origins
from builder.model.model import Model
from builder.model.tracer import Tracer

VERTEX_POINTS = 64
"""Lamp points each vertex looks at."""

_CHUNK_RAYS = 1 << 18
_CHUNK_FACTORS = 1 << 14


def vertex_irradiance(model: Model, emitter: Emitter, tracer: Tracer) -> tuple[Singles, Singles]:
    """Irradiance of every vertex of the scene from one lamp, over pi: with shadows, and as if nothing stood between.

    Every vertex looks at the same lamp points: a penumbra is then a smooth ramp of fine steps, not grain.

    Returns:
        direct, open: (n,) float32 each.

    """
    points = vertex_origins(model.scene)
    return lamp_irradiance(points, model.scene.normals, emitter, VERTEX_POINTS, 0, tracer)


def lamp_irradiance(
    points: Floats,
    normals: Floats,
    emitter: Emitter,
    points_per_sample: int,
    phase: Ints | int,
    tracer: Tracer,
) -> tuple[Singles, Singles]:
    """Irradiance of points from one lamp, over pi: with shadows, and as if nothing stood between.

    The open irradiance is exact. The lamp points, each weighted with the light it sends here (both cosines over the
    distance squared; nothing from below the horizon), say what share of it arrives: where nothing stands between, or
    nothing gets past, there is no error whatever their number.

    Args:
        points: (n, 3) mm, on the surface (see :func:`builder.light.origins.smooth_points`); rays start a hair above.
        normals: (n, 3) unit, shading normals.
        emitter: the lamp.
        points_per_sample: how many lamp points each point looks at.
        phase: which pattern of lamp points, one for all or (n,) int32 one each; see
            :func:`builder.light.lamps.lamp_points`.
        tracer: what can stand between.

    Returns:
        direct, open: (n,) float32 each.

    """
    count = len(points)
    phases, inverse = np.unique(np.mod(np.broadcast_to(phase, (count,)), PATTERNS), return_inverse=True)
    patterns = lamp_patterns(emitter, points_per_sample, phases.astype(np.int32))
    arrived, sent = lamp_sight(points, normals, emitter, patterns, inverse.astype(np.int32), tracer)
    unshadowed = (emitter.radiance * open_factors(points, normals, emitter)).astype(np.float32)
    return unshadowed * seen_shares(arrived, sent), unshadowed


def open_factors(points: Floats, normals: Floats, emitter: Emitter) -> Floats:
    """Form factors of a lamp for points (n, 3) mm with unit normals (n, 3), nothing standing between, (n,) float64."""
    factors = np.zeros(len(points))
    corners = outline(emitter)

    def work(start: int) -> None:
        part = slice(start, start + _CHUNK_FACTORS)
        factors[part] = form_factors(corners, emitter.normal, points[part], normals[part])

    with ThreadPoolExecutor(os.cpu_count()) as pool:
        list(pool.map(work, range(0, len(points), _CHUNK_FACTORS)))
    return factors


def seen_shares(arrived: Floats, sent: Floats) -> Singles:
    """Shares of a lamp that points see, (n,) float32, from what :func:`lamp_sight` found; 1 where nothing was sent."""
    shares = np.divide(arrived, sent, out=np.ones(len(sent)), where=sent > 0.0)
    return shares.astype(np.float32)


def lamp_sight(
    points: Floats, normals: Floats, emitter: Emitter, patterns: Floats, which: Ints, tracer: Tracer
) -> tuple[Floats, Floats]:
    """What points see of the lamp points of a pattern each, weighted with the light these send there.

    Args:
        points: (n, 3) mm, on the surface (see :func:`builder.light.origins.smooth_points`); rays start a hair above.
        normals: (n, 3) unit, shading normals.
        emitter: the lamp.
        patterns: (p, s, 3) mm, lamp points.
        which: (n,) int32, the pattern each point looks at.
        tracer: what can stand between.

    Returns:
        arrived, sent: (n,) float64 each, sums of weights (both cosines over the distance squared; nothing from below
        the horizon) of the lamp points seen, and of all. Equal to the bit where nothing stands between.

    """
    count = len(points)
    assert points.shape == (count, 3) and normals.shape == (count, 3), "points and normals are (n, 3)"
    arrived, sent = np.zeros(count), np.zeros(count)

    def work(start: int) -> None:
        part = slice(start, start + step)
        room = len(sent[part]) * patterns.shape[1]
        origins, rays = np.zeros((room, 3), np.float32), np.zeros((room, 3), np.float32)
        gains, owners = np.zeros(room, np.float32), np.zeros(room, np.int32)
        used = _aim(
            points[part],
            normals[part],
            which[part],
            patterns,
            emitter.normal,
            LIFT * tracer.extent_mm,
            origins,
            rays,
            gains,
            owners,
        )
        dark = tracer.blocked(origins[:used], rays[:used], np.ones(used, np.float32))
        _add_up(dark, gains, owners, arrived[part], sent[part])

    step = max(1, _CHUNK_RAYS // patterns.shape[1])
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        list(pool.map(work, range(0, count, step)))
    return arrived, sent


@numba.njit(cache=True, nogil=True)
def _aim(
    at: Floats,
    facing: Floats,
    which: Ints,
    patterns: Floats,
    normal: Floats,
    height: float,
    origins: Singles,
    rays: Singles,
    gains: Singles,
    owners: Ints,
) -> int:
    """Fill in the rays from each point to the lamp points above its horizon and their weights; count them."""
    used = 0
    for i in range(len(at)):
        px, py, pz = at[i]
        nx, ny, nz = facing[i]
        px, py, pz = px + nx * height, py + ny * height, pz + nz * height
        for s in range(patterns.shape[1]):
            dx = patterns[which[i], s, 0] - px
            dy = patterns[which[i], s, 1] - py
            dz = patterns[which[i], s, 2] - pz
            here = dx * nx + dy * ny + dz * nz
            there = -(dx * normal[0] + dy * normal[1] + dz * normal[2])
            if here <= 0.0 or there <= 0.0:
                continue
            square = dx * dx + dy * dy + dz * dz
            origins[used, 0], origins[used, 1], origins[used, 2] = px, py, pz
            rays[used, 0], rays[used, 1], rays[used, 2] = dx, dy, dz
            gains[used] = (here / square) * (there / square)
            owners[used] = i
            used += 1
    return used


@numba.njit(cache=True, nogil=True)
def _add_up(dark: NDArray[np.bool_], gains: Singles, owners: Ints, arrived: Floats, sent: Floats) -> None:
    """Add each ray's weight to those of its owner, if it arrives to both."""
    for k in range(len(dark)):
        sent[owners[k]] += gains[k]
        if not dark[k]:
            arrived[owners[k]] += gains[k]
