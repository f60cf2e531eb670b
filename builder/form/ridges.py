"""Apparent ridges: where the surface, as the eye sees it, turns most sharply, in hollows and on ridges."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Floats
from builder.camera.projection import project
from builder.camera.sight import SUPERSAMPLE, Eye
from builder.form.breaks import Break, Breaks
from builder.form.curvature import Curvature
from builder.form.looked import Looked
from builder.model.model import Model

FORESHORTENED = 0.2
"""Least cosine between the normal and the line of sight at such a line: beyond, the bend grows without end towards the
contour, which is drawn anyway."""
_EDGE_ON = 0.05
"""Cosine from which on it grows no more."""
CERTAIN = 0.3
"""Cosine between the way to the next pixel and the bend from which it can be told whether the bend is greatest."""


def view_bends(model: Model, curvature: Curvature, eye: Eye) -> Floats:
    """How the surface bends as the eye sees it: (n, 6) float64 for the sculpture's vertices.

    First the greatest change of the normal for a step of one mm across the line of sight (Judd, Durand, Adelson 2007,
    Apparent ridges for line drawing, ACM TOG 26:3:19), 1/mm, negative in hollows. Then how its size grows with a step
    of one mm to the right and down the picture, and cosine and sine of twice the angle from the right, towards down,
    of the step that bends most: twice, since a step and its opposite are one. Last the cosine between the normal and
    the line of sight.
    """
    scene = model.scene
    seen = np.zeros((model.body_vertices, 6))
    steps = np.zeros((model.body_vertices, 2, 3))
    position, right = eye.position, eye.world_from_camera[:3, 0]
    _see(scene.vertices, curvature.normals, curvature.bends, position, right, _EDGE_ON, seen, steps)
    _climb(scene.faces, curvature.slopes, steps, seen)
    return seen


def find_ridges(looked: Looked, curvature: Curvature, breaks: Breaks, least: float) -> tuple[Breaks, Breaks]:
    """The lines of greatest bend of at least ``least``, 1/mm: in hollows, and on ridges.

    Given as breaks between neighbouring pixels' first samples that no break of the form parts, so that they are strung
    alike; ``jump`` is the bend.
    """
    sight, model = looked.sight, looked.model
    bends = view_bends(model, curvature, looked.eye)
    depth = project(looked.eye, model.scene.vertices[: model.body_vertices])[1]
    size = tuple(-(-length // SUPERSAMPLE) for length in breaks.across.shape)
    across, down = np.full((2, *size), -1, np.int32), np.full((2, *size), -1, np.int32)
    found = _cross(
        sight.face, sight.u, sight.v, model.scene.faces, model.body_faces, depth, bends, breaks.across, breaks.down,
        breaks.left, breaks.top, SUPERSAMPLE, least, CERTAIN, FORESHORTENED, across, down,
    )  # fmt: skip
    hollows, ridges = (
        Breaks(
            np.full(len(measured), Break.BEND), measured[:, :2], measured[:, 2], measured[:, 3], across[k], down[k],
            breaks.left, breaks.top,
        )
        for k, measured in enumerate(found)
    )  # fmt: skip
    return hollows, ridges


@njit(cache=True, nogil=True)
def _see(vertices: Any, normals: Any, bends: Any, eye: Any, right: Any, least: float, seen: Any, steps: Any) -> None:
    v, x, down, change = np.zeros(3), np.zeros(3), np.zeros(3), np.zeros((2, 3))
    for p in range(len(seen)):
        n = normals[p]
        for i in range(3):
            v[i] = eye[i] - vertices[p, i]
        length = np.sqrt(_dot(v, v))
        for i in range(3):
            v[i] /= length
        seen[p, 5] = _dot(n, v)
        facing, off = max(seen[p, 5], least), _dot(right, v)
        for i in range(3):
            x[i] = right[i] - off * v[i]
        length = np.sqrt(_dot(x, x))
        for i in range(3):
            x[i] /= length
        for i in range(3):
            j, h = (i + 1) % 3, (i + 2) % 3
            down[i] = x[j] * v[h] - x[h] * v[j]
        for k in range(2):
            across = x if k == 0 else down
            step = steps[p, k]
            lean = _dot(n, across) / facing
            for i in range(3):
                step[i] = across[i] - lean * v[i]  # the step on the surface that is seen as this one
            for i in range(3):
                j, h = (i + 1) % 3, (i + 2) % 3
                change[k, i] = bends[p, i] * step[i] + bends[p, 3 + i] * step[j] + bends[p, 3 + h] * step[h]
        a, b, c = _dot(change[0], change[0]), _dot(change[0], change[1]), _dot(change[1], change[1])
        turn = 0.5 * np.arctan2(2.0 * b, a - c)
        cos, sin = np.cos(turn), np.sin(turn)
        way = 0.0
        for i in range(3):
            way += (cos * steps[p, 0, i] + sin * steps[p, 1, i]) * (cos * change[0, i] + sin * change[1, i])
        size = np.sqrt((a + c + np.sqrt((a - c) ** 2 + 4.0 * b * b)) / 2.0)
        seen[p, 0] = size if way > 0.0 else -size
        seen[p, 3] = cos * cos - sin * sin
        seen[p, 4] = 2.0 * cos * sin


@njit(cache=True, nogil=True)
def _dot(a: Any, b: Any) -> Any:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


@njit(cache=True, nogil=True)
def _climb(faces: Any, slopes: Any, steps: Any, seen: Any) -> None:
    whole = np.zeros(len(seen))
    rise = np.zeros((len(seen), 3))
    for f in range(len(slopes)):
        a, b, c = faces[f]
        area = slopes[f, 6]
        low = abs(seen[a, 0])
        one, other = abs(seen[b, 0]) - low, abs(seen[c, 0]) - low
        for i in range(3):
            part = area * (one * slopes[f, i] + other * slopes[f, 3 + i])
            rise[a, i] += part
            rise[b, i] += part
            rise[c, i] += part
        whole[a] += area
        whole[b] += area
        whole[c] += area
    for p in range(len(seen)):
        if whole[p] > 0.0:
            for k in range(2):
                seen[p, 1 + k] = _dot(rise[p], steps[p, k]) / whole[p]


@njit(cache=True, nogil=True)
def _cross(
    face: Any, u: Any, v: Any, corners: Any, body: int, depth: Any, bends: Any, parted: Any, parted_down: Any,
    left: int, top: int, side: int, least: float, certain: float, square_on: float, across: Any, down: Any,
) -> Any:  # fmt: skip
    rows, columns = across.shape[1:]
    field = np.zeros((rows, columns, 6))
    for j in range(rows):
        for i in range(columns):
            m, n = top + j * side, left + i * side
            if 0 <= m < face.shape[0] and 0 <= n < face.shape[1] and 0 <= face[m, n] < body:
                a, b, c = corners[face[m, n]]
                q, r = u[m, n], v[m, n]
                # what is too flat to be a line needs nothing more
                field[j, i, 0] = (1.0 - q - r) * bends[a, 0] + q * bends[b, 0] + r * bends[c, 0]
                facing = (1.0 - q - r) * bends[a, 5] + q * bends[b, 5] + r * bends[c, 5]
                if facing < square_on:
                    field[j, i, 0] = 0.0
                if abs(field[j, i, 0]) < least:
                    continue
                for k in range(1, 5):
                    field[j, i, k] = (1.0 - q - r) * bends[a, k] + q * bends[b, k] + r * bends[c, k]
                field[j, i, 5] = (1.0 - q - r) * depth[a] + q * depth[b] + r * depth[c]
                turn = 0.5 * np.arctan2(field[j, i, 4], field[j, i, 3])
                field[j, i, 3], field[j, i, 4] = np.cos(turn), np.sin(turn)
    count = np.zeros(2, np.int64)
    one, two = np.zeros((1 << 12, 4)), np.zeros((1 << 12, 4))
    for j in range(rows):
        for i in range(columns):
            bend = field[j, i, 0]
            if abs(bend) < least:
                continue
            for way in range(2):
                m, n = (j, i + 1) if way == 0 else (j + 1, i)
                if m == rows or n == columns or abs(field[m, n, 0]) < least or bend * field[m, n, 0] < 0.0:
                    continue
                broken = False
                for k in range(side):
                    if way == 0 and parted[j * side, i * side + k] >= 0:
                        broken = True
                    if way == 1 and parted_down[j * side + k, i * side] >= 0:
                        broken = True
                if broken:
                    continue
                sx, sy, rx, ry = field[j, i, 3], field[j, i, 4], field[m, n, 3], field[m, n, 4]
                if sx * rx + sy * ry < 0.0:
                    rx, ry = -rx, -ry
                here, there = (
                    field[j, i, 1] * sx + field[j, i, 2] * sy,
                    field[m, n, 1] * rx + field[m, n, 2] * ry,
                )
                if here * there >= 0.0:
                    continue
                along = sx + rx if way == 0 else sy + ry
                # greatest, not least: it grows from either side towards the line; where the line runs along this way
                # nothing can be told, and its neighbours must tell
                if abs(along) > 2.0 * certain and (here - there) * along < 0.0:
                    continue
                share = here / (here - there)
                x = (left + (i + (share if way == 0 else 0.0)) * side + 0.5) / side
                y = (top + (j + (share if way == 1 else 0.0)) * side + 0.5) / side
                size = abs(bend) + share * (abs(field[m, n, 0]) - abs(bend))
                z = field[j, i, 5] + share * (field[m, n, 5] - field[j, i, 5])
                k = 0 if bend < 0.0 else 1
                if k == 0:
                    if count[0] == len(one):
                        one = np.concatenate((one, np.zeros_like(one)))
                    one[count[0]] = x, y, z, size
                else:
                    if count[1] == len(two):
                        two = np.concatenate((two, np.zeros_like(two)))
                    two[count[1]] = x, y, z, size
                if way == 0:
                    across[k, j, i] = count[k]
                else:
                    down[k, j, i] = count[k]
                count[k] += 1
    return one[: count[0]].copy(), two[: count[1]].copy()
