"""The place of a surface that is closest to a point."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from builder.arrays import Floats, Ints


def closest_within(points: Floats, vertices: Floats, faces: Ints, reach: float) -> tuple[Floats, NDArray[np.int64]]:
    """For each point the closest place of all triangles no farther than ``reach`` mm: (n, 3) mm, and which triangle it
    lies on, (n,) int64; the point itself and -1 where there is none. Meant for a few points.

    points (n, 3) mm; vertices (v, 3) float64, mm; faces (m, 3) int32.
    """
    place, face = np.array(points, np.float64), np.full(len(points), -1, np.int64)
    _of_all(np.ascontiguousarray(points, np.float64), vertices, faces, reach, place, face)
    return place, face


def closest_of(points: Floats, corners: Floats, choice: NDArray[np.int64]) -> tuple[Floats, NDArray[np.int64]]:
    """For each point the closest place of the triangles ``choice[i]``: (n, 3) mm, and which of all it lies on, (n,).

    points (n, 3) mm; corners (m, 3, 3) float64, mm, of all triangles; choice (n, k) int64, k > 0.
    """
    place, face = np.zeros((len(points), 3)), np.zeros(len(points), np.int64)
    _of_some(np.ascontiguousarray(points), corners, choice, place, face)
    return place, face


@njit(cache=True, nogil=True)
def _of_all(points: Any, vertices: Any, faces: Any, reach: float, place: Any, face: Any) -> None:
    best = np.full(len(points), reach * reach)
    low, high = np.zeros(3), np.zeros(3)
    for f in range(len(faces)):
        a, b, c = vertices[faces[f, 0]], vertices[faces[f, 1]], vertices[faces[f, 2]]
        for k in range(3):
            low[k], high[k] = min(a[k], b[k], c[k]), max(a[k], b[k], c[k])
        for i in range(len(points)):
            # a triangle whose box lies farther away cannot be the closest
            gap = max(low[0] - points[i, 0], points[i, 0] - high[0], 0.0)
            apart = gap * gap
            if apart > best[i]:
                continue
            for k in range(1, 3):
                gap = max(low[k] - points[i, k], points[i, k] - high[k], 0.0)
                apart += gap * gap
            if apart <= best[i]:
                best[i] = _nearer(points[i], a, b, c, f, i, best[i], place, face)


@njit(cache=True, nogil=True)
def _of_some(points: Any, corners: Any, choice: Any, place: Any, face: Any) -> None:
    for i in range(len(points)):
        best = np.inf
        for j in range(choice.shape[1]):
            f = choice[i, j]
            best = _nearer(points[i], corners[f, 0], corners[f, 1], corners[f, 2], f, i, best, place, face)


@njit(cache=True, nogil=True)
def _nearer(p: Any, a: Any, b: Any, c: Any, f: int, i: int, best: float, place: Any, face: Any) -> float:
    """Keep the closest place of triangle f for point i if it is nearer than ``best``, squared; the nearer one."""
    x, y, z = closest_on(p, a, b, c)
    square = float((x - p[0]) ** 2 + (y - p[1]) ** 2 + (z - p[2]) ** 2)
    if square < best or (square == best and face[i] < 0):
        face[i] = f
        place[i, 0], place[i, 1], place[i, 2] = x, y, z
        return square
    return best


@njit(cache=True, nogil=True, inline="always")
def _dot(a0: float, a1: float, a2: float, b0: float, b1: float, b2: float) -> Any:
    """Scalar product."""
    return a0 * b0 + a1 * b1 + a2 * b2


@njit(cache=True, nogil=True)
def closest_on(p: Any, a: Any, b: Any, c: Any) -> Any:
    """The point of the triangle a, b, c nearest to a point (Ericson, Real-Time Collision Detection, 2005, 5.1.5)."""
    ab0, ab1, ab2 = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    ac0, ac1, ac2 = c[0] - a[0], c[1] - a[1], c[2] - a[2]
    ap0, ap1, ap2 = p[0] - a[0], p[1] - a[1], p[2] - a[2]
    d1, d2 = _dot(ab0, ab1, ab2, ap0, ap1, ap2), _dot(ac0, ac1, ac2, ap0, ap1, ap2)
    if d1 <= 0.0 and d2 <= 0.0:
        return a[0], a[1], a[2]
    bp0, bp1, bp2 = p[0] - b[0], p[1] - b[1], p[2] - b[2]
    d3, d4 = _dot(ab0, ab1, ab2, bp0, bp1, bp2), _dot(ac0, ac1, ac2, bp0, bp1, bp2)
    if d3 >= 0.0 and d4 <= d3:
        return b[0], b[1], b[2]
    vc = d1 * d4 - d3 * d2
    if vc <= 0.0 and d1 >= 0.0 and d3 <= 0.0 and d1 > d3:
        v = d1 / (d1 - d3)
        return a[0] + v * ab0, a[1] + v * ab1, a[2] + v * ab2
    cp0, cp1, cp2 = p[0] - c[0], p[1] - c[1], p[2] - c[2]
    d5, d6 = _dot(ab0, ab1, ab2, cp0, cp1, cp2), _dot(ac0, ac1, ac2, cp0, cp1, cp2)
    if d6 >= 0.0 and d5 <= d6:
        return c[0], c[1], c[2]
    vb = d5 * d2 - d1 * d6
    if vb <= 0.0 and d2 >= 0.0 and d6 <= 0.0 and d2 > d6:
        w = d2 / (d2 - d6)
        return a[0] + w * ac0, a[1] + w * ac1, a[2] + w * ac2
    va = d3 * d6 - d5 * d4
    if va <= 0.0 and d4 - d3 >= 0.0 and d5 - d6 >= 0.0 and (d4 - d3) + (d5 - d6) > 0.0:
        w = (d4 - d3) / ((d4 - d3) + (d5 - d6))
        return (
            b[0] + w * (c[0] - b[0]),
            b[1] + w * (c[1] - b[1]),
            b[2] + w * (c[2] - b[2]),
        )
    total = va + vb + vc
    if total <= 0.0:  # a triangle without area whose nearest point is not on a side by rounding: its first corner
        return a[0], a[1], a[2]
    v, w = vb / total, vc / total
    return a[0] + v * ab0 + w * ac0, a[1] + v * ab1 + w * ac1, a[2] + v * ab2 + w * ac2
