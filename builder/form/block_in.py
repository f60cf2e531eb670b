"""The block-in: a silhouette and what stands inside it in straight lines, from one box of lines to the contour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from builder.arrays import Floats, frozen
from builder.form.envelope import envelope
from builder.form.inner_lines import straight_inner
from builder.form.looked import Looked
from builder.form.negative import NegativeShape, negative_shapes
from builder.form.occluding import occluding_strokes
from builder.form.rings import clockwise, girth_px, inside_ring, ring_area_px2
from builder.form.sides import from_the_top
from builder.form.straight import straight_rings
from builder.form.stroke import Stroke
from builder.form.stroke_svg import STROKE_SHARE

FEW, MANY = 12, 24
"""Straight lines round the silhouette at the two levels, at most."""
_LEAST_NEAR_PX = 1.5
"""No line is added where the contour lies within a plain line's width, or within this: what tracing leaves."""
_PIECE = 0.02
"""Share of the largest ring's area from which another piece of the silhouette, or a hole, is given lines too."""
_INNER_FEW, _INNER_MANY = 0.25, 0.12
"""Length from which an inner edge is given lines at the two levels, in heights of the silhouette. Chosen by eye."""
_MOST_FEW, _MOST_MANY = 2, 8
"""Inner edges that are given lines at the two levels, at most."""
_ROUGH_FEW, _ROUGH_MANY = 0.02, 0.01
"""How far straight lines may leave an inner edge, in heights of the silhouette."""


@dataclass(frozen=True, slots=True, eq=False)
class BlockIn:
    """A view in straight lines. All rings are closed, do not repeat their start, run clockwise as seen; px.

    contour: all rings of the silhouette, the largest first, holes too; ``envelope``, ``few``, ``many``: corners of
    straight lines round all of it, and of the largest ring at two levels, each from its highest corner on; few_rings
    and many_rings, few_inner and many_inner: the same of other rings and, open, of the largest edges inside; negative:
    the shapes between envelope and contour, the greatest first; height_px: of the silhouette.
    """

    width_px: int
    height_px: float
    picture_height_px: int
    contour: tuple[Floats, ...]
    envelope: Floats
    few: Floats
    many: Floats
    few_rings: tuple[Floats, ...]
    many_rings: tuple[Floats, ...]
    few_inner: tuple[Floats, ...]
    many_inner: tuple[Floats, ...]
    negative: tuple[NegativeShape, ...]

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        for name in ("envelope", "few", "many"):
            object.__setattr__(self, name, frozen(getattr(self, name), "f8", (None, 2)))
        for name in ("contour", "few_rings", "many_rings", "few_inner", "many_inner"):
            object.__setattr__(self, name, tuple(frozen(line, "f8", (None, 2)) for line in getattr(self, name)))


def block_in(looked: Looked, strokes: Sequence[Stroke] | None = None) -> BlockIn:
    """The block-in of a view; ``strokes`` are its :func:`~builder.form.occluding.occluding_strokes`, if known.

    A silhouette of so few pixels that it has no ring is taken for the box round them.
    """
    strokes = occluding_strokes(looked) if strokes is None else strokes
    rings = [clockwise(stroke.points) for stroke in strokes if stroke.kind == "silhouette"]
    if not rings:
        left, top, right, bottom = looked.box_px
        rings = [np.array([(left, top), (right, top), (right, bottom), (left, bottom)], np.float64)]
    rings.sort(key=lambda ring: -ring_area_px2(ring))
    inner = [
        np.vstack([stroke.points, stroke.points[:1]]) if stroke.closed else stroke.points
        for stroke in strokes
        if stroke.kind == "occluding"
    ]
    is_hole = [_depth(ring, rings) % 2 == 1 for ring in rings]
    outer = [ring for ring, hole in zip(rings, is_hole, strict=True) if not hole]
    holes = [ring for ring, hole in zip(rings, is_hole, strict=True) if hole]
    around = envelope(np.concatenate(outer))
    near = max(min(looked.eye.width_px, looked.eye.height_px) * STROKE_SHARE, _LEAST_NEAR_PX)
    few, many = straight_rings(rings[0], (FEW, MANY), near)
    large = [ring for ring in rings[1:] if ring_area_px2(ring) >= _PIECE * ring_area_px2(rings[0])]
    others = [straight_rings(ring, _counts(ring, rings[0]), near) for ring in large]
    y = np.concatenate(outer)[:, 1]
    height = float(y.max() - y.min())
    return BlockIn(
        width_px=looked.eye.width_px,
        height_px=height,
        picture_height_px=looked.eye.height_px,
        contour=tuple(rings),
        envelope=from_the_top(around),
        few=from_the_top(few),
        many=from_the_top(many),
        few_rings=tuple(pair[0] for pair in others),
        many_rings=tuple(pair[1] for pair in others),
        few_inner=straight_inner(inner, rings, _INNER_FEW * height, _MOST_FEW, _ROUGH_FEW * height),
        many_inner=straight_inner(inner, rings, _INNER_MANY * height, _MOST_MANY, _ROUGH_MANY * height),
        negative=negative_shapes(around, outer, holes),
    )


def _depth(ring: Floats, rings: Sequence[Floats]) -> int:
    """How many other rings lie round a ring."""
    return sum(bool(inside_ring(other, ring[:1])[0]) for other in rings if other is not ring)


def _counts(ring: Floats, largest: Floats) -> tuple[int, int]:
    """Lines for a lesser ring at the two levels: as many as fall to its share of the girth."""
    few = int(np.clip(round(FEW * girth_px(ring) / girth_px(largest)), 4, FEW))
    return few, MANY * few // FEW
