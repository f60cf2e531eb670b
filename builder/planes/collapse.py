"""Faces of a plane joined into few, by drawing points together that no corner needs."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Floats
from builder.model.triangles import Corners, Indices

FACING = 0.1
"""Least cosine between a new face and its plane, unless it improves."""


def collapsed(
    vertices: Floats,
    faces: Corners,
    label: Indices,
    planes: Floats,
    keep: Bools,
    short: Floats,
    span: Bools,
    fixed: int,
) -> tuple[Corners, Indices]:
    """The faces (m', 3) and labels left when points are drawn together along sides.

    A point within a plane goes to any neighbour, one on the border of two planes along the border unless ``keep`` (n,)
    says that the border turns there, one where three or more meet along a border side shorter than ``short`` (n,). The
    surface stays whole (the link condition of Dey et al. 1999), no plane loses its last face. Labels from ``fixed`` on
    are no planes: ``fixed`` is what lies in the mirror, more lies across holes. A plane that crosses the mirror, by
    ``span``, stays on it.
    """
    left = faces.astype(np.int64).copy()
    alive = np.ones(len(left), np.bool_)
    _collapse(vertices, left, label.astype(np.int64), alive, planes, keep, short, span, fixed, FACING)
    return left[alive], label[alive]


@njit(cache=True, nogil=True)
def _collapse(
    x: Any, faces: Any, label: Any, alive: Any, planes: Any, keep: Any, short: Any, span: Any, fixed: int, facing: float
) -> None:
    """Rounds over all points until nothing changes: first those within planes, then borders, then short sides."""
    points = len(x)
    head, following = np.full(points, -1, np.int64), np.full(3 * len(faces), -1, np.int64)
    for corner in range(3 * len(faces)):
        v = faces[corner // 3, corner % 3]
        following[corner] = head[v]
        head[v] = corner
    mesh = (faces, label, alive, head, following)
    in_label = np.zeros(label.max() + 2, np.int64)
    for f in range(len(label)):
        in_label[label[f]] += 1
    on_mirror = np.zeros(len(span), np.int64)
    seam = np.zeros(points, np.bool_)
    for f in range(len(label)):
        if label[f] == fixed:
            for k in range(3):
                seam[faces[f, k]] = True
    for f in range(len(label)):
        if label[f] < fixed:
            for k in range(3):
                g = _across(mesh, f, faces[f, k], faces[f, (k + 1) % 3])
                if g >= 0 and label[g] == fixed:
                    on_mirror[label[f]] += 1
    stamp = np.full(points, -1, np.int64)
    near = np.zeros(points, np.int64)
    tick = np.int64(0)
    for stage in range(3):
        changed = True
        while changed:
            changed = False
            for v in range(points):
                if head[v] < 0:
                    continue
                kinds, least = _kinds(mesh, v)
                if least >= fixed:
                    continue
                if kinds == 2 and (keep[v] and stage < 2):
                    continue
                if kinds > 2 and stage < 2:
                    continue
                if kinds == 2 and stage == 0:
                    continue
                # the neighbours
                tick += 1
                found = 0
                corner = head[v]
                while corner >= 0:
                    f = corner // 3
                    if alive[f]:
                        for k in range(3):
                            w = faces[f, k]
                            if w != v and stamp[w] != tick:
                                stamp[w] = tick
                                near[found] = w
                                found += 1
                    corner = following[corner]
                best: Any = np.int64(-1)
                best_quality = -np.inf
                free = kinds == 1 or (kinds == 2 and not keep[v])
                for i in range(found):
                    u = near[i]
                    long = 0.0
                    for k in range(3):
                        long += (x[u, k] - x[v, k]) ** 2
                    if not free and long > min(short[u], short[v]) ** 2:
                        continue
                    if seam[v] and not seam[u]:
                        continue
                    quality = _judge(x, mesh, planes, span, on_mirror, in_label, seam, fixed, facing, v, u, kinds)
                    if not free:
                        quality = -long if quality > -np.inf else quality
                    if quality > best_quality:
                        best, best_quality = u, quality
                if best >= 0:
                    _draw(mesh, in_label, on_mirror, fixed, v, best)
                    changed = True


@njit(cache=True, nogil=True)
def _kinds(mesh: Any, v: int) -> Any:
    """How many labels meet at a point (3 for more), and the least of them; takes dead faces out of its list."""
    _, label, alive, head, following = mesh
    one, two, kinds = np.int64(-1), np.int64(-1), 0
    least = np.int64(2**62)
    last, corner = np.int64(-1), head[v]
    while corner >= 0:
        after = following[corner]
        if alive[corner // 3]:
            last = corner
            here = label[corner // 3]
            least = min(least, here)
            if kinds == 0:
                one, kinds = here, 1
            elif here != one:
                if kinds == 1:
                    two, kinds = here, 2
                elif here != two:
                    kinds = 3
        elif last < 0:
            head[v] = after
        else:
            following[last] = after
        corner = after
    return kinds, least


@njit(cache=True, nogil=True)
def _across(mesh: Any, f: int, a: int, b: int) -> Any:
    """The face other than ``f`` that holds both points, -1 without one."""
    faces, _, alive, head, following = mesh
    corner = head[a]
    while corner >= 0:
        g = corner // 3
        if g != f and alive[g] and (faces[g, 0] == b or faces[g, 1] == b or faces[g, 2] == b):
            return g
        corner = following[corner]
    return -1


@njit(cache=True, nogil=True)
def _third(faces: Any, f: int, a: int, b: int) -> Any:
    """The corner of a face beside two others."""
    for k in range(3):
        if faces[f, k] != a and faces[f, k] != b:
            return faces[f, k]
    return -1


@njit(cache=True, nogil=True)
def _valence(mesh: Any, v: int) -> Any:
    """Faces round a point."""
    _, _, alive, head, following = mesh
    count, corner = 0, head[v]
    while corner >= 0:
        if alive[corner // 3]:
            count += 1
        corner = following[corner]
    return count


@njit(cache=True, nogil=True)
def _holds(faces: Any, f: int, v: int) -> Any:
    """Whether a point is a corner of a face."""
    return faces[f, 0] == v or faces[f, 1] == v or faces[f, 2] == v


@njit(cache=True, nogil=True)
def _judge(
    x: Any,
    mesh: Any,
    planes: Any,
    span: Any,
    on_mirror: Any,
    in_label: Any,
    seam: Any,
    fixed: int,
    facing: float,
    v: int,
    u: int,
    kinds: int,
) -> Any:
    """How good the faces are when v is drawn to u: the least share of a square that one fills; -inf if it must not."""
    faces, label, alive, head, following = mesh
    nothing = -np.inf
    f = _across(mesh, -1, v, u)
    g = _across(mesh, f, v, u)
    if f < 0 or g < 0:
        return nothing
    if kinds > 1 and label[f] == label[g]:
        return nothing
    if kinds == 1 and label[f] != label[g]:
        return nothing
    a, b = _third(faces, f, v, u), _third(faces, g, v, u)
    if a == b or _valence(mesh, a) < 4 or _valence(mesh, b) < 4:
        return nothing
    gone = 2 if label[f] == label[g] else 1
    if in_label[label[f]] <= gone or in_label[label[g]] <= gone:
        return nothing
    # the link condition: no neighbour in common but the two across the side; and no new side in the mirror
    corner = head[v]
    while corner >= 0:
        h = corner // 3
        if alive[h]:
            if h != f and h != g and _holds(faces, h, u):
                return nothing
            for k in range(3):
                w = faces[h, k]
                if w in (v, u, a, b):
                    continue
                if _across(mesh, -1, w, u) >= 0:
                    return nothing
                if seam[u] and seam[w] and label[h] < fixed and not seam[v]:
                    return nothing
        corner = following[corner]
    if seam[v] and seam[u] and not (label[f] == fixed or label[g] == fixed):
        return nothing
    if seam[v]:
        # v leaves the mirror line: sides from its old neighbours on the line to u lie on it, all others must not
        corner = head[v]
        while corner >= 0:
            h = corner // 3
            if alive[h] and label[h] < fixed and h != f and h != g:
                for k in range(3):
                    w = faces[h, k]
                    if w != v and seam[w]:
                        across = _across(mesh, h, v, w)
                        if across < 0 or label[across] != fixed:
                            return nothing
            corner = following[corner]
    for one in (f, g):
        mine = label[one]
        if mine < fixed and span[mine] and on_mirror[mine] <= 1:
            for k in range(3):
                across = _across(mesh, one, faces[one, k], faces[one, (k + 1) % 3])
                if across >= 0 and label[across] == fixed:
                    return nothing
    least_after, least_before, ok = np.inf, np.inf, True
    corner = head[v]
    while corner >= 0:
        h = corner // 3
        if alive[h] and label[h] < fixed:
            before, _ = _shape(x, faces, label, planes, h, -1, -1)
            least_before = min(least_before, before)
            if h != f and h != g:
                after, turn = _shape(x, faces, label, planes, h, v, u)
                least_after = min(least_after, after)
                if turn < facing or after < 1e-4:
                    ok = False
        corner = following[corner]
    if not ok and least_after <= least_before:
        return nothing
    return least_after


@njit(cache=True, nogil=True)
def _shape(x: Any, faces: Any, label: Any, planes: Any, f: int, v: int, u: int) -> Any:
    """Twice a face's area along its plane over the square of its longest side, and its cosine to the plane; v is u."""
    p = np.zeros((3, 3))
    for k in range(3):
        w = faces[f, k]
        if w == v:
            w = u
        for j in range(3):
            p[k, j] = x[w, j]
    a0, a1, a2 = p[1, 0] - p[0, 0], p[1, 1] - p[0, 1], p[1, 2] - p[0, 2]
    b0, b1, b2 = p[2, 0] - p[0, 0], p[2, 1] - p[0, 1], p[2, 2] - p[0, 2]
    c0, c1, c2 = a1 * b2 - a2 * b1, a2 * b0 - a0 * b2, a0 * b1 - a1 * b0
    along = c0 * planes[label[f], 0] + c1 * planes[label[f], 1] + c2 * planes[label[f], 2]
    size = np.sqrt(c0 * c0 + c1 * c1 + c2 * c2)
    longest = max(
        a0 * a0 + a1 * a1 + a2 * a2,
        b0 * b0 + b1 * b1 + b2 * b2,
        (b0 - a0) ** 2 + (b1 - a1) ** 2 + (b2 - a2) ** 2,
    )
    if longest <= 0.0 or size <= 0.0:
        return 0.0, 0.0
    return along / longest, along / size


@njit(cache=True, nogil=True)
def _draw(mesh: Any, in_label: Any, on_mirror: Any, fixed: int, v: int, u: int) -> None:
    """Draw v to u: the two faces between them go, the others of v become u's."""
    faces, label, alive, head, following = mesh
    f = _across(mesh, -1, v, u)
    g = _across(mesh, f, v, u)
    for one in (f, g):
        mine = label[one]
        if mine < fixed:
            for k in range(3):
                a, b = faces[one, k], faces[one, (k + 1) % 3]
                across = _across(mesh, one, a, b)
                if across >= 0 and label[across] == fixed:
                    on_mirror[mine] -= 1
                    # the side survives where it is u's: the face behind the one that goes comes to lie on it
                    if (a == u or b == u) and a != v and b != v:
                        w = b if a == u else a
                        behind = _across(mesh, one, v, w)
                        if behind >= 0 and label[behind] < fixed:
                            on_mirror[label[behind]] += 1
    for one in (f, g):
        alive[one] = False
        in_label[label[one]] -= 1
    corner = head[v]
    while corner >= 0:
        after = following[corner]
        if alive[corner // 3]:
            faces[corner // 3, corner % 3] = u
            following[corner] = head[u]
            head[u] = corner
        corner = after
    head[v] = -1
