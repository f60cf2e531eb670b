"""The contours drawn into a surface of small triangles, so that it passes through them exactly."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from builder.arrays import Bools, Floats

Indices = NDArray[np.int64]

MISS = 0.02
"""In steps of the grid: a ring is met to within this, everywhere."""
AROUND = 24.0
"""In steps of the grid: no longer a piece of ring is drawn into one edge."""


@dataclass(frozen=True, slots=True, eq=False)
class Seam:
    """A contour in the surface: the layer it is, its rings (n, 2) mm and its height."""

    layer: int
    rings: tuple[Floats, ...]
    height_mm: float


def drawn_in(
    vertices: Floats, faces: Indices, steps: Floats, free: Bools, seams: list[Seam], origin: Floats, step_mm: float
) -> tuple[Floats, Indices]:
    """The surface with its points in a seam's plane on the seam, and the seam's corners as points of their own.

    vertices (v, 3) mm and where they stand in steps of the grid, ``steps`` (v, 3) x, y, layer; each lies on a line of
    the grid. faces (f, 3). A point that is ``free`` (v,) moves along its grid line only, so that no two meet.
    """
    vertices = vertices.copy()
    middle = steps[faces][:, :, 2].mean(axis=1)
    added: list[tuple[int, int, Floats]] = []
    for seam in seams:
        in_plane = np.flatnonzero(free & (np.abs(steps[:, 2] - seam.layer) < 1e-4))
        ring, along, place = _met(steps[in_plane, :2], seam.rings, origin, step_mm)
        found = ring >= 0
        vertices[in_plane[found], :2] = place[found]
        where = np.full(len(vertices), -1, np.int64)
        where[in_plane[found]] = np.flatnonzero(found)
        for one, other in _edges_between(faces, where >= 0, middle, seam.layer):
            a, b = where[one], where[other]
            if ring[a] == ring[b] and np.floor(along[a]) != np.floor(along[b]):
                points = _corners(seam.rings[ring[a]], along[a], along[b], place[a], place[b], step_mm)
                if len(points):
                    added.append((one, other, np.column_stack([points, np.full(len(points), seam.height_mm)])))
    return _split(vertices, faces, added)


def _met(at: Floats, rings: tuple[Floats, ...], origin: Floats, step_mm: float) -> tuple[Indices, Floats, Floats]:
    """Where the rings cross the grid line that each point (n, 2, in steps) lies on, nearest to it, within a step.

    Gives the ring (n,), -1 where there is none; how far along the ring, in its points (n,); and the place (n, 2) mm.
    """
    number, along, place = np.full(len(at), -1, np.int64), np.zeros(len(at)), np.zeros((len(at), 2))
    for axis in (0, 1):
        found = _crossings(rings, axis, origin, step_mm)
        lines, others, which, far = (np.concatenate(parts) for parts in zip(*found, strict=True))
        if len(lines) == 0:
            continue
        on_line = np.flatnonzero(np.abs(at[:, axis] - np.round(at[:, axis])) < 1e-4)
        wide = 8.0 * (others.max() - others.min() + at.max() + 8.0)
        order = np.lexsort((far, which, others, lines))
        keys = lines[order] * wide + others[order]
        wanted = np.round(at[on_line, axis]) * wide + at[on_line, 1 - axis]
        right = np.searchsorted(keys, wanted).clip(1, max(len(keys) - 1, 1))
        left = right - 1
        right = right.clip(max=len(keys) - 1)
        best = np.where(wanted - keys[left] <= keys[right] - wanted, left, right)
        good = np.abs(keys[best] - wanted) <= 1.0
        rows, best = on_line[good], order[best[good]]
        number[rows], along[rows] = which[best], far[best]
        place[rows, axis] = origin[axis] + step_mm * lines[best]
        place[rows, 1 - axis] = origin[1 - axis] + step_mm * others[best]
    return number, along, place


def _crossings(
    rings: tuple[Floats, ...], axis: int, origin: Floats, step_mm: float
) -> list[tuple[Floats, Floats, Indices, Floats]]:
    """Per ring, its crossings with the lines where coordinate ``axis`` is a whole step: the line, the other coordinate
    in steps, the ring's number, how far along the ring in its points.
    """
    found = []
    for number, ring in enumerate(rings):
        one = (ring - origin) / step_mm
        other = np.roll(one, -1, axis=0)
        low = np.ceil(np.minimum(one[:, axis], other[:, axis])).astype(np.int64)
        count = np.maximum(np.floor(np.maximum(one[:, axis], other[:, axis])).astype(np.int64) - low + 1, 0)
        count[one[:, axis] == other[:, axis]] = 0
        side = np.repeat(np.arange(len(ring)), count)
        line = (low[side] + np.arange(len(side)) - np.repeat(np.cumsum(count) - count, count)).astype(np.float64)
        part = (line - one[side, axis]) / (other[side, axis] - one[side, axis])
        across = one[side, 1 - axis] + part * (other[side, 1 - axis] - one[side, 1 - axis])
        found.append((line, across, np.full(len(side), number, np.int64), side + part))
    return found


def _edges_between(faces: Indices, on_seam: Bools, middle: Floats, layer: int) -> list[tuple[int, int]]:
    """Edges along the seam, between a face above and a face below, (one, other) as the face above has them."""
    near = faces[on_seam[faces].sum(axis=1) >= 2]
    high = middle[on_seam[faces].sum(axis=1) >= 2] > layer
    sides = np.concatenate([near[:, [k, (k + 1) % 3]] for k in range(3)])
    up = np.tile(high, 3)
    both = on_seam[sides].all(axis=1)
    above = sides[both & up]
    below = set(map(tuple, sides[both & ~up][:, ::-1].tolist()))
    return [edge for one, other in above.tolist() if (edge := (one, other)) in below]


def _corners(ring: Floats, start: float, end: float, first: Floats, last: Floats, step_mm: float) -> Floats:
    """The ring's own points (m, 2) on the shorter way from ``start`` to ``end`` without which it would be missed."""
    count = len(ring)
    ahead = (np.floor(start) + 1 + np.arange(int((np.ceil(end) - np.floor(start) - 1) % count))).astype(np.int64)
    back = (np.ceil(start) - 1 - np.arange(int((np.ceil(start) - 1 - np.floor(end)) % count))).astype(np.int64)
    ways = [np.vstack([first, ring[way % count], last]) for way in (ahead, back)]
    lengths = [float(np.linalg.norm(np.diff(way, axis=0), axis=1).sum()) for way in ways]
    chain = ways[int(np.argmin(lengths))]
    if len(chain) == 2 or min(lengths) > AROUND * step_mm:
        return np.zeros((0, 2))
    keep = np.zeros(len(chain), np.bool_)
    keep[[0, -1]] = True
    parts = [(0, len(chain) - 1)]
    while parts:
        low, high = parts.pop()
        off = _off(chain[low + 1 : high], chain[low], chain[high])
        if len(off) and off.max() > MISS * step_mm:
            cut = low + 1 + int(np.argmax(off))
            keep[cut] = True
            parts += [(low, cut), (cut, high)]
    return chain[keep][1:-1]


def _off(points: Floats, one: Floats, other: Floats) -> Floats:
    """(n,) distances of points (n, 2) from a straight piece."""
    along = other - one
    part = np.clip((points - one) @ along / max(float(along @ along), 1e-30), 0.0, 1.0)
    rest: Floats = np.linalg.norm(points - one - part[:, None] * along, axis=1)
    return rest


def _split(vertices: Floats, faces: Indices, added: list[tuple[int, int, Floats]]) -> tuple[Floats, Indices]:
    """The surface with points (n, 3) put into edges; the faces on both sides become fans."""
    if not added:
        return vertices, faces
    new = [vertices]
    chains: dict[tuple[int, int], list[int]] = {}
    count = len(vertices)
    for one, other, points in added:
        between = list(range(count, count + len(points)))
        count += len(points)
        new.append(points)
        chains[one, other], chains[other, one] = between, between[::-1]
    ends = np.zeros(len(vertices), np.bool_)
    ends[[end for edge in chains for end in edge]] = True
    touched = ends[faces].sum(axis=1) >= 2
    pieces: list[tuple[int, int, int]] = []
    waiting = [tuple(face) for face in faces[touched].tolist()]
    while waiting:
        face = waiting.pop()
        for k in range(3):
            one, other, apex = face[k], face[(k + 1) % 3], face[(k + 2) % 3]
            if (one, other) in chains:
                way = [one, *chains[one, other], other]
                waiting += [(a, b, apex) for a, b in pairwise(way)]
                break
        else:
            pieces.append(face)
    return np.concatenate(new), np.concatenate([faces[~touched], np.array(pieces, np.int64).reshape(-1, 3)])
