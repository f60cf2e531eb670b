"""The main shadow edge, and the finished contour with it: where the block-in ends and shading begins."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from builder.arrays import Singles
from builder.form.occluding import occluding_strokes
from builder.form.stroke import Drawing, Stroke
from builder.model.model import Part
from builder.plates.causes import LIT, SHADOW, Family
from builder.plates.clean import clean_labels
from builder.plates.families import PLACES
from builder.plates.family_lines import length_px, met_lines
from builder.plates.outlines import find_outlines
from builder.plates.plate import Shown
from builder.plates.values import ISLAND_SHARE

LONG_SHARE = 0.18
"""Length, in heights of the silhouette, from which an edge between light and shadow belongs to the main one."""
CONTOUR, INNER, EDGE = 1.6, 1.2, 0.8
"""Weights of the silhouette, of the occluding edges inside it and of the shadow edge, which is the softest."""


def finished_drawing(shown: Shown, strokes: Sequence[Stroke] | None = None) -> Drawing:
    """The last stage of the block-in: silhouette, the occluding edges inside it and the main shadow edge.

    ``strokes`` are the view's :func:`~builder.form.occluding.occluding_strokes`, if known already.
    """
    contour = occluding_strokes(shown.looked) if strokes is None else strokes
    weight = {"silhouette": CONTOUR, "occluding": INNER}
    lines = (
        *shadow_edge_strokes(shown),
        *(Stroke(one.points, one.kind, weight.get(one.kind, INNER), one.closed) for one in contour),
    )
    eye = shown.sight.eye
    return Drawing("Finished contour", eye.width_px, eye.height_px, lines)


def shadow_edge_strokes(shown: Shown) -> tuple[Stroke, ...]:
    """The main edge between light and shadow on the sculpture (kind "shadow-edge"), its longest line first.

    Terminator and cast edge run on into each other; shapes too small for a study in two values do not count. Of the
    lines those from :data:`LONG_SHARE` on, or the longest if all are shorter.
    """
    lines = sorted(_edges(shown), key=lambda line: -length_px([line]))
    _, top, _, bottom = shown.box_px
    long = [line for line in lines if length_px([line]) >= LONG_SHARE * (bottom - top)] or lines[:1]
    strokes = []
    for line in long:
        closed = len(line) > 3 and bool((line[0] == line[-1]).all())
        strokes.append(Stroke((line[:-1] if closed else line).astype(np.float64), "shadow-edge", EDGE, closed))
    return tuple(strokes)


def _edges(shown: Shown) -> tuple[Singles, ...]:
    """Lines (n, 2), px, where light and shadow meet on the sculpture."""
    two = np.full(Family.NONE + 1, Family.NONE, np.uint8)
    two[[*LIT]], two[[*SHADOW]] = Family.LIGHT, Family.CORE
    on_model = shown.footing.part == Part.MODEL
    label = np.where(on_model, two[shown.family], PLACES + Family.NONE).astype(np.uint8)
    outlines = find_outlines(clean_labels(label, shown.luminance, ISLAND_SHARE[2]))
    return met_lines(outlines, 0, shown.footing, shown.sight.eye).terminator
