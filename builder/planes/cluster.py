"""Faces gathered into planes from the bottom up: always the two neighbours whose union costs least."""

from __future__ import annotations

import heapq
from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Floats
from builder.model.triangles import Indices
from builder.planes.energy import OFF_PLANE

EDGE = 6.0
"""How much more a union costs for each unit that the cosine of the angle between two patches lies under that of 60°: a
square edge four times as much. The narrow side of a slab says more of the form than its area does.
"""
FEWEST = 4
"""Planes that close a body."""


@dataclass(frozen=True, slots=True, eq=False)
class Gathering:
    """Patches gathered into fewer: group (n,) of each patch; span (k,) whether a group crosses the mirror."""

    group: Indices
    span: Bools


def gather(
    sums: Floats,
    links: Indices,
    body: Indices,
    counts: tuple[int, ...],
    seam: Bools | None,
    span: Bools,
    off_plane: float = OFF_PLANE,
    fewest: int = FEWEST,
) -> list[Gathering]:
    """Patches gathered until there are no more planes than each of ``counts``, which fall.

    sums (n, 13) of the patches; links (e, 2) which touch; body (n,) of which body; seam (n,) which touch the mirror,
    ``None`` without one; span (n,) which cross it. With a mirror patches are half a body: those that do not cross it
    count as two planes. No body is left with fewer than ``fewest`` planes.
    """
    start = len(sums)
    on_seam = np.zeros(start, np.bool_) if seam is None else seam
    groups = np.zeros((len(counts), start), np.int64)
    spans = np.zeros((len(counts), 3 * start), np.bool_)
    _gather(
        np.concatenate([sums, np.zeros((2 * start, sums.shape[1]))]),
        links.astype(np.int64),
        body.astype(np.int64),
        np.array(counts, np.int64),
        seam is not None,
        on_seam,
        span,
        off_plane,
        EDGE,
        fewest,
        groups,
        spans,
    )
    result = []
    for group, crosses in zip(groups, spans, strict=True):
        kept, place = np.unique(group, return_inverse=True)
        result.append(Gathering(place.ravel(), crosses[kept]))
    return result


@njit(cache=True, nogil=True)
def energy(row: Any, span: bool, off_plane: float) -> Any:
    """The energy of a patch, ``row`` (13,) its sums; of one that crosses the mirror, half of it."""
    area, s0, s1, s2 = row[0], row[1], row[2], row[3]
    if area <= 0.0:
        return 0.0
    if span:
        s0 = 0.0
    long = np.sqrt(s0 * s0 + s1 * s1 + s2 * s2)
    if long < 1e-12 * area:
        return 2.0 * area
    n0, n1, n2 = s0 / long, s1 / long, s2 / long
    c0, c1, c2 = row[4] / area, row[5] / area, row[6] / area
    along = n0 * c0 + n1 * c1 + n2 * c2
    second = n0 * n0 * row[7] + n1 * n1 * row[8] + n2 * n2 * row[9]
    second += 2.0 * (n0 * n1 * row[10] + n0 * n2 * row[11] + n1 * n2 * row[12])
    return 2.0 * (area - long) + off_plane * max(second - area * along * along, 0.0)


@njit(cache=True, nogil=True)
def _gather(
    sums: Any,
    links: Any,
    body_of: Any,
    counts: Any,
    mirrored: bool,
    seam_of: Any,
    span_of: Any,
    off_plane: float,
    edge: float,
    fewest: int,
    groups: Any,
    spans: Any,
) -> None:
    """Merge by a heap. Every change makes a new patch; entries that name a patch that is gone are passed over."""
    start = len(body_of)
    most = 3 * start
    alive, span, seam = np.zeros(most, np.bool_), np.zeros(most, np.bool_), np.zeros(most, np.bool_)
    body, own, up = np.zeros(most, np.int64), np.zeros(most), np.arange(most)
    planes_in = np.zeros(body_of.max() + 1, np.int64)
    total = 0
    for i in range(start):
        alive[i], span[i], seam[i], body[i] = True, span_of[i], seam_of[i], body_of[i]
        own[i] = energy(sums[i], span[i], off_plane)
        planes = 2 if mirrored and not span[i] else 1
        planes_in[body[i]] += planes
        total += planes
    # each patch's neighbours are a linked list of notes: which patch, next note
    note, following = np.zeros(2 * len(links), np.int64), np.full(2 * len(links), -1, np.int64)
    head, tail = np.full(most, -1, np.int64), np.full(most, -1, np.int64)
    heap = [(0.0, np.int64(-1), np.int64(-1))]
    heap.pop()
    for e in range(len(links)):
        for side in range(2):
            i, j = links[e, side], links[e, 1 - side]
            node = 2 * e + side
            note[node] = j
            if head[i] < 0:
                tail[i] = node
            else:
                following[node] = head[i]
            head[i] = node
        heap.append(_offer(sums, own, span, mirrored, links[e, 0], links[e, 1], off_plane, edge))
    for i in range(start):
        if mirrored and seam[i] and not span[i]:
            heap.append(_crossing(sums, own, i, off_plane))
    heapq.heapify(heap)
    stamp = np.full(most, -1, np.int64)
    fresh = start
    for step in range(len(counts)):
        while total > counts[step] and len(heap) > 0:
            entry: Any = heapq.heappop(heap)
            i, j = entry[1], entry[2]
            if not alive[i] or (j >= 0 and not alive[j]):
                continue
            k = fresh
            if j < 0:
                removed = 1
            else:
                before = 2 if not mirrored else (1 if span[i] else 2) + (1 if span[j] else 2)
                removed = before - (2 if mirrored and not (span[i] or span[j]) else 1)
            if planes_in[body[i]] - removed < fewest:
                continue
            planes_in[body[i]] -= removed
            total -= removed
            fresh += 1
            alive[i], up[i] = False, k
            head[k], tail[k], seam[k], body[k], alive[k] = head[i], tail[i], seam[i], body[i], True
            sums[k] = sums[i]
            span[k] = span[i]
            if j < 0:
                span[k] = True
            else:
                alive[j], up[j] = False, k
                sums[k] += sums[j]
                span[k] = span[i] or span[j]
                seam[k] = seam[i] or seam[j]
                if head[k] < 0:
                    head[k], tail[k] = head[j], tail[j]
                elif head[j] >= 0:
                    following[tail[k]] = head[j]
                    tail[k] = tail[j]
            own[k] = energy(sums[k], span[k], off_plane)
            stamp[k] = k
            last, node = np.int64(-1), head[k]
            head[k] = -1
            while node >= 0:
                after = following[node]
                other = _root(up, note[node])
                if stamp[other] != k:
                    stamp[other] = k
                    note[node] = other
                    if last < 0:
                        head[k] = node
                    else:
                        following[last] = node
                    last = node
                    heapq.heappush(heap, _offer(sums, own, span, mirrored, other, k, off_plane, edge))
                node = after
            tail[k] = last
            if last >= 0:
                following[last] = -1
            if mirrored and seam[k] and not span[k]:
                heapq.heappush(heap, _crossing(sums, own, k, off_plane))
        for i in range(start):
            groups[step, i] = _root(up, np.int64(i))
            spans[step, groups[step, i]] = span[groups[step, i]]


@njit(cache=True, nogil=True)
def _offer(sums: Any, own: Any, span: Any, mirrored: bool, i: Any, j: Any, off_plane: float, edge: float) -> Any:
    """What joining two patches costs in the whole body for each plane that is saved; across an edge it costs more."""
    either = span[i] or span[j]
    cost = energy(sums[i] + sums[j], either, off_plane) - own[i] - own[j]
    if cost > 0.0:
        along, one, other = 0.0, 0.0, 0.0
        for k in range(1, 4):
            along += sums[i, k] * sums[j, k]
            one += sums[i, k] ** 2
            other += sums[j, k] ** 2
        bend = 0.5 - along / max(np.sqrt(one * other), 1e-300)
        if bend > 0.0:
            cost *= 1.0 + edge * bend
    if mirrored and span[i] and span[j]:
        cost *= 2.0
    return cost, np.int64(i), np.int64(j)


@njit(cache=True, nogil=True)
def _crossing(sums: Any, own: Any, i: int, off_plane: float) -> Any:
    """What it costs to make a patch and its image one plane."""
    return 2.0 * (energy(sums[i], True, off_plane) - own[i]), np.int64(i), np.int64(-1)


@njit(cache=True, nogil=True)
def _root(up: Any, i: Any) -> Any:
    """The patch that a patch is part of now."""
    while up[i] != i:
        up[i] = up[up[i]]
        i = up[i]
    return i
