"""A mesh cut by evenly spaced parallel planes: exact lines across its triangles, joined end to end."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from builder.arrays import Bools, Floats, Ints

NUDGE = 1e-7
"""Share of the spacing by which a vertex right in a plane is taken to lie off it, so that no cut passes through a
vertex and every cut of a closed surface closes: towards plane 0, and above that one, so that flat ends are not cut."""


@dataclass(frozen=True, slots=True, eq=False)
class Slices:
    """Lines in which planes meet a surface, open ones before closed ones, each plane by plane.

    points (n, 3) float64, mm; face (n,) int32, the triangle on which a point's piece to the next point lies (for the
    last point of an open line, that of the piece before); first (k + 1,) int64, index of each line's first point;
    closed (k,) bool, whether the last point joins the first; plane (k,) int64, number of each line's plane.
    """

    points: Floats
    face: Ints
    first: NDArray[np.int64]
    closed: Bools
    plane: NDArray[np.int64]


def slices(vertices: Floats, faces: Ints, normal: Floats, offset_mm: float, spacing_mm: float) -> Slices:
    """The surface cut by the planes ``normal . p = offset_mm + i * spacing_mm`` for every whole number i.

    vertices (v, 3) mm; faces (m, 3), counter-clockwise from outside; normal (3,) unit. Triangles are joined where
    their corners have the same place, whether or not they share vertices. Every line runs so that the surface, seen
    from outside, rises along the normal on its left.
    """
    assert spacing_mm > 0
    level = np.zeros(len(vertices))
    _measure(vertices, np.asarray(normal, np.float64), offset_mm, spacing_mm, NUDGE, level)
    count = _count(faces, level)
    ends, face, plane = np.zeros((2, count, 3)), np.zeros(count, np.int32), np.zeros(count, np.int64)
    _cut(vertices, faces, level, ends, face, plane)
    order = np.argsort(plane, kind="stable")
    ends, face, plane = np.ascontiguousarray(ends[:, order]), face[order], plane[order]
    after, before = _neighbours(ends, plane)
    points, faces_on = np.zeros((2 * count, 3)), np.zeros(2 * count, np.int32)
    first, closed, plane_of = np.zeros(count + 1, np.int64), np.zeros(count, np.bool_), np.zeros(count, np.int64)
    lines = _walk(ends, face, plane, after, before, points, faces_on, first, closed, plane_of)
    filled = first[lines]
    return Slices(points[:filled], faces_on[:filled], first[: lines + 1], closed[:lines], plane_of[:lines])


def _neighbours(ends: Floats, plane: NDArray[np.int64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """For each piece the one that starts where it ends, and the one that ends where it starts; -1 where there is none.

    ends (2, n, 3), starts and ends of the pieces. Where several meet, as along an edge of four triangles, they are
    paired in their order.
    """
    count = ends.shape[1]
    places = ends.reshape(-1, 3)
    planes = np.concatenate([plane, plane])
    order = np.lexsort((places[:, 2], places[:, 1], places[:, 0], planes))
    sorted_places, sorted_planes = places[order], planes[order]
    new = (np.diff(sorted_places, axis=0) != 0).any(axis=1) | (np.diff(sorted_planes) != 0)
    group = np.concatenate([[0], np.cumsum(new)])[: len(order)]
    after, before = np.full(count, -1, np.int64), np.full(count, -1, np.int64)
    _pair(order, group, count, after, before)
    return after, before


@njit(cache=True, nogil=True)
def _measure(vertices: Any, normal: Any, offset: float, spacing: float, nudge: float, level: Any) -> None:
    """How many spacings each vertex lies above plane 0, never a whole number."""
    for v in range(len(vertices)):
        height = vertices[v, 0] * normal[0] + vertices[v, 1] * normal[1] + vertices[v, 2] * normal[2]
        place = (height - offset) / spacing
        whole = np.rint(place)
        towards = -nudge if whole > 0 else nudge
        level[v] = whole + towards if abs(place - whole) < nudge else place


@njit(cache=True, nogil=True)
def _count(faces: Any, level: Any) -> int:
    count = 0
    for f in range(len(faces)):
        a, b, c = level[faces[f, 0]], level[faces[f, 1]], level[faces[f, 2]]
        count += int(np.floor(max(a, b, c)) - np.floor(min(a, b, c)))
    return count


@njit(cache=True, nogil=True)
def _cut(vertices: Any, faces: Any, level: Any, ends: Any, face: Any, plane: Any) -> None:
    """Fill in the pieces by triangle: from the side that goes down through the plane to the one that goes up."""
    n = 0
    for f in range(len(faces)):
        a, b, c = level[faces[f, 0]], level[faces[f, 1]], level[faces[f, 2]]
        for p in range(int(np.floor(min(a, b, c))) + 1, int(np.floor(max(a, b, c))) + 1):
            for k in range(3):
                one, other = faces[f, k], faces[f, (k + 1) % 3]
                if (level[one] > p) != (level[other] > p):
                    _meet(vertices, level, one, other, p, ends[0 if level[one] > p else 1, n])
            face[n], plane[n] = f, p
            n += 1


@njit(cache=True, nogil=True)
def _meet(vertices: Any, level: Any, one: int, other: int, p: int, place: Any) -> None:
    """Where a side meets plane p, computed from its lower end, so that both its triangles find the same place."""
    low, high = (one, other) if level[one] < level[other] else (other, one)
    part = (p - level[low]) / (level[high] - level[low])
    for c in range(3):
        place[c] = vertices[low, c] + part * (vertices[high, c] - vertices[low, c])


@njit(cache=True, nogil=True)
def _pair(order: Any, group: Any, count: int, after: Any, before: Any) -> None:
    start = 0
    while start < len(order):
        stop = start
        while stop < len(order) and group[stop] == group[start]:
            stop += 1
        outgoing = start  # in a group, the sort being stable, starts come before ends
        for k in range(start, stop):
            if order[k] >= count and outgoing < stop and order[outgoing] < count:
                after[order[k] - count] = order[outgoing]
                before[order[outgoing]] = order[k] - count
                outgoing += 1
        start = stop


@njit(cache=True, nogil=True)
def _walk(
    ends: Any, face: Any, plane: Any, after: Any, before: Any, points: Any, faces_on: Any, first: Any, closed: Any,
    plane_of: Any,
) -> int:  # fmt: skip
    """Fill in the lines; how many there are."""
    done = np.zeros(len(face), np.bool_)
    n, lines = 0, 0
    for closing in (False, True):
        for start in range(len(face)):
            if done[start] or (before[start] >= 0 and not closing):
                continue
            piece, last = start, start
            while piece >= 0 and not done[piece]:
                done[piece] = True
                points[n], faces_on[n] = ends[0, piece], face[piece]
                n += 1
                last, piece = piece, after[piece]
            if not closing:
                points[n], faces_on[n] = ends[1, last], face[last]
                n += 1
            closed[lines], plane_of[lines] = closing, plane[start]
            lines += 1
            first[lines] = n
    return lines
