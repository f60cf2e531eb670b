"""The share of a lamp that pixels of a grid see, with many rays only where the grid's coarser half does not tell it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Floats, Ints, Singles
from builder.light.direct import lamp_sight, seen_shares
from builder.light.lit import Emitter
from builder.light.origins import shading_normals, smooth_points
from builder.model.tracer import Tracer
from builder.plates.planes_view import PlanesView

NEAR = 0.2
"""Difference between coarse nodes up to which the share of those between is taken for their mean."""

See = Callable[[Ints, Floats], Singles]
"""The shares (n,) float32 of the lamp's points (1, s, 3), that pixels see; which (n,), by index into a list."""


def node_shares(pixels: Ints, piece: Ints, grid: int, few: Floats, many: Floats, see: See) -> Singles:
    """The share of a lamp that pixels see, (n,) float32.

    Args:
        pixels: (n,) flat indices in the picture, all of rows and columns that ``grid`` divides.
        piece: (h, w) what each pixel shows; only pixels of one piece speak for each other.
        grid: rows and columns between nodes.
        few: (1, s, 3) mm, lamp points that every pixel looks at: where they agree the lamp is seen whole or not at all.
        many: (1, s, 3) mm, those that a pixel looks at where they do not.
        see: asks pixels of the list.

    """
    shares = see(np.arange(len(pixels), dtype=np.int32), few)
    partly = np.flatnonzero((shares > 0.0) & (shares < 1.0)).astype(np.int32)
    row, column = np.divmod(pixels[partly], piece.shape[1])
    coarse = (row % (2 * grid) == 0) & (column % (2 * grid) == 0)
    known = np.full((piece.shape[0] // grid + 3, piece.shape[1] // grid + 3), -1.0, np.float32)
    chosen = partly[coarse]
    shares[chosen] = known[row[coarse] // grid, column[coarse] // grid] = see(chosen, many)
    between = _between(row[~coarse], column[~coarse], piece, known, grid, NEAR)
    rest = partly[~coarse]
    shares[rest] = between
    left = rest[between < 0.0]
    shares[left] = see(left, many)
    return shares


def lamp_shares(view: PlanesView, emitter: Emitter, tracer: Tracer, sample: Ints, patterns: Floats) -> Singles:
    """The share of the lamp that samples (n,) see, (n,) float32, by flat index; all by the first of ``patterns`` or,
    where there are more, by that of their place in a square of samples.
    """
    sight, scene = view.looked.sight, view.looked.model.scene
    face, u, v = sight.face.ravel()[sample], sight.u.ravel()[sample], sight.v.ravel()[sample]
    side = int(np.sqrt(len(patterns)))
    row, column = np.divmod(sample, np.int32(sight.face.shape[1]))
    which = (row % side * side + column % side).astype(np.int32)
    points, normals = smooth_points(scene, face, u, v), shading_normals(scene, face, u, v)
    arrived, sent = lamp_sight(points, normals, emitter, patterns, which, tracer)
    return np.where(sent > 0.0, seen_shares(arrived, sent), np.float32(0.0))


@njit(cache=True, nogil=True)
def _between(row: Any, column: Any, piece: Any, known: Any, grid: int, near: float) -> Any:
    """(n,) mean of the coarse nodes round each node, -1 where one is unknown, of another piece or too far off."""
    found = np.full(len(row), np.float32(-1.0))
    for i in range(len(row)):
        y, x = row[i] // grid, column[i] // grid
        own = piece[row[i], column[i]]
        least, most, total, count = 2.0, -1.0, 0.0, 0
        for j in range(y - y % 2, y + y % 2 + 1, 2):
            for k in range(x - x % 2, x + x % 2 + 1, 2):
                share = known[j, k]
                if share >= 0.0 and piece[j * grid, k * grid] != own:
                    share = np.float32(-1.0)
                least, most = min(least, share), max(most, share)
                total += share
                count += 1
        if least >= 0.0 and most - least <= near:
            found[i] = total / count
    return found
