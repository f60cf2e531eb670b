"""Which points the eye sees, judged by the depth of what its samples see, and the seen parts of a line."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Floats, Singles
from builder.camera.projection import project
from builder.camera.sight import SUPERSAMPLE, Eye
from builder.form.looked import Looked

SLACK_MM_PER_MM = 2e-5
"""What a depth may be out by for each mm of distance: single precision and the rounding of weights."""
STEEPEST = 12.0
"""Slope of a surface against the picture up to which the tolerance follows it: 85 degrees from facing the eye. Beyond,
a surface is about to turn away, and a greater tolerance would let its far side through."""
BRIDGE_PX = 3.0
"""Gaps of a line that are no longer are drawn over: to a pencil they are none."""
CRUMB_PX = 4.0
"""Parts of a line that are no longer are left out: they are dots, not strokes."""


def depth_picture(looked: Looked) -> Singles:
    """(h*s, w*s) float32, mm: how far away along the optic axis is what each sample sees; inf where it sees nothing.

    Depth is linear on a triangle, and the sight's weights are perspective-correct, so it is exact at sample centres.
    """
    scene, eye, sight = looked.model.scene, looked.eye, looked.sight
    of_vertex = (eye.position - scene.vertices) @ eye.world_from_camera[:3, 2]
    depth = np.full(sight.face.shape, np.inf, np.float32)
    _fill(sight.face, sight.u, sight.v, scene.faces, of_vertex, depth)
    return depth


def tolerance_mm(eye: Eye, points: Floats, normals: Floats) -> Floats:
    """(n,) mm, how much nearer than a point what is seen there may be with the point still seen.

    points (n, 3) mm and normals (n, 3), unit, of the surface they lie on. The depth of a surface that leans away from
    the eye changes by its slope times the step from the point to the nearest sample, half a sample both ways at most.
    """
    towards = eye.position - points
    depth = towards @ eye.world_from_camera[:3, 2]
    facing = np.abs((normals * towards).sum(axis=1)) / np.linalg.norm(towards, axis=1)
    slope = np.sqrt(np.clip(1 - facing**2, 0, None)) / np.maximum(facing, 1 / STEEPEST)
    step = 2 * eye.tan_y * np.abs(depth) / (eye.height_px * SUPERSAMPLE) / np.sqrt(2)
    tolerance: Floats = step * slope + SLACK_MM_PER_MM * np.abs(depth)
    return tolerance


def seen(eye: Eye, depth: Singles, points: Floats, tolerance_mm: Floats | float) -> Bools:
    """(n,) bool, whether nothing stands before each point: one of the four samples round it sees as far.

    depth as :func:`depth_picture` gives it; points (n, 3) mm; ``tolerance_mm`` one for all or (n,). On a surface that
    is flat or bulges towards the eye one of the four always sees as far as a point between them, so that the tolerance
    answers only for hollows and folds. A point outside the picture, or behind the eye, is not seen. One on the far side
    of something thinner than the tolerance is: leave out points of surfaces that are turned away first.
    """
    places, far = project(eye, points)
    found = np.zeros(len(points), np.bool_)
    _compare(depth, places * SUPERSAMPLE, far - tolerance_mm, found)
    return found


def visible_parts(
    places: Floats, visible: Bools, closed: bool = False, crumb_px: float = CRUMB_PX
) -> tuple[tuple[Floats, bool], ...]:
    """The parts of a line that are seen, in its order, each with whether it is closed.

    places (m, 2) px, closely spaced; visible (m,) bool, of each; of a ``closed`` line the last place joins the first.
    Gaps up to ``BRIDGE_PX`` long are closed first, then parts up to ``crumb_px`` left out. A line is closed in the
    result when it is closed and seen all round; the part of a closed line that runs past its first place is one part.
    """
    if len(places) < 2 or not visible.any():
        return ()
    if closed and not visible.all():
        hidden = int(np.flatnonzero(~visible)[0])
        order = np.roll(np.arange(len(places)), -hidden)
        places, visible = places[np.append(order, order[0])], visible[np.append(order, order[0])]
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(places, axis=0).T)))
    edges = np.flatnonzero(np.diff(np.concatenate([[False], visible, [False]]).astype(np.int8)))
    runs = edges.reshape(-1, 2)  # first of each run, and first after it
    gap = along[runs[1:, 0]] - along[runs[:-1, 1] - 1]
    apart = np.flatnonzero(gap > BRIDGE_PX)
    first, last = np.append(0, apart + 1), np.append(apart, len(runs) - 1)
    parts = []
    for start, stop in zip(runs[first, 0], runs[last, 1], strict=True):
        if along[stop - 1] - along[start] > crumb_px:
            parts.append((places[start:stop], closed and bool(visible.all())))
    return tuple(parts)


@njit(cache=True, nogil=True)
def _fill(face: Any, u: Any, v: Any, corners: Any, of_vertex: Any, depth: Any) -> None:
    for j in range(face.shape[0]):
        for i in range(face.shape[1]):
            f = face[j, i]
            if f >= 0:
                q, r = np.float64(u[j, i]), np.float64(v[j, i])
                one, two, three = of_vertex[corners[f, 0]], of_vertex[corners[f, 1]], of_vertex[corners[f, 2]]
                depth[j, i] = one + q * (two - one) + r * (three - one)


@njit(cache=True, nogil=True)
def _compare(depth: Any, places: Any, least: Any, found: Any) -> None:
    h, w = depth.shape
    for k in range(len(places)):
        x, y = places[k]
        if not (0.0 <= x <= w and 0.0 <= y <= h):  # nan is outside too
            continue
        left, top = int(np.floor(x - 0.5)), int(np.floor(y - 0.5))
        for j in range(max(top, 0), min(top + 2, h)):
            for i in range(max(left, 0), min(left + 2, w)):
                if depth[j, i] >= least[k]:
                    found[k] = True
