"""Clean shapes: edges smooth, nothing narrower than a stated width, no island under a stated size."""

from __future__ import annotations

from builder.arrays import Bytes, Singles
from builder.plates.narrows import without_narrows
from builder.plates.shapes import merge_islands
from builder.plates.vote import commonest_labels, median_steps

NARROWEST_SHARE = 1 / 300
"""Parts of a shape narrower than this share of the picture's shorter side are given to the shapes around: 4 of 1200 px,
0.4 mm on a print 133 mm wide, the line of a soft pencil. No published source; chosen by eye: at 6 px the line between
the lips of a head goes, at 3 px strands of hair stay that nobody lays in as shapes."""
NARROWEST_PX = 3
"""In a picture under 900 px nothing narrower than this is a shape: rims of half-covered pixels are two wide."""


def narrowest_px(shape: tuple[int, ...]) -> int:
    """Width in pixels below which a part of a shape goes, in a picture of ``shape`` (h, w)."""
    return max(NARROWEST_PX, round(NARROWEST_SHARE * min(shape)))


def clean_steps(steps: Bytes, luminance: Singles, island_share: float) -> Bytes:
    """``steps`` (h, w) uint8, ordered from dark to light, as clean shapes, (h, w) uint8.

    1. Edges are smoothed by a median, which moves no straight edge.
    2. Necks, spurs, lines and rims narrower than :func:`narrowest_px` go to the steps on their sides, by luminance
       (h, w) float32; so do bands that a steep gradation leaves between two steps. A strip narrower than that always
       goes, one wider than the diagonal of a square of that width always stays.
    3. Shapes smaller than ``island_share`` of the picture are merged with their neighbours.

    What is left is promised: no shape is smaller, unless it is the whole picture; and every pixel is reached from a
    square of ``narrowest_px`` of its own shape in at most :func:`builder.plates.narrows.reach_px` steps through that
    shape, unless the picture itself is narrower than that.
    """
    return _clean(median_steps(steps, _reach_px(steps.shape)), luminance, island_share)


def clean_labels(labels: Bytes, luminance: Singles, island_share: float) -> Bytes:
    """The same for ``labels`` (h, w) uint8 that have no order: the commonest label round about smooths their edges."""
    return _clean(commonest_labels(labels, _reach_px(labels.shape)), luminance, island_share)


def _reach_px(shape: tuple[int, ...]) -> int:
    return max(1, round(NARROWEST_SHARE * min(shape)))


def _clean(smoothed: Bytes, luminance: Singles, island_share: float) -> Bytes:
    wide = without_narrows(smoothed, luminance, narrowest_px(smoothed.shape))
    return merge_islands(wide, island_share * smoothed.size)
