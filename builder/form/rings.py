"""Rings of straight pieces in a picture: area, which way round, what lies inside."""

from __future__ import annotations

import numpy as np

from builder.arrays import Bools, Floats


def ring_area_px2(ring: Floats) -> float:
    """Area of a ring (n, 2) whose start is not repeated; positive when it runs clockwise as the picture is seen."""
    off = ring - ring[0]
    after = np.roll(off, -1, axis=0)
    return float(off[:, 0] @ after[:, 1] - off[:, 1] @ after[:, 0]) / 2


def clockwise(ring: Floats) -> Floats:
    """A ring (n, 2) so that it runs clockwise as the picture is seen; its first point stays the first."""
    return ring if ring_area_px2(ring) >= 0 else np.concatenate([ring[:1], ring[:0:-1]])


def girth_px(ring: Floats) -> float:
    """Length of a ring (n, 2) all round."""
    return float(np.hypot(*(np.roll(ring, -1, axis=0) - ring).T).sum())


def ring_middle(ring: Floats) -> Floats:
    """Centre of the area of a ring (n, 2) that encloses some, (2,)."""
    off = ring - ring[0]
    after = np.roll(off, -1, axis=0)
    crossed = off[:, 0] * after[:, 1] - off[:, 1] * after[:, 0]
    middle: Floats = ring[0] + (crossed @ (off + after)) / (3 * crossed.sum())
    return middle


def inside_ring(ring: Floats, places: Floats) -> Bools:
    """Which of ``places`` (k, 2) lie inside a ring (n, 2), (k,): a level ray from there crosses it an odd number of
    times.
    """
    after = np.roll(ring, -1, axis=0)
    x, y = places[:, :1], places[:, 1:]
    spans = (ring[:, 1] > y) != (after[:, 1] > y)
    drop = after[:, 1] - ring[:, 1]
    at = ring[:, 0] + (y - ring[:, 1]) * (after[:, 0] - ring[:, 0]) / np.where(drop == 0.0, 1.0, drop)
    inside: Bools = (spans & (x < at)).sum(axis=1) % 2 == 1
    return inside


def distance_px(start: Floats, stop: Floats, places: Floats) -> Floats:
    """Least distance of each of ``places`` (k, 2) from the straight pieces from ``start`` to ``stop`` (n, 2), (k,)."""
    along = stop - start
    square = np.maximum((along * along).sum(axis=1), 1e-12)
    off = places[:, None, :] - start
    part = np.clip((off * along).sum(axis=2) / square, 0.0, 1.0)
    apart = off - part[:, :, None] * along
    least: Floats = np.sqrt((apart * apart).sum(axis=2)).min(axis=1)
    return least
