"""What a mesh file holds and what cleaning it does, measured: for a tutor who has just got it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import cast

import numpy as np

from builder.arrays import Floats
from builder.model.axes import MM_PER_UNIT, in_millimetres, standing
from builder.model.bodies import numbered
from builder.model.boxes import boxed
from builder.model.clean import found
from builder.model.facing import Facing, facings
from builder.model.holes import holes_of
from builder.model.load import Read, read_mesh
from builder.model.spread import spread
from builder.model.thin import Thin, thin_places
from builder.model.triangles import Triangles, edges_of
from builder.model.weld import welded
from builder.model.working import working
from builder.study.description import Axis, MeshSource, Unit

NAMED = {"millimeter": "mm", "centimeter": "cm", "meter": "m", "inch": "in"}
METRES, CENTIMETRES = 3.0, 40.0
"""Greatest extents up to which a mesh without a unit reads as metres, or as centimetres. Our choice: a sculpture is
rarely taller than 3 m or smaller than 4 cm."""
BODIES_TOLD = 5
SAMPLES = 20_000


@dataclass(frozen=True, slots=True)
class Body:
    """A loose piece of the file: its faces, lengths along x, y, z and middle, in mm, model frame."""

    faces: int
    size_mm: tuple[float, float, float]
    middle_mm: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Gap:
    """A hole: where it is in words, how far round and across it is, and whether cleaning closes it."""

    place: str
    round_mm: float
    across_mm: float
    closes: bool


@dataclass(frozen=True, slots=True, eq=False)
class Inspected:
    """Facts of a mesh file, plain numbers but ``body``, the cleaned surface in mm upright by ``up`` and ``front``.

    ``edge_mm`` the median edge; ``moved_rms_mm`` and ``moved_mm`` what cleaning moved the sculpture's surface by, rms
    and the greatest measured; ``bodies`` the largest few of ``body_count``, by faces.
    """

    name: str
    faces: int
    points: int
    unit: Unit
    unit_reason: str
    size_mm: tuple[float, float, float]
    edge_mm: float
    up: Axis
    front: Axis
    guesses: tuple[Facing, ...]
    body_count: int
    bodies: tuple[Body, ...]
    holes: tuple[Gap, ...]
    thin: Thin
    mirror_mm: float
    faces_after: int
    moved_rms_mm: float
    moved_mm: float
    closed: bool
    cleaning: tuple[str, ...]
    body: Triangles


def inspect_mesh(
    path: Path,
    unit: Unit | None = None,
    up: Axis | None = None,
    front: Axis | None = None,
    height_mm: float | None = None,
) -> Inspected:
    """Measure a mesh file; what is not given is guessed. Raises ModelError where the file holds no solid."""
    where = path.name
    read = read_mesh(path, where)
    unit, reason = (unit, "as you said") if unit else unit_of(read, path)
    in_mm = Triangles(read.triangles.vertices * MM_PER_UNIT[unit], read.triangles.faces)
    one, left_out = found(in_mm, where, None)
    guesses = facings(one)
    chosen = _chosen(guesses, up, front)
    source = MeshSource(path, "mm", *chosen, height_mm)
    raw = standing(in_millimetres(one, source, where), height_mm)
    made = working(one, source, where)
    body = made.clean.triangles
    scale = float(raw.extents[2]) / float(in_millimetres(one, source, where).extents[2])
    count, bodies = _bodies(in_millimetres(in_mm, source, where), scale)
    moved = _moved(raw, body)
    edges = edges_of(body)
    start, end = raw.vertices[edges_of(raw).ends].transpose(1, 0, 2)
    mirror = next((one.mirror_share for one in guesses if (one.up, one.front) == chosen), guesses[0].mirror_share)
    return Inspected(
        name=where,
        faces=len(read.triangles.faces),
        points=len(read.triangles.vertices),
        unit=unit,
        unit_reason=reason,
        size_mm=_three(raw.extents),
        edge_mm=float(np.median(np.linalg.norm(end - start, axis=1))),
        up=chosen[0],
        front=chosen[1],
        guesses=guesses,
        body_count=count,
        bodies=bodies,
        holes=_gaps(raw),
        thin=thin_places(body),
        mirror_mm=mirror * raw.size,
        faces_after=len(body.faces),
        moved_rms_mm=float(np.sqrt(np.mean(moved**2))),
        moved_mm=max(float(moved.max()), made.moved_mm),
        closed=edges.closed,
        cleaning=tuple(notice.text for notice in (*read.notices, *left_out, *made.notices)),
        body=body,
    )


def unit_of(read: Read, path: Path) -> tuple[Unit, str]:
    """The unit that the file names, that its format prescribes, or that its size suggests, and why."""
    named = NAMED.get(read.unit or "", read.unit)
    if named in MM_PER_UNIT:
        return cast(Unit, named), "the file says so"
    if path.suffix.lower() in {".glb", ".gltf"}:
        return "m", "glTF is always in metres"
    size = read.triangles.size
    told = f"the file names no unit, and its greatest length is {size:.3g}"
    if size <= METRES:
        return "m", f"{told}: too small for a sculpture in cm or mm"
    if size <= CENTIMETRES:
        return "cm", f"{told}: too large in m, too small in mm"
    return "mm", f"{told}: too large in m or cm"


def place_words(point: Floats, body: Triangles) -> str:
    """Where on an upright body (x to its left, y to its back) a point lies, such as ``at the back, low``."""
    share = (point - body.vertices.min(axis=0)) / np.maximum(body.extents, 1e-300)
    across = "on its right" if share[0] < 1 / 3 else "on its left" if share[0] > 2 / 3 else ""
    along = "at the front" if share[1] < 1 / 3 else "at the back" if share[1] > 2 / 3 else ""
    level = "low" if share[2] < 1 / 3 else "high" if share[2] > 2 / 3 else "half-way up"
    return ", ".join(part for part in (along, across, level) if part)


def _chosen(guesses: tuple[Facing, ...], up: Axis | None, front: Axis | None) -> tuple[Axis, Axis]:
    """The axes given, the best guess that agrees with them, or for a lone axis any front that stands square to it."""
    for guess in guesses:
        if up in (None, guess.up) and front in (None, guess.front):
            return guess.up, guess.front
    up = up or ("+z" if front and front[1] != "z" else "+y")
    return up, front or ("-y" if up[1] != "y" else "+z")


def _bodies(triangles: Triangles, scale: float) -> tuple[int, tuple[Body, ...]]:
    whole = welded(triangles)
    number = numbered(whole, edges_of(whole))
    counts = np.bincount(number)
    low = whole.vertices.min(axis=0)
    told = []
    for one in np.argsort(-counts, kind="stable")[:BODIES_TOLD]:
        points = whole.vertices[np.unique(whole.faces[number == one])]
        middle = (points.min(axis=0) + points.max(axis=0)) / 2 - low
        told.append(Body(int(counts[one]), _three(np.ptp(points, axis=0) * scale), _three(middle * scale)))
    return len(counts), tuple(told)


def _gaps(body: Triangles) -> tuple[Gap, ...]:
    return tuple(
        Gap(
            "underneath" if hole.underside else place_words(body.vertices[hole.loop].mean(axis=0), body),
            hole.perimeter_mm,
            _across(body.vertices[hole.loop]),
            hole.closes,
        )
        for hole in holes_of(body, edges_of(body))
    )


def _across(rim: Floats) -> float:
    """Diameter of the circle of the area that a rim (n, 3) spans: a ragged rim is longer than its hole is wide."""
    spokes = rim - rim.mean(axis=0)
    area = np.linalg.norm(np.cross(spokes, np.roll(spokes, -1, axis=0)).sum(axis=0)) / 2
    return float(2 * np.sqrt(area / np.pi))


def _moved(before: Triangles, after: Triangles) -> Floats:
    """Distances (n,) of evenly spread points of the sculpture as it was to its cleaned surface, mm."""
    return boxed(after.vertices, after.faces).nearest(spread(before.vertices, before.faces, SAMPLES))[2]


def _three(lengths: Floats) -> tuple[float, float, float]:
    return float(lengths[0]), float(lengths[1]), float(lengths[2])
