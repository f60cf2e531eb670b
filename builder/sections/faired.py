"""The form between contours made fair: as straight as the contours allow on its way up, without a step at any of them.

Signed distances joined point by point leave terraces where the nearest part of a contour changes. Here the joined
field f gets a smooth correction c, nothing at the contours, such that the surface's normal curvature along its
steepest way v, v^T H(f + c) v / |grad f|, is least in the mean square: the energy of a spline along the ways of the
steepest rise. It is variational fairing with the contours held, as Botsch and Kobbelt (ACM Transactions on Graphics
23(3):630, 2004) do it on meshes, with their isotropic energy put along one direction, so that upright walls, edges and
flutes, whose rise is straight, stay exactly as they are. The squares of c's own Laplacian are added, weighed by
:data:`EVEN`, so that neighbouring ways go together. The normal equations are solved by conjugate gradients.

No bulge. Where contours A and B on both sides of a point are a and b away, f + c is held between the lesser and the
greater of them, but for :data:`ROOM` steps at most, and less where the form goes straight on to the next contour below
or above. Where neither holds the point, a > 0 and b > 0, and so is f + c but for that; where both do, it is below 0.
Hence every section lies within what the two cover together, and holds all that they share, to within that much.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation
from scipy.sparse import csr_matrix

from builder.arrays import Bools, Floats, Singles
from builder.sections.field import GENTLE
from builder.sections.lattice import COARSER, Lattice

AROUND = 3
"""Coarse steps on both sides of the surface in which it is corrected."""
EVEN = 0.3
"""Weight of the correction's own evenness."""
ACROSS = 0.3
"""Weight of its being the same along the normal, for each coarse step."""
NEAR, GONE = 1.0, 2.5
"""In coarse steps: the correction moves the surface by no more than the first, and is nothing farther from it than the
second."""
ROOM = 0.5
"""In steps of the grid: so far the form may swell beyond what two neighbouring contours cover together."""
SHARP = 0.3
"""Times one over a coarse step: where the surface bends more than this it is taken for a ledge or an edge, not for a
terrace, and its bend counts for less (the weight of Cauchy's distribution, common practice).
"""
FLAT = 0.15
"""A surface that rises less than this (sine) is taken to rise by it, as its way up is not to be told."""
ROUNDS, ENOUGH = 400, 1e-3
"""Of the conjugate gradients: at most, and where the residual has come down to this share."""

Offset = tuple[int, int, int]


def faired(field: Singles, levels: Floats, lattice: Lattice) -> Singles:
    """The field (c, b, a) from the first contour's layer to the last, corrected; ``levels`` (k, b, a) of the contours
    themselves.
    """
    rows = lattice.at - lattice.at[0]
    layers = lattice.layers_mm[lattice.at[0] : lattice.at[-1] + 1]
    axes = (layers, lattice.y_mm, lattice.x_mm)
    first = ((len(lattice.y_mm) - 1) % COARSER, 0)
    coarse_axes = (layers[::COARSER], lattice.y_mm[first[0] :: COARSER], lattice.x_mm[::COARSER])
    coarse = field[::COARSER, first[0] :: COARSER, ::COARSER].astype(np.float64)
    held = np.zeros(len(coarse), np.bool_)
    held[rows // COARSER] = True
    change = _change(coarse, coarse_axes[0], COARSER * lattice.step_mm, held)
    for axis, (few, many) in enumerate(zip(coarse_axes, axes, strict=True)):
        change = np.moveaxis(np.tensordot(_finer(few, many), change, axes=(1, axis)), 0, axis)
    after = np.searchsorted(rows, np.arange(len(layers)), side="right").clip(1, len(rows) - 1)
    room = _room(levels, lattice.layers_mm[lattice.at], ROOM * lattice.step_mm)
    result = np.empty_like(field)
    for row, high in enumerate(after.tolist()):
        low, top = np.minimum(levels[high - 1], levels[high]), np.maximum(levels[high - 1], levels[high])
        free = field[row] + change[row]
        near = free.clip(low, top)
        result[row] = near + room[high - 1] * np.tanh((free - near) / room[high - 1])
    result[rows] = field[rows]
    return result


def _change(field: Floats, heights: Floats, step_mm: float, held: Bools) -> Floats:
    """The correction (c, b, a) on the coarse grid, nothing at ``held`` layers (c,) and far from the surface."""
    inside = field < 0
    edge = np.zeros_like(inside)
    for axis in range(3):
        differs = np.diff(inside, axis=axis) != 0
        pad = [(0, 0)] * 3
        for pad[axis] in ((0, 1), (1, 0)):
            edge |= np.pad(differs, pad)
    band = binary_dilation(edge, np.ones((3, 3, 3)), iterations=AROUND - 1)
    stencils = _derivatives(heights, step_mm, field.shape)
    values = {name: _applied(stencil, field) for name, stencil in stencils.items()}
    gradient = np.stack([values[name] for name in ("z", "y", "x")], axis=-1)
    length = np.maximum(np.linalg.norm(gradient, axis=-1), 1e-3)
    normal = gradient / length[..., None]
    rise = np.sqrt(np.maximum(1.0 - normal[..., 0] ** 2, 0.0))
    up = (np.array([1.0, 0.0, 0.0]) - normal[..., :1] * normal) / np.maximum(rise, FLAT)[..., None]
    bend = {
        name: (1.0 if one == other else 2.0) * up[..., one] * up[..., other] / length
        for name, one, other in (("zz", 0, 0), ("yy", 1, 1), ("xx", 2, 2), ("zy", 0, 1), ("zx", 0, 2), ("yx", 1, 2))
    }
    even = dict.fromkeys(("zz", "yy", "xx"), EVEN / length)
    across = {name: ACROSS / step_mm * normal[..., k] / length for k, name in enumerate(("z", "y", "x"))}
    bends = sum(bend[name] * values[name] for name in bend)
    weight = np.exp(-np.square(field / (1.5 * step_mm * length))) / (1.0 + np.square(step_mm * bends / SHARP))
    bend = {name: weight * factor for name, factor in bend.items()}
    unknown = band & ~held[:, None, None]
    number = np.full(field.shape, -1, np.int64)
    number[unknown] = np.arange(int(unknown.sum()))
    full = _inner(band | held[:, None, None], 1)
    nodes = np.argwhere(full & band)
    bending = _matrix(nodes, bend, stencils, number)
    evening = _matrix(nodes, even, stencils, number)
    right = -(bending.T @ (weight * bends)[tuple(nodes.T)])
    crossing = _matrix(nodes, across, stencils, number)
    square: Any = (bending.T @ bending + evening.T @ evening + crossing.T @ crossing).tocsr()
    change = np.zeros(field.shape)
    change[unknown] = _solved(square, right)
    most = NEAR * step_mm * length
    part = ((np.abs(field) / (step_mm * length) - NEAR) / (GONE - NEAR)).clip(0.0, 1.0)
    return np.asarray(most * np.tanh(change / most) * np.square(1.0 - part**2))


def _room(levels: Floats, heights: Floats, most_mm: float) -> Floats:
    """(k - 1, b, a) mm that the form may swell between two contours: twice the rise of an even arc over the gap, by the
    lesser bend towards the slopes below and above; at the ends by the only one, if gentle.
    """
    gaps = np.diff(heights)[:, None, None]
    bends = np.abs(np.diff(np.diff(levels, axis=0) / gaps, axis=0))
    ends = bends[[0, -1]] * np.exp(-0.5 * np.square(bends[[0, -1]] / GENTLE)) if len(bends) else 0.0 * levels[:2]
    bends = np.concatenate([ends[:1], bends, ends[1:]])
    return np.clip(2.0 * np.minimum(bends[:-1], bends[1:]) * gaps / 8.0, 1e-6, most_mm)


def _inner(mask: Bools, by: int) -> Bools:
    """Nodes whose whole neighbourhood of 3 x 3 x 3 is in the mask."""
    padded = np.pad(mask, by)
    return np.asarray(~binary_dilation(~padded, np.ones((3, 3, 3)), iterations=by))[by:-by, by:-by, by:-by]


def _derivatives(heights: Floats, step: float, shape: tuple[int, ...]) -> dict[str, dict[Offset, Floats]]:
    """First and second differences: per derivative, by offset z y x, its factor at every layer, (c, 1, 1)."""
    below = np.diff(heights, prepend=2 * heights[0] - heights[1]).reshape(-1, 1, 1)
    above = np.diff(heights, append=2 * heights[-1] - heights[-2]).reshape(-1, 1, 1)
    one = np.ones((shape[0], 1, 1))
    z = {
        -1: -above / (below * (below + above)),
        0: (above - below) / (below * above),
        1: below / (above * (below + above)),
    }
    flat = {-1: -one / (2 * step), 1: one / (2 * step)}
    zz = {-1: 2 / (below * (below + above)), 0: -2 / (below * above), 1: 2 / (above * (below + above))}
    second = {-1: one / step**2, 0: -2 * one / step**2, 1: one / step**2}
    return {
        "z": {(k, 0, 0): factor for k, factor in z.items()},
        "y": {(0, k, 0): factor for k, factor in flat.items()},
        "x": {(0, 0, k): factor for k, factor in flat.items()},
        "zz": {(k, 0, 0): factor for k, factor in zz.items()},
        "yy": {(0, k, 0): factor for k, factor in second.items()},
        "xx": {(0, 0, k): factor for k, factor in second.items()},
        "zy": {(k, m, 0): f * g for k, f in z.items() for m, g in flat.items()},
        "zx": {(k, 0, m): f * g for k, f in z.items() for m, g in flat.items()},
        "yx": {(0, k, m): f * g for k, f in flat.items() for m, g in flat.items()},
    }


def _applied(stencil: dict[Offset, Floats], field: Floats) -> Floats:
    padded = np.pad(field, 1, mode="edge")
    size = field.shape
    total = np.zeros(size)
    for (z, y, x), factor in stencil.items():
        total += factor * padded[1 + z : 1 + z + size[0], 1 + y : 1 + y + size[1], 1 + x : 1 + x + size[2]]
    return total


def _matrix(
    nodes: NDArray[np.int64],
    weights: dict[str, Floats],
    stencils: dict[str, dict[Offset, Floats]],
    number: NDArray[np.int64],
) -> csr_matrix:
    """A row for each node (n, 3): the weighed sum of derivatives there, over the unknowns by ``number`` (c, b, a)."""
    factors: dict[Offset, Floats] = {}
    place = tuple(nodes.T)
    for name, weight in weights.items():
        for offset, factor in stencils[name].items():
            part = weight[place] * factor[nodes[:, 0], 0, 0]
            factors[offset] = factors[offset] + part if offset in factors else part
    rows, columns, entries = [], [], []
    for offset, factor in factors.items():
        column = number[tuple((nodes + offset).T)]
        known = column >= 0
        rows.append(np.flatnonzero(known))
        columns.append(column[known])
        entries.append(factor[known])
    shape = (len(nodes), int(number.max()) + 1)
    return csr_matrix((np.concatenate(entries), (np.concatenate(rows), np.concatenate(columns))), shape)


def _solved(square: Any, right: Floats) -> Floats:
    """Conjugate gradients with the diagonal as preconditioner; sums in a fixed order, so that bytes repeat."""
    diagonal = square.diagonal()
    inverse = np.where(diagonal > 0, 1.0 / np.where(diagonal > 0, diagonal, 1.0), 0.0)
    found = np.zeros_like(right)
    rest = right.copy()
    ahead = inverse * rest
    way = ahead.copy()
    energy = first = float((rest * ahead).sum())
    for _ in range(ROUNDS):
        if energy <= ENOUGH**2 * first:
            break
        image = square @ way
        length = energy / float((way * image).sum())
        found += length * way
        rest -= length * image
        ahead = inverse * rest
        before, energy = energy, float((rest * ahead).sum())
        way = ahead + (energy / before) * way
    return found


def _finer(few: Floats, many: Floats) -> Floats:
    """(n, m) weights that take values at ``few`` (m,) to ``many`` (n,): cubics through the four nearest (Lagrange)."""
    first = (np.searchsorted(few, many, side="right") - 2).clip(0, max(len(few) - 4, 0))
    near = first[:, None] + np.arange(min(4, len(few)))
    weights = np.zeros((len(many), len(few)))
    for k in range(near.shape[1]):
        others = np.delete(near, k, axis=1)
        weight = np.prod((many[:, None] - few[others]) / (few[near[:, k], None] - few[others]), axis=1)
        weights[np.arange(len(many)), near[:, k]] = weight
    beyond = (many < few[0]) | (many > few[-1])
    weights[beyond] = 0.0
    return weights
