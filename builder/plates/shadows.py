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
FIRST_POINTS = 4
"""Lamp points that each sample of a torn pixel looks at first."""
BLOCK_PX = 3
"""Side of the squares that a wide penumbra is averaged over."""
FIRST_PHASES = (
    (224, 142, 218, 38, 218, 57),
    (181, 134, 92, 28, 221, 96),
    (238, 233, 199, 191, 139, 7),
    (90, 23, 1, 58, 189, 122),
    (13, 175, 211, 71, 15, 216),
    (74, 193, 56, 147, 119, 248),
)
"""Which pattern of lamp points (see :func:`builder.light.lamps.lamp_points`) a sample looks at first, by row and column
in such a square. Searched for among all there are: a straight edge drawn across the lamp, a disc or a square, in any
direction parts the 16 points of each pixel to 0.045 rms as it parts the lamp, the 144 of a whole square to 0.010."""
POINTS = 12
"""Lamp points that each sample looks at where the light changes fast: 48 a pixel."""
PHASES = (242, 232, 13, 182)
"""Which pattern of these, by row and column in the pixel: an edge parts the 48 to 0.016 rms."""
SLOPE = 0.08
"""Change of the share from pixel to pixel above which it is fast. A penumbra of a round lamp that is 16 pixels wide is
as steep as this in its middle, and bends so little that a mean over three pixels is off by less than 0.01."""
SPAN = 0.3
"""Difference within the square above which it is fast too, whichever way: a thin shadow is no slope."""
BEND = 0.95
"""Cosine between pixels' normals under which they lie on different sides of an edge."""


def lamp_shares(row: Ints, column: Ints, points: Floats, normals: Floats, emitter: Emitter, tracer: Tracer) -> Singles:
    """The share of a lamp that each sample sees: of the light it would get, how much arrives.

    First every sample looks at one lamp point, another than its neighbours. Where all agree in a pixel and the eight
    round it, the lamp is taken to be seen whole or not at all. In all other pixels, torn between light and dark, the
    samples look at a few lamp points each. So do those of pixels beside a sample that sees part of the lamp, and so on,
    until every penumbra is looked at to its end. Where the share then changes slowly over one surface, a pixel is given
    the mean of the squares of pixels round it; everywhere else its samples look at many points, the same in every
    pixel: the edge is then a ramp of fine steps, not grain.

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
    few = lamp_patterns(emitter, FIRST_POINTS, np.array(FIRST_PHASES, np.int32).ravel())
    state = np.zeros(counts.shape[:2], np.uint8)
    while len(torn) > 0:
        which = _places(row[torn], column[torn], BLOCK_PX * SUPERSAMPLE)
        arrived, sent = lamp_sight(points[torn], normals[torn], emitter, few, which, tracer)
        shares[torn] = seen_shares(arrived, sent)
        torn = _beside(y, x, torn, arrived, sent, state)
    means = np.zeros(len(row), np.float32)
    fast = _average(y, x, points, normals, shares, state, SUPERSAMPLE**2, SLOPE, SPAN, BEND, means)
    many = lamp_patterns(emitter, POINTS, np.array(PHASES, np.int32))
    which = _places(row[fast], column[fast], SUPERSAMPLE)
    means[fast] = seen_shares(*lamp_sight(points[fast], normals[fast], emitter, many, which, tracer))
    return means


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


@njit(cache=True, nogil=True)
def _average(
    y: Any, x: Any, points: Any, normals: Any, shares: Any, state: Any, samples: int, slope: float, span: float,
    bend: float, means: Any,
) -> Any:  # fmt: skip
    """Fill in the ``means`` of samples in and beside torn pixels whose light changes slowly, and the shares of others
    that were not torn; the indices of all torn ones left.

    state (h + 2, w + 2) uint8: 2 for torn pixels, with a border; samples: how many a pixel has where it has all.
    """
    width = state.shape[1]
    at_pixel = np.full(state.size, -1, np.int32)
    pixels = np.zeros(len(y), np.int64)
    count = 0
    for i in range(len(y)):
        pixel = (y[i] + 1) * width + x[i] + 1
        if at_pixel[pixel] < 0:
            at_pixel[pixel] = count
            pixels[count] = pixel
            count += 1
    number, total = np.zeros(count, np.int32), np.zeros(count)
    place, facing = np.zeros((count, 3)), np.zeros((count, 3))
    for i in range(len(y)):
        own = at_pixel[(y[i] + 1) * width + x[i] + 1]
        number[own] += 1
        total[own] += shares[i] / samples
        for k in range(3):
            place[own, k] += points[i, k] / samples
            facing[own, k] += normals[i, k] / samples
    round_ = np.array([j * width + k for j in (-1, 0, 1) for k in (-1, 0, 1)])
    # a pixel's mean, minus one where its light changes fast
    smooth = np.full(count, -1.0)
    flat = state.ravel()
    for own in range(count):
        torn = False
        for step in round_:
            torn |= flat[pixels[own] + step] == 2
        if torn:
            smooth[own] = _slow_mean(
                own, pixels[own], round_, at_pixel, number, total, place, facing, samples, slope, span, bend
            )
    # once more: the points of one square of pixels are few enough for a grain, the mean of the nine means has none
    smoother = smooth.copy()
    for own in range(count):
        sum_ = 0.0
        for step in round_:
            other = at_pixel[pixels[own] + step]
            sum_ += smooth[other] if other >= 0 and smooth[other] >= 0.0 else np.nan
        if sum_ >= 0.0:
            smoother[own] = sum_ / 9.0
    fast = np.zeros(len(y), np.int64)
    left = 0
    for i in range(len(y)):
        pixel = (y[i] + 1) * width + x[i] + 1
        mean = smoother[at_pixel[pixel]]
        if mean >= 0.0:
            means[i] = mean
        elif flat[pixel] != 2:
            means[i] = shares[i]
        else:
            fast[left] = i
            left += 1
    return fast[:left]


@njit(cache=True, nogil=True)
def _slow_mean(
    own: int, pixel: int, round_: Any, at_pixel: Any, number: Any, total: Any, place: Any, facing: Any, samples: int,
    slope: float, span: float, bend: float,
) -> float:  # fmt: skip
    """The mean share of the square of pixels round one, -1 where it changes fast or not all lie on one surface."""
    sum_, across, down, least, most = 0.0, 0.0, 0.0, 1.0, 0.0
    for place_in_square in range(9):
        other = at_pixel[pixel + round_[place_in_square]]
        if other < 0 or number[other] != samples:
            return -1.0
        turned, off, apart = 0.0, 0.0, 0.0
        for c in range(3):
            step = place[other, c] - place[own, c]
            turned += facing[other, c] * facing[own, c]
            off += step * facing[own, c]
            apart += step * step
        if turned < bend or off * off > (1.0 - bend * bend) * apart:
            return -1.0
        share = total[other]
        sum_ += share
        across += (place_in_square % 3 - 1) * share
        down += (place_in_square // 3 - 1) * share
        least, most = min(least, share), max(most, share)
    if most - least > span or across * across + down * down > (6.0 * slope) ** 2:
        return -1.0
    return sum_ / 9.0
