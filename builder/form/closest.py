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
    v, w = _weights(p, a, b, c)
    square = 0.0
    for k in range(3):
        step = a[k] + v * (b[k] - a[k]) + w * (c[k] - a[k]) - p[k]
        square += step * step
    if square < best or (square == best and face[i] < 0):
        face[i] = f
        for k in range(3):
            place[i, k] = a[k] + v * (b[k] - a[k]) + w * (c[k] - a[k])
        return square
    return best


@njit(cache=True, nogil=True)
def _weights(p: Any, a: Any, b: Any, c: Any) -> tuple[float, float]:
    """Weights of b and c at the place of the triangle closest to p, by the region of its plane that p lies over
    (Ericson, Real-Time Collision Detection, 2005, section 5.1.5; from memory).
    """
    ab, ac, ap = b - a, c - a, p - a
    d1, d2 = _dot(ab, ap), _dot(ac, ap)
    if d1 <= 0 and d2 <= 0:
        return 0.0, 0.0
    bp = p - b
    d3, d4 = _dot(ab, bp), _dot(ac, bp)
    if d3 >= 0 and d4 <= d3:
        return 1.0, 0.0
    cp = p - c
    d5, d6 = _dot(ab, cp), _dot(ac, cp)
    if d6 >= 0 and d5 <= d6:
        return 0.0, 1.0
    over_c = d1 * d4 - d3 * d2
    if over_c <= 0 and d1 >= 0 and d3 <= 0 and d1 > d3:
        return d1 / (d1 - d3), 0.0
    over_b = d5 * d2 - d1 * d6
    if over_b <= 0 and d2 >= 0 and d6 <= 0 and d2 > d6:
        return 0.0, d2 / (d2 - d6)
    over_a = d3 * d6 - d5 * d4
    if over_a <= 0 and d4 >= d3 and d5 >= d6 and d4 - d3 + d5 - d6 > 0:
        w = (d4 - d3) / (d4 - d3 + d5 - d6)
        return 1.0 - w, w
    whole = over_a + over_b + over_c
    if whole <= 0:  # no area left after rounding
        return 0.0, 0.0
    return over_b / whole, over_c / whole


@njit(cache=True, nogil=True)
def _dot(a: Any, b: Any) -> float:
    return float(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])
