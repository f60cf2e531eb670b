"""Where the form breaks between two neighbouring samples of a view: at an edge of it that hides, or at a crease."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bytes, Floats, Ints, frozen
from builder.camera.projection import project
from builder.camera.sight import SUPERSAMPLE
from builder.form.looked import Looked
from builder.form.neighbours import neighbours_of
from builder.model.model import Part


class Break(IntEnum):
    """What parts two neighbouring samples."""

    SILHOUETTE = 1
    """One lies on the sculpture, the other does not."""
    OCCLUDING = 2
    """Both lie on the sculpture, one stands before the other."""
    CREASE = 3
    """Both lie on one piece of its surface, with a crease between them."""
    BEND = 4
    """Both lie on one piece of its surface, which bends between them more than beside them."""
    STAND = 5
    """One lies on the plinth, the other too or beyond, with an edge of it between them."""


_STEPS = 64
"""Triangles passed at most on the way from one sample to the next."""


@dataclass(frozen=True, slots=True, eq=False)
class Breaks:
    """The breaks of a view, on the lines that join the centres of neighbouring samples.

    kind (b,) uint8, a :class:`Break`; place (b, 2) float64, px, where the edge is; depth (b,) float64, mm along the
    optic axis, of the edge there; jump (b,) float64, mm from the edge back to what is seen beside it, infinite where
    that is another part of the scene, 0 for creases. across and down (h, w) int32 cover the sample rows from ``top``
    and columns from ``left``: the break to the right of, and below, each sample, -1 for none.
    """

    kind: Bytes
    place: Floats
    depth: Floats
    jump: Floats
    across: Ints
    down: Ints
    left: int
    top: int

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        count = len(self.kind)
        object.__setattr__(self, "kind", frozen(self.kind, "u1", (count,)))
        object.__setattr__(self, "place", frozen(self.place, "f8", (count, 2)))
        for name in ("depth", "jump"):
            object.__setattr__(self, name, frozen(getattr(self, name), "f8", (count,)))
        for name in ("across", "down"):
            object.__setattr__(self, name, frozen(getattr(self, name), "i4", (None, None)))


def find_breaks(looked: Looked) -> Breaks:
    """Every break of the sculpture's surface and the plinth's as the view shows it.

    From each sample the way to the next is followed over the triangles, from one to its neighbour, until it arrives or
    the surface turns away: there is the edge, exactly, whatever the samples' spacing. So only edges that are seen are
    found, and no depth has to be judged.
    """
    sight, scene, beside = looked.sight, looked.model.scene, neighbours_of(looked.model)
    solid = scene.parts <= Part.PLINTH
    # one sample more all round, so that every outline closes
    left, top, right, bottom = (int(end) for end in _box(sight.face, solid))
    size = (bottom - top, right - left)
    seen = np.full(size, -1, np.int32)
    u, v = np.zeros(size, np.float32), np.zeros(size, np.float32)
    inner = slice(max(top, 0), top + size[0]), slice(max(left, 0), left + size[1])
    window = sight.face[inner]
    at = slice(max(-top, 0), max(-top, 0) + window.shape[0]), slice(max(-left, 0), max(-left, 0) + window.shape[1])
    seen[at], u[at], v[at] = window, sight.u[inner], sight.v[inner]
    place, depth = project(looked.eye, scene.vertices)
    across, down = np.full(size, -1, np.int32), np.full(size, -1, np.int32)
    kind, measured = _find(
        seen, u, v, scene.faces, scene.parts, beside.across, beside.crease, place, depth, left, top,
        SUPERSAMPLE, _STEPS, across, down,
    )  # fmt: skip
    return Breaks(kind, measured[:, :2], measured[:, 2], measured[:, 3], across, down, left, top)


@njit(cache=True, nogil=True)
def _box(seen: Any, solid: Any) -> Any:
    """The samples on solid faces with one more all round: first column, first row, and those after the last."""
    rows, columns = seen.shape
    left, top, right, bottom = columns, rows, -1, -1
    for j in range(rows):
        for i in range(columns):
            if seen[j, i] >= 0 and solid[seen[j, i]]:
                left, right = min(left, i), max(right, i)
                top, bottom = min(top, j), j
    return left - 1, top - 1, right + 2, bottom + 2


@njit(cache=True, nogil=True)
def _find(
    seen: Any, u: Any, v: Any, corners: Any, parts: Any, beyond: Any, crease: Any, place: Any, depth: Any, left: int,
    top: int, side: int, steps: int, across: Any, down: Any,
) -> Any:  # fmt: skip
    turns, calm = np.zeros(len(corners)), np.full(corners.shape, -2, np.int32)
    _turn(corners, place, turns)
    _settle(beyond, crease, turns, calm)
    count = 0
    kind, measured = np.zeros(1 << 14, np.uint8), np.zeros((1 << 14, 4))
    rows, columns = seen.shape
    for j in range(rows):
        for i in range(columns):
            for way in range(2):
                m, n = (j, i + 1) if way == 0 else (j + 1, i)
                if m == rows or n == columns or seen[j, i] == seen[m, n]:
                    continue
                f, g = seen[j, i], seen[m, n]
                if f >= 0 and (calm[f, 0] == g or calm[f, 1] == g or calm[f, 2] == g):
                    continue
                # 0 on the sculpture, 1 on the plinth, 2 elsewhere
                p, q = 2 if f < 0 else min(parts[f], 2), 2 if g < 0 else min(parts[g], 2)
                if min(p, q) == 2:
                    continue
                ax, ay = (left + i + 0.5) / side, (top + j + 0.5) / side
                bx, by = (left + n + 0.5) / side, (top + m + 0.5) / side
                what, t, z, jump = 0, 0.0, 0.0, 0.0
                if p == q:
                    how, t, z = _walk(f, g, ax, ay, bx, by, corners, turns, beyond, crease, place, depth, steps)
                    if how == 0:
                        continue
                    back = _depth(g, u[m, n], v[m, n], corners, depth)
                    if (how == 2 and z >= back) or how == 3:
                        how, t, z = _walk(g, f, bx, by, ax, ay, corners, turns, beyond, crease, place, depth, steps)
                        t = 1.0 - t
                        back = _depth(f, u[j, i], v[j, i], corners, depth)
                    if how == 1:
                        what = 3 if p == 0 else 5
                    elif how == 2 and z < back:
                        what, jump = 2 if p == 0 else 5, back - z
                else:
                    what, jump = 1 if min(p, q) == 0 else 5, np.inf
                    if p < q:
                        how, t, z = _walk(f, -1, ax, ay, bx, by, corners, turns, beyond, crease, place, depth, steps)
                        own = _depth(f, u[j, i], v[j, i], corners, depth)
                    else:
                        how, t, z = _walk(g, -1, bx, by, ax, ay, corners, turns, beyond, crease, place, depth, steps)
                        t = 1.0 - t
                        own = _depth(g, u[m, n], v[m, n], corners, depth)
                    if how != 2:  # another body stands in front or its edge hides this one
                        t, z = 0.5, own
                if what == 0:
                    continue
                if count == len(kind):
                    kind = np.concatenate((kind, np.zeros(count, np.uint8)))
                    measured = np.concatenate((measured, np.zeros((count, 4))))
                kind[count] = what
                measured[count] = ax + t * (bx - ax), ay + t * (by - ay), z, jump
                if way == 0:
                    across[j, i] = count
                else:
                    down[j, i] = count
                count += 1
    return kind[:count].copy(), measured[:count].copy()


@njit(cache=True, nogil=True)
def _settle(beyond: Any, crease: Any, turns: Any, calm: Any) -> None:
    """The faces to which each face goes on without bending sharply or turning away."""
    for f in range(len(beyond)):
        for k in range(3):
            g = beyond[f, k]
            if g >= 0 and not crease[f, k] and turns[f] * turns[g] > 0.0:
                calm[f, k] = g


@njit(cache=True, nogil=True)
def _depth(f: int, u: float, v: float, corners: Any, depth: Any) -> Any:
    return (1.0 - u - v) * depth[corners[f, 0]] + u * depth[corners[f, 1]] + v * depth[corners[f, 2]]


@njit(cache=True, nogil=True)
def _walk(
    f: int, goal: int, ax: float, ay: float, bx: float, by: float, corners: Any, turns: Any, beyond: Any, crease: Any,
    place: Any, depth: Any, steps: int,
) -> Any:  # fmt: skip
    """From sample a on face f towards b: how the way ends, how far along it the edge lies (0..1) and at what depth.

    Ends: 0, it arrives at face ``goal``; 1, it arrives over a crease; 2, the surface turns away or ends; 3, it comes to
    b on a face that is not seen there, or is lost.
    """
    dx, dy = bx - ax, by - ay
    square = dx * dx + dy * dy
    turn = turns[f]
    bend, bend_z = -1.0, 0.0
    for _ in range(steps):
        if f == goal:
            break
        leave = -1
        for k in range(3):
            p, q = corners[f, k], corners[f, (k + 1) % 3]
            s = turn * (dx * (place[p, 1] - ay) - dy * (place[p, 0] - ax))
            r = turn * (dx * (place[q, 1] - ay) - dy * (place[q, 0] - ax))
            if s < 0.0 <= r:
                leave = k
                share = s / (s - r)
        if leave < 0:
            return 3, 0.5, 0.0
        p, q = corners[f, leave], corners[f, (leave + 1) % 3]
        x = place[p, 0] + share * (place[q, 0] - place[p, 0])
        y = place[p, 1] + share * (place[q, 1] - place[p, 1])
        z = 1.0 / ((1.0 - share) / depth[p] + share / depth[q])
        t = ((x - ax) * dx + (y - ay) * dy) / square
        g = beyond[f, leave]
        if t >= 1.0:
            for k in range(3):  # rounding alone may part a sample from the face it lies on
                if goal >= 0 and beyond[f, k] == goal:
                    return 0, 0.5, 0.0
            return 3, 0.5, 0.0
        t = max(t, 0.0)
        if g < 0 or turn * turns[g] <= 0.0:
            return 2, t, z
        if crease[f, leave]:
            bend, bend_z = t, z
        f = g
    else:
        return 3, 0.5, 0.0
    if bend >= 0.0:
        return 1, bend, bend_z
    return 0, 0.5, 0.0


@njit(cache=True, nogil=True)
def _turn(corners: Any, place: Any, turns: Any) -> None:
    """1 where a face's corners run clockwise in the picture, -1 where they run the other way, 0 for a sliver."""
    for f in range(len(turns)):
        a, b, c = corners[f]
        turns[f] = np.sign(
            (place[b, 0] - place[a, 0]) * (place[c, 1] - place[a, 1])
            - (place[b, 1] - place[a, 1]) * (place[c, 0] - place[a, 0])
        )
