"""Noise taken off a surface while its edges stay and its size too.

Normals of faces are evened over neighbours, less the more they differ, so that an edge keeps its two sides (bilateral
normal filtering, the local scheme of Zheng, Fu, Au and Tai, "Bilateral Normal Filtering for Mesh Denoising", IEEE TVCG
17 (2011)); points then follow the new normals (Sun, Rosin, Martin and Langbein, "Fast and Effective Feature-Preserving
Mesh Denoising", IEEE TVCG 13 (2007), equation 11). Unlike averaging points, neither step pulls a round form inward.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit

from builder.arrays import Bools, Floats
from builder.model.triangles import Indices, Triangles, edges_of
from builder.study.description import Smoothing

ROUNDS: dict[Smoothing, int] = {"none": 0, "light": 5, "strong": 20}
"""How often normals are evened."""
LEAST_RANGE, MOST_RANGE = 0.05, 0.7
"""Bounds of the difference between normals over which evening fades: 3 and 41 degrees, so that a right angle stays."""
RANGE = 2.0
"""That difference in medians of the difference between neighbours, which on a scan is mostly noise."""
FOLLOWING = 20
"""How often points follow the normals."""


@dataclass(frozen=True, slots=True, eq=False)
class Smoothed:
    """A surface after smoothing, and by how much its points moved, in its unit; ``volume_change`` is a share."""

    triangles: Triangles
    rms: float
    greatest: float
    volume_change: float


def smoothed(triangles: Triangles, how: Smoothing) -> Smoothed:
    """The surface with its noise evened out; points on open rims stay where they are."""
    edges = edges_of(triangles)
    one, other = (sides // 3 for sides in edges.neighbours())
    points, faces = triangles.vertices, triangles.faces.astype(np.int64)
    crosses = triangles.crosses()
    areas = np.linalg.norm(crosses, axis=1)
    normals = crosses / np.maximum(areas, np.finfo(float).tiny)[:, None]
    differences = np.linalg.norm(normals[one] - normals[other], axis=1)
    middles = points[faces].mean(axis=1)
    apart = float(np.linalg.norm(middles[one] - middles[other], axis=1).mean())
    fade = float(np.clip(RANGE * np.median(differences), LEAST_RANGE, MOST_RANGE))
    start, around = _faces_at_points(faces, len(points))
    for _ in range(ROUNDS[how]):
        normals = _evened(faces, normals, areas, middles, start, around, apart, fade)
    held = np.zeros(len(points), np.bool_)
    held[edges.ends[~edges.balanced]] = True
    moved = _followed(points.copy(), faces, normals, start, around, held, FOLLOWING)
    after = Triangles(moved, triangles.faces)
    distance = np.linalg.norm(moved - points, axis=1)
    before = float(triangles.volumes().sum())
    change = float(after.volumes().sum()) / before - 1 if before else 0.0
    return Smoothed(after, float(np.sqrt(np.mean(distance**2))), float(distance.max()), change)


def _faces_at_points(faces: Indices, count: int) -> tuple[Indices, Indices]:
    """Where each point's faces begin in a list, (count + 1,), and the list, (3 m,)."""
    corners = faces.ravel()
    order = np.argsort(corners, kind="stable")
    start = np.concatenate([[0], np.cumsum(np.bincount(corners, minlength=count))])
    return start, order // 3


@njit(cache=True, nogil=True)
def _evened(
    faces: Indices,
    normals: Floats,
    areas: Floats,
    middles: Floats,
    start: Indices,
    around: Indices,
    apart: float,
    fade: float,
) -> Floats:
    """(m, 3) each normal averaged with those of the faces that share a point, by area, nearness and likeness."""
    result = np.zeros_like(normals)
    for face in range(len(faces)):
        x, y, z = 0.0, 0.0, 0.0
        for corner in range(3):
            point = faces[face, corner]
            for place in range(start[point], start[point + 1]):
                other = around[place]
                far, unlike = 0.0, 0.0
                for k in range(3):
                    far += (middles[face, k] - middles[other, k]) ** 2
                    unlike += (normals[face, k] - normals[other, k]) ** 2
                # a face that shares two points comes up twice, the face itself three times: near ones count more
                weight = areas[other] * np.exp(-far / (2 * apart * apart) - unlike / (2 * fade * fade))
                x += weight * normals[other, 0]
                y += weight * normals[other, 1]
                z += weight * normals[other, 2]
        length = np.sqrt(x * x + y * y + z * z)
        if length > 0.0:
            result[face, 0], result[face, 1], result[face, 2] = x / length, y / length, z / length
        else:
            result[face] = normals[face]
    return result


@njit(cache=True, nogil=True)
def _followed(
    points: Floats, faces: Indices, normals: Floats, start: Indices, around: Indices, held: Bools, rounds: int
) -> Floats:
    """(n, 3) the points moved until their faces lie square to the normals; ``held`` ones stay."""
    middles = np.zeros((len(faces), 3))
    for _ in range(rounds):
        for face in range(len(faces)):
            for k in range(3):
                middles[face, k] = (
                    points[faces[face, 0], k] + points[faces[face, 1], k] + points[faces[face, 2], k]
                ) / 3
        for point in range(len(points)):
            count = start[point + 1] - start[point]
            if held[point] or count == 0:
                continue
            x, y, z = 0.0, 0.0, 0.0
            for place in range(start[point], start[point + 1]):
                face = around[place]
                off = 0.0
                for k in range(3):
                    off += normals[face, k] * (middles[face, k] - points[point, k])
                x += off * normals[face, 0]
                y += off * normals[face, 1]
                z += off * normals[face, 2]
            points[point, 0] += x / count
            points[point, 1] += y / count
            points[point, 2] += z / count
    return points
