"""The edges where planes meet, and the silhouette of the planes model, as the eye sees them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.arrays import Bools, Floats
from builder.camera.projection import project
from builder.form.looked import Looked
from builder.form.stroke import Drawing, Stroke
from builder.form.visible import depth_picture, seen, tolerance_mm, visible_parts
from builder.model.triangles import Indices, Triangles, edges_of
from builder.planes.planes import Planes

SILHOUETTE_WEIGHT = 1.6
"""Width of the silhouette against the edges inside it."""
STEP_PX = 0.5
"""From one place to the next along an edge where it is asked what stands before it."""
_STRAIGHT = 1e-3
"""Sine of the turn from one step to the next up to which a line runs straight: what rounding may do."""


def planes_drawing(looked: Looked, planes: Planes) -> Drawing:
    """Every edge between two planes that is seen, and the silhouette, as straight strokes.

    ``looked`` is the planes model's. Strokes run along the edges of the planes' own triangles; a border between two
    planes that has several is one stroke with corners. A stroke of kind "silhouette" has a side that is turned away
    from the eye, one of kind "plane-edge" has two that face it.
    """
    eye = looked.eye
    depth = depth_picture(looked)
    strokes: list[Stroke] = []
    for line in _lines(planes, eye.position):
        points, piece = _spaced(line.points, project(eye, line.points)[0])
        tolerance = np.zeros(len(points))
        for normals, facing in zip(line.normals, line.facing, strict=True):
            # what is turned away says nothing of how deep the seen side lies
            own = np.where(facing[piece], tolerance_mm(eye, points, normals[piece]), 0.0)
            tolerance = np.maximum(tolerance, own)
        visible = seen(eye, depth, points, tolerance)
        for part, _ in visible_parts(project(eye, points)[0], visible):
            kind, weight = ("silhouette", SILHOUETTE_WEIGHT) if line.silhouette else ("plane-edge", 1.0)
            strokes.append(Stroke(_turns(part), kind, weight))
    return Drawing("Edges of the planes", eye.width_px, eye.height_px, tuple(strokes))


@dataclass(frozen=True, slots=True, eq=False)
class _Line:
    """Edges in a row: points (m, 3) mm; for the faces on each side of the m - 1 edges, (m - 1, 3) normals and (m - 1,)
    whether they face the eye.
    """

    points: Floats
    normals: tuple[Floats, Floats]
    facing: tuple[Bools, Bools]
    silhouette: bool


def _lines(planes: Planes, eye: Floats) -> list[_Line]:
    """The edges that may be seen, those of one border put in a row."""
    triangles = Triangles(planes.vertices, planes.faces)
    cross = triangles.crosses()
    normal = cross / np.maximum(np.linalg.norm(cross, axis=1), 1e-300)[:, None]
    facing = np.einsum("ij,ij->i", cross, eye - planes.vertices[planes.faces[:, 0]]) > 0.0
    edges = edges_of(triangles)
    one, other = edges.pairs()
    ends = edges.ends[edges.edge[one]]
    a, b = one // 3, other // 3
    silhouette = facing[a] != facing[b]
    wanted = silhouette | (facing[a] & facing[b] & (planes.plane[a] != planes.plane[b]))
    a, b, ends, silhouette = a[wanted], b[wanted], ends[wanted], silhouette[wanted]
    # a border is told by its two planes and by whether it is the silhouette
    low = np.minimum(planes.plane[a], planes.plane[b]).astype(np.int64)
    high = np.maximum(planes.plane[a], planes.plane[b]).astype(np.int64)
    border = (low * planes.count + high) * 2 + silhouette
    lines = []
    for rows in _groups(border):
        for row, corners in _rows(ends[rows]):
            at = rows[row]
            lines.append(
                _Line(
                    planes.vertices[corners],
                    (normal[a[at]], normal[b[at]]),
                    (facing[a[at]], facing[b[at]]),
                    bool(silhouette[at[0]]),
                )
            )
    return lines


def _groups(keys: Indices) -> list[Indices]:
    """Places of equal keys, group after group, the least key first."""
    order = np.argsort(keys, kind="stable")
    return list(np.split(order, np.flatnonzero(np.diff(keys[order])) + 1)) if len(keys) else []


def _rows(ends: Indices) -> list[tuple[Indices, Indices]]:
    """Edges (e, 2) put end to end: for each row its edges and its points, one more. A row ends where other than two
    edges meet; one that runs back into itself ends where it began.
    """
    meet: dict[int, list[int]] = {}
    for edge, (p, q) in enumerate(ends.tolist()):
        meet.setdefault(p, []).append(edge)
        meet.setdefault(q, []).append(edge)
    left = set(range(len(ends)))
    rows = []
    for start in [p for p in sorted(meet) if len(meet[p]) != 2] + sorted(meet):
        for first in meet[start]:
            row, points, edge = [], [start], first
            while edge in left:
                left.remove(edge)
                row.append(edge)
                p, q = ends[edge].tolist()
                points.append(q if points[-1] == p else p)
                here = meet[points[-1]]
                if len(here) == 2:
                    edge = here[1] if here[0] == edge else here[0]
            if row:
                rows.append((np.array(row), np.array(points)))
    return rows


def _spaced(points: Floats, places: Floats) -> tuple[Floats, Indices]:
    """Points (n, 3) along a row of straight pieces, closely spaced in the picture, its corners (m, 3) among them; and
    the piece each lies on, (n,). ``places`` (m, 2) px are where the corners are seen.
    """
    length = np.hypot(*np.diff(places, axis=0).T)
    steps = np.ceil(np.where(np.isfinite(length), length, 0.0) / STEP_PX).astype(np.int64) + 1
    piece = np.repeat(np.arange(len(steps)), steps)
    share = (np.arange(len(piece)) - np.repeat(np.cumsum(steps) - steps, steps)) / steps[piece]
    between = points[piece] + share[:, None] * (points[piece + 1] - points[piece])
    return np.concatenate([between, points[-1:]]), np.append(piece, len(steps) - 1)


def _turns(part: Floats) -> Floats:
    """The ends of a line (n, 2), n >= 2, and the places at which it turns."""
    ahead = np.diff(part, axis=0)
    ahead /= np.maximum(np.hypot(*ahead.T), 1e-12)[:, None]
    turn = np.abs(ahead[:-1, 0] * ahead[1:, 1] - ahead[:-1, 1] * ahead[1:, 0]) > _STRAIGHT
    corners: Floats = part[np.concatenate([[True], turn, [True]])]
    return corners
