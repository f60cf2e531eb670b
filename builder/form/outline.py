"""The sculpture's outline to half a sample: a thin line under other lines, for little work."""

from __future__ import annotations

import numpy as np

from builder.camera.sight import SUPERSAMPLE
from builder.form.breaks import Break, Breaks
from builder.form.looked import Looked
from builder.form.occluding import silhouette_chains
from builder.form.smoothing import smooth_line
from builder.form.stroke import Stroke
from builder.model.model import Part

ROUNDS = 16
"""How often the outline is smoothed: its places lie on a raster, in steps of half a pixel."""


def outline_strokes(looked: Looked, weight: float) -> tuple[Stroke, ...]:
    """The rings of the silhouette (kind "silhouette"), the largest first, holes too.

    They run half way between neighbouring samples of which one sees the sculpture, so within a quarter of a pixel of
    the edge before they are smoothed. :mod:`builder.form.occluding` has the exact edge, for many times the work.
    """
    left, top, right, bottom = looked.box_px
    # where less than half a pixel shows the sculpture, it is not in the box: one pixel more all round
    first_row, first_column = max(top - 1, 0) * SUPERSAMPLE, max(left - 1, 0) * SUPERSAMPLE
    face = looked.sight.face[first_row : (bottom + 1) * SUPERSAMPLE, first_column : (right + 1) * SUPERSAMPLE]
    # and one sample that sees nothing, so that every ring closes, also along the picture's edge
    inside = np.pad((face >= 0) & (looked.model.scene.parts[face] == Part.MODEL), 1)
    across, down = np.full((2, *inside.shape), -1, np.int32)
    edges_across, edges_down = inside[:, 1:] != inside[:, :-1], inside[1:] != inside[:-1]
    count_across, count_down = int(edges_across.sum()), int(edges_down.sum())
    count = count_across + count_down
    across[:, :-1][edges_across] = np.arange(count_across)
    down[:-1][edges_down] = np.arange(count_across, count)
    row_across, column_across = np.nonzero(edges_across)
    row_down, column_down = np.nonzero(edges_down)
    # the centre of the sample in row j of the widened raster lies at first_row + j - 0.5
    x = first_column + np.concatenate([column_across, column_down - 0.5])
    y = first_row + np.concatenate([row_across - 0.5, row_down])
    nowhere = np.full(count, np.inf)
    breaks = Breaks(
        np.full(count, Break.SILHOUETTE),
        np.stack([x, y], axis=1) / SUPERSAMPLE,
        nowhere,
        nowhere,
        across,
        down,
        first_column - 1,
        first_row - 1,
    )
    return tuple(
        Stroke(smooth_line(ring.points, True, ROUNDS)[0], "silhouette", weight, True)
        for ring in silhouette_chains(breaks)
    )
