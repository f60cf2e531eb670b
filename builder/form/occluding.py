"""Occluding contours: the silhouette, and the edges inside it where one part of the form stands before another."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from builder.camera.projection import mm_per_px
from builder.camera.sight import SUPERSAMPLE
from builder.form.breaks import Break, Breaks, find_breaks
from builder.form.chains import Chain, find_chains
from builder.form.looked import Looked
from builder.form.smoothing import smooth_line
from builder.form.stroke import Stroke

SHORTEST = 1 / 100
"""Inner lines shorter than this share of the picture's shorter side are left out."""
LEAST_JUMP_PX, GREAT_JUMP_PX = 0.25, 1.5
"""How far a part stands before what is seen beside it, in pixels' sizes at the model's middle: its edge ends at the
first, and is grain of the surface if it does not reach the second over a third of its length."""


def occluding_strokes(looked: Looked, breaks: Breaks | None = None) -> tuple[Stroke, ...]:
    """The silhouette's rings (kind "silhouette", closed; the largest first, holes among the others) and the inner
    occluding edges (kind "occluding", open, or closed round a part that stands free before another), all of weight 1.
    ``breaks`` are the view's, if known already.
    """
    breaks = find_breaks(looked) if breaks is None else breaks
    return (
        *(stroke_of(chain, "silhouette") for chain in silhouette_chains(breaks)),
        *(stroke_of(chain, "occluding") for chain in occluding_chains(breaks, looked)),
    )


def outline_strokes(contours: tuple[Stroke, ...], weight: float) -> tuple[Stroke, ...]:
    """Of a view's contours the rings of the silhouette, of that weight: what lies under other lines."""
    return tuple(replace(stroke, weight=weight) for stroke in contours if stroke.kind == "silhouette")


def silhouette_chains(breaks: Breaks) -> tuple[Chain, ...]:
    """The rings of the sculpture's silhouette, down to a hole of one sample, the largest first."""
    return tuple(sorted(find_chains(breaks, Break.SILHOUETTE), key=lambda ring: -abs(_area_px2(ring))))


def occluding_chains(breaks: Breaks, looked: Looked) -> tuple[Chain, ...]:
    """The edges inside the silhouette where one part of the sculpture hides another."""
    eye = looked.eye
    scale, shortest = mm_per_px(eye), SHORTEST * min(eye.width_px, eye.height_px)
    return tuple(
        chain
        for chain in find_chains(breaks, Break.OCCLUDING, LEAST_JUMP_PX * scale, least_breaks(shortest))
        if np.quantile(chain.jump, 2 / 3) >= GREAT_JUMP_PX * scale and length_px(chain) >= shortest
    )


def least_breaks(length_px: float, apart_px: float = 1 / SUPERSAMPLE) -> int:
    """Breaks that a line of some length has at least, between samples ``apart_px`` apart."""
    return max(2, int(length_px / (np.sqrt(2.0) * apart_px)))


def length_px(chain: Chain) -> float:
    """Length of a chain in the picture."""
    points = np.vstack([chain.points, chain.points[:1]]) if chain.closed else chain.points
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def stroke_of(chain: Chain, kind: str, weight: float = 1.0) -> Stroke:
    """A chain as a smooth stroke."""
    return Stroke(smooth_line(chain.points, chain.closed)[0], kind, weight, chain.closed)


def _area_px2(ring: Chain) -> float:
    """Area that a ring encloses, with a sign for the way round."""
    x, y = (ring.points - ring.points[0]).T
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2
