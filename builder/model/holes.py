"""Gaps in the surface: found, measured, and closed as far round as the study allows."""

from __future__ import annotations

from dataclasses import dataclass

import mapbox_earcut
import numpy as np

from builder.arrays import Floats
from builder.errors import Notice
from builder.model.counts import counted
from builder.model.patch import patch
from builder.model.triangles import Corners, Edges, Indices, Triangles, edges_of

SMALL = 0.25
"""A hole is closed when the way round it is at most this many sizes of the mesh, unless the study says how far: 75 mm
on a 300 mm bust."""
FOOT = 0.10
"""A hole that lies wholly in this lowest share of the height, and faces down, is the hollow underside: closed too,
since the sculpture stands on it."""
FACING_DOWN = 0.7
"""Least share of the hollow underside's area that shows from straight below."""


@dataclass(frozen=True, slots=True, eq=False)
class Hole:
    """A gap: its points in order, as a new face that closed it would be wound; perimeter in mm; whether it is small
    enough to close, and whether it is the hollow underside.
    """

    loop: Indices
    perimeter_mm: float
    small: bool
    underside: bool

    @property
    def closes(self) -> bool:
        """Whether closing it is no guess."""
        return self.small or self.underside


def holes_of(triangles: Triangles, edges: Edges, close_mm: float | None = None) -> tuple[Hole, ...]:
    """The holes of a mesh in mm, z up; greatest perimeter first. ``close_mm``: how far round one may be to be closed,
    ``None`` :data:`SMALL`.
    """
    sides = np.flatnonzero(edges.count[edges.edge] == 1)
    starts = triangles.faces.ravel()[sides]
    ends = np.roll(triangles.faces, -1, axis=1).ravel()[sides]
    if len(sides) == 0:
        return ()
    most = SMALL * triangles.size if close_mm is None else close_mm
    foot = float(triangles.vertices[:, 2].min()) + FOOT * float(triangles.extents[2])
    found = []
    for loop in loops(ends, starts):
        points = triangles.vertices[loop]
        perimeter = float(np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1).sum())
        area = _area_vector(points)
        down = -area[2] >= FACING_DOWN * float(np.linalg.norm(area)) and float(points[:, 2].max()) <= foot
        small = perimeter <= most
        found.append(Hole(loop, perimeter, small, bool(down) and not small))
    return tuple(sorted(found, key=lambda hole: (-hole.perimeter_mm, int(hole.loop.min()))))


def loops(starts: Corners, ends: Corners) -> list[Indices]:
    """Closed ways along directed edges, none of which passes a point twice."""
    onward: dict[int, list[int]] = {}
    for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
        onward.setdefault(start, []).append(end)
    closed_ways = []
    for first in sorted(onward):
        path = [first]
        place = {first: 0}
        while onward.get(path[-1]):
            after = onward[path[-1]].pop()
            if after in place:
                cut = place[after]
                closed_ways.append(np.array(path[cut:], np.int64))
                for point in path[cut + 1 :]:
                    del place[point]
                del path[cut + 1 :]
            else:
                place[after] = len(path)
                path.append(after)
    return [loop for loop in closed_ways if len(loop) >= 3]


def _area_vector(points: Floats) -> Floats:
    """(3,) the area enclosed by a loop as a vector along its normal (Newell's method)."""
    spokes = points - points.mean(axis=0)
    vector: Floats = np.cross(spokes, np.roll(spokes, -1, axis=0)).sum(axis=0) / 2
    return vector


def closed(
    triangles: Triangles, where: str, close_mm: float | None = None
) -> tuple[Triangles, int, tuple[Notice, ...]]:
    """The mesh with small holes closed as the surface round them bends and a hollow underside closed flat, how many
    holes stay open, and both told.
    """
    edges = edges_of(triangles)
    holes = holes_of(triangles, edges, close_mm)
    if not holes:
        return triangles, 0, ()
    points = [triangles.vertices]
    faces = [triangles.faces]
    count = len(triangles.vertices)
    known = _edges_among(holes, edges, count)
    beside = _beside(triangles, holes)
    smooth: list[Hole] = []
    flat: list[Hole] = []
    for hole in holes:
        if not hole.closes:
            continue
        new, lid = np.zeros((0, 3)), _flat(triangles.vertices[hole.loop], hole.loop, known)
        bent = None if hole.underside or len(hole.loop) < 4 else _bent(triangles, hole.loop, beside, known, count)
        if bent is not None:
            new, lid = bent
        elif lid is None:
            new = triangles.vertices[hole.loop].mean(axis=0)[None]
            lid = np.stack([hole.loop, np.roll(hole.loop, -1), np.full(len(hole.loop), count)], axis=1)
        (smooth if bent is not None else flat).append(hole)
        points.append(new)
        count += len(new)
        faces.append(lid.astype(np.int32))
        known.update((min(pair), max(pair)) for face in lid.tolist() for pair in _sides(face))
    result = Triangles(np.concatenate(points), np.concatenate(faces))
    left = [hole for hole in holes if not hole.closes]
    return result, len(left), _told(smooth, flat, left, where)


def _beside(triangles: Triangles, holes: tuple[Hole, ...]) -> dict[int, list[int]]:
    """The faces at each point of the holes' rims."""
    rim = np.zeros(len(triangles.vertices), np.bool_)
    rim[np.concatenate([hole.loop for hole in holes])] = True
    faces: dict[int, list[int]] = {}
    for face in np.flatnonzero(rim[triangles.faces].any(axis=1)).tolist():
        for corner in triangles.faces[face].tolist():
            if rim[corner]:
                faces.setdefault(corner, []).append(face)
    return faces


def _bent(
    triangles: Triangles, loop: Indices, beside: dict[int, list[int]], known: set[tuple[int, int]], count: int
) -> tuple[Floats, Indices] | None:
    """A bent patch over a loop, its new points numbered from ``count``; ``None`` where it would not fit the mesh."""
    touching = triangles.faces[sorted({face for point in loop.tolist() for face in beside[point]})].astype(np.int64)
    around = np.setdiff1d(touching, loop)
    numbers = np.concatenate([loop, around])
    order = np.argsort(numbers)
    local = order[np.searchsorted(numbers[order], touching)]
    made = patch(triangles.vertices[loop], triangles.vertices[around], local)
    if made is None:
        return None
    new, corners = made
    lid = np.concatenate([loop, count + np.arange(len(new))])[corners]
    rim = {(a, b) for a, b in zip(loop.tolist(), np.roll(loop, -1).tolist(), strict=True)}
    inner = {pair for face in lid.tolist() for pair in _sides(face)} - rim
    return None if any((min(pair), max(pair)) in known for pair in inner) else (new, lid)


def _edges_among(holes: tuple[Hole, ...], edges: Edges, count: int) -> set[tuple[int, int]]:
    """The edges that run between points on the rims of holes, the lower of ``count`` points first."""
    rim = np.zeros(count, np.bool_)
    rim[np.concatenate([hole.loop for hole in holes])] = True
    return {(a, b) for a, b in edges.ends[rim[edges.ends].all(axis=1)].tolist()}


def _sides(face: list[int]) -> tuple[tuple[int, int], ...]:
    """The three sides of a face as pairs of points."""
    a, b, c = face
    return (a, b), (b, c), (c, a)


def _told(smooth: list[Hole], flat: list[Hole], left: list[Hole], where: str) -> tuple[Notice, ...]:
    """What the tutor should know of the holes."""
    notices = []
    under = [hole for hole in flat if hole.underside]
    other = [hole for hole in flat if not hole.underside]
    kinds = ((smooth, "", "smoothly"), (other, "", "flat"), (under, " in the underside", "flat"))
    for some, place, way in kinds:
        if some:
            most = "" if len(some) == 1 else "the largest of them "
            text = f"{counted(len(some), 'hole')}{place} closed {way}, {most}{some[0].perimeter_mm:.0f} mm round"
            notices.append(Notice(where, text))
    for hole in left:
        round_mm = f"{hole.perimeter_mm:.0f} mm round"
        text = f"a hole {round_mm} is left open; `close holes` in study.yml says up to what size they are closed"
        notices.append(Notice(where, text))
    return tuple(notices)


def _flat(points: Floats, loop: Indices, known: set[tuple[int, int]]) -> Indices | None:
    """Triangles across a loop by ear clipping in its own plane, or ``None`` where they would not fit the mesh."""
    normal = _area_vector(points)
    length = float(np.linalg.norm(normal))
    if length == 0.0:
        return None
    normal = normal / length
    across = np.cross(normal, np.eye(3)[int(np.abs(normal).argmin())])
    across /= np.linalg.norm(across)
    flat = np.stack([points @ across, points @ np.cross(normal, across)], axis=1)
    ears = mapbox_earcut.triangulate_float64(flat, np.array([len(flat)], np.uint32)).reshape(-1, 3).astype(np.int64)
    if len(ears) != len(loop) - 2:
        return None
    # the loop runs counter-clockwise in this plane; the ears must too
    a, b, c = (flat[ears[:, k]] for k in range(3))
    if float(((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]).sum()) < 0:
        ears = ears[:, ::-1]
    sides = {pair for face in ears.tolist() for pair in _sides(face)}
    rim = {(k, (k + 1) % len(loop)) for k in range(len(loop))}
    inner = sides - rim
    fits = rim <= sides and len(sides) == 3 * len(ears) and all((b, a) in inner for a, b in inner)
    if not fits or any(tuple(sorted((int(loop[a]), int(loop[b])))) in known for a, b in inner):
        return None
    return loop[ears]
