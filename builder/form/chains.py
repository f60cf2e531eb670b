"""Chains: the breaks between samples strung into lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numba import njit
from scipy.spatial import cKDTree

from builder.arrays import Bools, Floats, frozen
from builder.form.breaks import Break, Breaks
from builder.model.triangles import Indices


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """One line through breaks of one kind.

    points (m, 2) float64, px, m >= 2; depth and jump (m,) float64, mm, as in :class:`~builder.form.breaks.Breaks`;
    ``closed``: the last joins the first, which is not repeated.
    """

    points: Floats
    depth: Floats
    jump: Floats
    closed: bool

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "points", frozen(self.points, "f8", (None, 2)))
        for name in ("depth", "jump"):
            object.__setattr__(self, name, frozen(getattr(self, name), "f8", (len(self.points),)))


def find_chains(breaks: Breaks, kind: Break, least_jump_mm: float = 0.0, least_breaks: int = 2) -> tuple[Chain, ...]:
    """The lines of one kind, open ones first, each in the order of their first break; those of fewer than
    ``least_breaks`` are left out.

    Breaks that jump less than ``least_jump_mm`` are passed over, and lines end there. Between four samples two breaks
    follow each other; of more, those whose edges lie nearest in depth, so that a line which comes out behind another
    ends there, and that other goes on.
    """
    wanted = (breaks.kind == kind) & (breaks.jump >= least_jump_mm)
    links = np.full((len(wanted), 2), -1, np.int64)
    _link(breaks.across, breaks.down, wanted, breaks.depth, links)
    order, first, closed = strung(links, wanted)
    lines = (order[begin:end] for begin, end in pairwise(first))
    return tuple(
        Chain(breaks.place[line], breaks.depth[line], breaks.jump[line], bool(ring))
        for line, ring in zip(lines, closed, strict=True)
        if len(line) >= least_breaks
    )


def strung(links: Indices, wanted: Bools) -> tuple[Indices, Indices, Bools]:
    """Nodes put into lines: open lines first, then rings.

    links (n, 2) int64, up to two neighbours of each node, -1 for none, each naming the other; ``wanted`` (n,) bool.
    Returns the nodes line by line, where each line begins among them (k + 1,), and whether it is a ring (k,).
    """
    order, first = np.zeros(int(wanted.sum()), np.int64), np.zeros(int(wanted.sum()) + 1, np.int64)
    closed = np.zeros(int(wanted.sum()), np.bool_)
    found = _string(links, wanted, order, first, closed)
    return order, first[: found + 1].copy(), closed[:found].copy()


def joined(chains: Sequence[Chain], reach_px: float, within_deg: float) -> tuple[Chain, ...]:
    """The open chains put together where one goes on in another: their ends are at most ``reach_px`` apart, and neither
    turns by more than ``within_deg`` into the gap. The nearest ends first; closed chains stay as they are.
    """
    open_ones = [chain for chain in chains if not chain.closed]
    if len(open_ones) < 2:
        return tuple(chains)
    ends = np.array([chain.points[at] for chain in open_ones for at in (0, -1)])
    leaves = np.array([_leaving(chain.points[::way]) for chain in open_ones for way in (1, -1)])
    pairs = cKDTree(ends).query_pairs(reach_px, output_type="ndarray")
    gap = ends[pairs[:, 1]] - ends[pairs[:, 0]]
    length = np.hypot(gap[:, 0], gap[:, 1])
    cosine = np.cos(np.radians(within_deg)) * length
    fits = (np.einsum("ij,ij->i", leaves[pairs[:, 0]], gap) >= cosine) & (
        np.einsum("ij,ij->i", leaves[pairs[:, 1]], -gap) >= cosine
    )
    order = np.lexsort((pairs[fits, 1], pairs[fits, 0], length[fits]))
    mate = np.full(len(ends), -1)
    for one, other in pairs[fits][order].tolist():
        if mate[one] < 0 and mate[other] < 0 and one // 2 != other // 2:
            mate[one], mate[other] = other, one
    return (*_followed(open_ones, mate.tolist()), *(chain for chain in chains if chain.closed))


def _leaving(points: Floats) -> Floats:
    """Unit vector out of a line at its first point, over a few pixels."""
    way = points[0] - points[min(len(points) - 1, 8)]
    return np.asarray(way / max(float(np.hypot(*way)), 1e-12), np.float64)


def _followed(chains: Sequence[Chain], mate: Sequence[int]) -> Iterator[Chain]:
    """Chains put together; end 2 i is the first point of chain i, end 2 i + 1 its last, each with its mate or -1."""
    gone = [False] * len(chains)
    starts = [end for end in range(len(mate)) if mate[end] < 0]
    for begin in (*starts, *range(0, len(mate), 2)):  # what has no loose end is a ring
        if gone[begin // 2]:
            continue
        parts, end, ring = [], begin, mate[begin] >= 0
        while end >= 0 and not gone[end // 2]:
            gone[end // 2] = True
            chain = chains[end // 2]
            way = 1 if end % 2 == 0 else -1
            parts.append((chain.points[::way], chain.depth[::way], chain.jump[::way]))
            end = mate[end ^ 1]
        points, depth, jump = (np.concatenate(column) for column in zip(*parts, strict=True))
        yield Chain(points, depth, jump, ring)


@njit(cache=True, nogil=True)
def _link(across: Any, down: Any, wanted: Any, depth: Any, links: Any) -> None:
    rows, columns = across.shape
    here = np.zeros(4, np.int64)
    for j in range(rows - 1):
        for i in range(columns - 1):
            count = 0
            for b in (across[j, i], across[j + 1, i], down[j, i], down[j, i + 1]):
                if b >= 0 and wanted[b]:
                    here[count] = b
                    count += 1
            while count > 1:
                one, other, least = 0, 1, np.inf
                for p in range(count):
                    for q in range(p + 1, count):
                        gap = abs(depth[here[p]] - depth[here[q]])
                        if gap < least:
                            one, other, least = p, q, gap
                p, q = here[one], here[other]
                links[p, 1 if links[p, 0] >= 0 else 0] = q
                links[q, 1 if links[q, 0] >= 0 else 0] = p
                kept = 0
                for p in range(count):
                    if p not in (one, other):
                        here[kept] = here[p]
                        kept += 1
                count = kept


@njit(cache=True, nogil=True)
def _string(links: Any, wanted: Any, order: Any, first: Any, closed: Any) -> int:
    found, filled = 0, 0
    gone = ~wanted
    for rings in range(2):
        for begin in range(len(wanted)):
            if gone[begin] or (rings == 0 and links[begin, 0] >= 0 and links[begin, 1] >= 0):
                continue
            at = begin
            while at >= 0:
                gone[at] = True
                order[filled] = at
                filled += 1
                one, other = links[at]
                at = one if one >= 0 and not gone[one] else other if other >= 0 and not gone[other] else -1
            closed[found] = rings == 1
            found += 1
            first[found] = filled
    return found
