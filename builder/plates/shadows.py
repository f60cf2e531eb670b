"""How much of a lamp each sample near a shadow's edge sees: one ray where all agree, many where the light is torn."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Floats, Ints, Singles
from builder.camera.sight import SUPERSAMPLE
from builder.light.direct import lamp_sight, seen_shares
from builder.light.lamps import lamp_patterns
from builder.light.lit import Emitter
from builder.model.tracer import Tracer

TILE_PX = 4
"""Side of the tiles in which no two samples probe the same lamp point."""
FEWEST_PROBES = 12
"""A pixel with fewer probes than this in it and round it counts as torn: they are too few to find a thin shadow."""
POINTS = 16
"""Lamp points that each sample of a torn pixel looks at: 64 a pixel. With half as many, the long penumbrae that a small
lamp throws on the ground show steps."""
PHASES = (31, 81, 234, 184)
"""Which pattern of lamp points (see :func:`builder.light.lamps.lamp_points`) a sample looks at, by row and column in
the pixel: the four, searched for among all there are, whose points together lie evenest. A straight edge drawn across
the lamp in any direction parts them to 0.013 rms as it parts a disc, 0.012 for a square."""


def lamp_shares(row: Ints, column: Ints, points: Floats, normals: Floats, emitter: Emitter, tracer: Tracer) -> Singles:
    """The share of a lamp that each sample sees: of the light it would get, how much arrives.

    First every sample looks at one lamp point, another than its neighbours. Where all agree in a pixel and the eight
    round it, the lamp is taken to be seen whole or not at all. In all other pixels, torn between light and dark, the
    samples look at many lamp points, the same in every pixel: a penumbra is then a ramp of fine steps, not grain. So do
    those of pixels beside a sample that sees part of the lamp, and so on, until every penumbra is looked at to its end.

    Args:
        row: (n,) int32, row of each sample in the picture, counted in samples.
        column: (n,) int32, its column.
        points: (n, 3) mm, on the surface.
        normals: (n, 3) unit, shading normals.
        emitter: the lamp.
        tracer: what can stand between.

    Returns:
        (n,) float32, 0..1.

    """
    if len(row) == 0:
        return np.zeros(0, np.float32)
    tile = TILE_PX * SUPERSAMPLE
    one_each = lamp_patterns(emitter, 1, np.arange(tile * tile, dtype=np.int32))
    arrived, sent = lamp_sight(points, normals, emitter, one_each, _places(row, column, tile), tracer)
    y, x = (row - row.min()) // SUPERSAMPLE, (column - column.min()) // SUPERSAMPLE
    counts = np.zeros((int(y.max()) + 3, int(x.max()) + 3, 2), np.uint8)
    shares = np.zeros(len(row), np.float32)
    torn = _agree(y, x, arrived, sent, FEWEST_PROBES, counts, shares)
    many = lamp_patterns(emitter, POINTS, np.array(PHASES, np.int32))
    state = np.zeros(counts.shape[:2], np.uint8)
    while len(torn) > 0:
        which = _places(row[torn], column[torn], SUPERSAMPLE)
        arrived, sent = lamp_sight(points[torn], normals[torn], emitter, many, which, tracer)
        shares[torn] = seen_shares(arrived, sent)
        torn = _beside(y, x, torn, arrived, sent, state)
    return shares


def _places(row: Ints, column: Ints, side: int) -> Ints:
    """Places of samples in tiles of ``side`` x ``side`` samples, (n,) int32, counted along the rows."""
    return row % np.int32(side) * np.int32(side) + column % np.int32(side)


@njit(cache=True, nogil=True)
def _agree(y: Any, x: Any, arrived: Any, sent: Any, fewest: int, counts: Any, shares: Any) -> Any:
    """Fill in the ``shares`` of samples in pixels (y, x) whose probes agree; the indices of all others.

    counts (h + 2, w + 2, 2) uint8, zero: room for the probes that arrived and did not, with a border.
    """
    for i in range(len(y)):
        if arrived[i] > 0.0:
            counts[y[i] + 1, x[i] + 1, 0] += 1
        elif sent[i] > 0.0:
            counts[y[i] + 1, x[i] + 1, 1] += 1
    torn = np.zeros(len(y), np.int64)
    left = 0
    for i in range(len(y)):
        light, dark = 0, 0
        for j in range(3):
            for k in range(3):
                light += counts[y[i] + j, x[i] + k, 0]
                dark += counts[y[i] + j, x[i] + k, 1]
        if light + dark < fewest or (light > 0 and dark > 0):
            torn[left] = i
            left += 1
        elif light > 0:
            shares[i] = 1.0
    return torn[:left]


@njit(cache=True, nogil=True)
def _beside(y: Any, x: Any, done: Any, arrived: Any, sent: Any, state: Any) -> Any:
    """The samples not yet done in pixels beside a sample that was and sees part of the lamp; their indices.

    state (h + 2, w + 2) uint8, zero at first: 1 for pixels asked for, 2 for those done, with a border.
    """
    for i in done:
        state[y[i] + 1, x[i] + 1] = 2
    for k in range(len(done)):
        if 0.0 < arrived[k] < sent[k]:
            row, column = y[done[k]] + 1, x[done[k]] + 1
            for j, i in ((row - 1, column), (row, column - 1), (row, column + 1), (row + 1, column)):
                if state[j, i] == 0:
                    state[j, i] = 1
    asked = np.zeros(len(y), np.int64)
    count = 0
    for i in range(len(y)):
        if state[y[i] + 1, x[i] + 1] == 1:
            asked[count] = i
            count += 1
    return asked[:count]
