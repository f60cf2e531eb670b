"""Where the border between two planes must keep a corner, so that straight lines from corner to corner follow it."""

from __future__ import annotations

import numpy as np

from builder.arrays import Bools, Floats
from builder.model.triangles import Corners, Indices, edges_among


def anchors(vertices: Floats, faces: Corners, label: Indices, tolerance: Floats) -> Bools:
    """(n,) the points that stay: where three or more planes meet, and where a border turns.

    Between them a border leaves the straight line by no more than ``tolerance`` (m,), of the faces beside it (Ramer
    1972, Douglas and Peucker 1973). A border that closes on itself keeps three points at least.
    """
    edges = edges_among(faces, len(vertices))
    one, other = edges.pairs()
    parts = label[one // 3] != label[other // 3]
    ends = edges.ends[edges.edge[one[parts]]]
    allowed = np.minimum(tolerance[one[parts] // 3], tolerance[other[parts] // 3])
    keep = np.zeros(len(vertices), np.bool_)
    for chain, least in _chains(ends, allowed):
        keep[chain[0]] = keep[chain[-1]] = True
        _turns(vertices, chain, least, keep)
    return keep


def _chains(ends: Indices, allowed: Floats) -> list[tuple[Indices, float]]:
    """The borders from corner to corner, each with the mean of what is allowed; closed ones end where they start."""
    beside: dict[int, list[tuple[int, int]]] = {}
    for edge, (i, j) in enumerate(ends.tolist()):
        beside.setdefault(i, []).append((j, edge))
        beside.setdefault(j, []).append((i, edge))
    used = np.zeros(len(ends), np.bool_)
    corners = sorted(point for point, roads in beside.items() if len(roads) != 2)
    chains = []
    for start in [*corners, *sorted(beside)]:
        for following, first in beside[start]:
            if used[first]:
                continue
            chain, road, point, edge = [start], [first], following, first
            used[first] = True
            while point != start and len(beside[point]) == 2:
                chain.append(point)
                point, edge = next((step, way) for step, way in beside[point] if way != edge)
                used[edge] = True
                road.append(edge)
            chain.append(point)
            chains.append((np.array(chain), float(allowed[road].mean())))
    return chains


def _turns(vertices: Floats, chain: Indices, allowed: float, keep: Bools) -> None:
    """Mark the points of a chain that straight lines need."""
    points = vertices[chain]
    last = len(chain) - 1
    if chain[0] != chain[-1]:
        _between(points, chain, 0, last, allowed, keep)
        return
    far = int(np.argmax(np.linalg.norm(points - points[0], axis=1)))
    keep[chain[far]] = True
    _between(points, chain, 0, far, allowed, keep)
    _between(points, chain, far, last, allowed, keep)
    if int(keep[chain[:-1]].sum()) < 3:
        off = np.maximum(_off(points, points[0], points[far]), 0.0)
        off[[0, far, last]] = -1.0
        keep[chain[int(np.argmax(off))]] = True


def _between(points: Floats, chain: Indices, start: int, end: int, allowed: float, keep: Bools) -> None:
    """Keep the point farthest from the straight line, and so on, while any is farther than allowed."""
    waiting = [(start, end)]
    while waiting:
        i, j = waiting.pop()
        if j - i < 2:
            continue
        off = _off(points[i + 1 : j], points[i], points[j])
        far = int(np.argmax(off))
        if off[far] > allowed:
            keep[chain[i + 1 + far]] = True
            waiting += [(i, i + 1 + far), (i + 1 + far, j)]


def _off(points: Floats, start: Floats, end: Floats) -> Floats:
    """(n,) distance of points from the straight line between two."""
    along = end - start
    long = float(along @ along)
    share = np.clip((points - start) @ along / long, 0.0, 1.0) if long > 0 else np.zeros(len(points))
    off: Floats = np.linalg.norm(points - start - share[:, None] * along, axis=1)
    return off
