"""What a mesh file holds and what cleaning it does, measured: for a tutor who has just got it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import cast

import numpy as np

from builder.arrays import Floats
from builder.errors import ModelError, Notice, Problem
from builder.model.axes import MM_PER_UNIT, in_millimetres, model_from_file, standing
from builder.model.bodies import numbered
from builder.model.boxes import boxed
from builder.model.clean import found_among, gathered
from builder.model.facing import Facing, facings
from builder.model.holes import holes_of
from builder.model.load import Read, read_mesh
from builder.model.spread import spread
from builder.model.symmetry import Symmetry, symmetry_among
from builder.model.thin import Thin, thin_places
from builder.model.triangles import Triangles, edges_of
from builder.model.whereabouts import place_words
from builder.model.working import worked
from builder.study.description import Axis, MeshSource, Unit

NAMED = {"millimeter": "mm", "centimeter": "cm", "meter": "m", "inch": "in"}
METRES, CENTIMETRES = 3.0, 40.0
"""Greatest extents up to which a mesh without a unit reads as metres, or as centimetres. Our choice: a sculpture is
rarely taller than 3 m or smaller than 4 cm."""
BODIES_TOLD = 5
SAMPLES = 20_000


@dataclass(frozen=True, slots=True)
class Body:
    """A loose piece of the file: its faces, lengths along x, y, z in mm, and where it lies among the rest, in words."""

    faces: int
    size_mm: tuple[float, float, float]
    place: str


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
    and the greatest measured; ``bodies`` the largest few of ``body_count``, by faces; ``symmetry`` the plane between
    left and right of the cleaned body as it stands.
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
    turn_deg: float
    guesses: tuple[Facing, ...]
    body_count: int
    bodies: tuple[Body, ...]
    holes: tuple[Gap, ...]
    thin: Thin
    symmetry: Symmetry
    faces_after: int
    moved_rms_mm: float
    moved_mm: float
    closed: bool
    cleaning: tuple[str, ...]
    body: Triangles


@dataclass(frozen=True, slots=True, eq=False)
class _Sculpture:
    """A file as read, its unit and why, its pieces in mm, points that coincide made one, the sculpture among them, and
    the likely ways.
    """

    read: Read
    unit: Unit
    reason: str
    all_mm: Triangles
    own_mm: Triangles
    left_out: tuple[Notice, ...]
    guesses: tuple[Facing, ...]


def likely_ways(path: Path, unit: Unit | None = None) -> tuple[Unit, tuple[Facing, ...]]:
    """The unit, guessed if not given, and the numbered ways of :func:`inspect_mesh` alone."""
    seen = _sculpture(path, unit)
    return seen.unit, seen.guesses


def inspect_mesh(
    path: Path,
    unit: Unit | None = None,
    up: Axis | None = None,
    front: Axis | None = None,
    height_mm: float | None = None,
) -> Inspected:
    """Measure a mesh file; what is not given is guessed. Raises ModelError where the file holds no solid."""
    where = path.name
    if up and front:
        model_from_file(MeshSource(path, "mm", up, front, None), where)
    seen = _sculpture(path, unit)
    chosen_up, chosen_front, turn_deg = _chosen(seen.guesses, up, front)
    source = MeshSource(path, "mm", chosen_up, chosen_front, height_mm, turn_deg=turn_deg)
    turned = in_millimetres(seen.own_mm, source, where)
    raw = standing(turned, height_mm)
    made = worked(raw, source, where)
    body = made.clean.triangles
    scale = float(raw.extents[2]) / float(turned.extents[2])
    count, bodies = _bodies(in_millimetres(seen.all_mm, source, where), scale)
    moved = _moved(raw, body)
    start, end = raw.vertices[edges_of(raw).ends].transpose(1, 0, 2)
    middle = (body.vertices.min(axis=0) + body.vertices.max(axis=0)) / 2
    return Inspected(
        name=where,
        faces=len(seen.read.triangles.faces),
        points=len(seen.read.triangles.vertices),
        unit=seen.unit,
        unit_reason=seen.reason,
        size_mm=_three(raw.extents),
        edge_mm=float(np.median(np.linalg.norm(end - start, axis=1))),
        up=chosen_up,
        front=chosen_front,
        turn_deg=turn_deg,
        guesses=seen.guesses,
        body_count=count,
        bodies=bodies,
        holes=gaps_of(raw),
        thin=thin_places(body),
        symmetry=symmetry_among(body.vertices[body.faces], body.size, middle),
        faces_after=len(body.faces),
        moved_rms_mm=float(np.sqrt(np.mean(moved**2))),
        moved_mm=max(float(moved.max()), made.moved_mm),
        closed=edges_of(body).closed,
        cleaning=tuple(notice.text for notice in (*seen.read.notices, *seen.left_out, *made.notices)),
        body=body,
    )


def _sculpture(path: Path, unit: Unit | None) -> _Sculpture:
    if not path.exists():
        raise ModelError(Problem(path.as_posix(), "there is no such file", do="check the path to the mesh"))
    read = read_mesh(path, path.name)
    unit, reason = (unit, "as you said") if unit else unit_of(read, path)
    in_mm = Triangles(read.triangles.vertices * MM_PER_UNIT[unit], read.triangles.faces)
    all_mm, told = gathered(in_mm, path.name)
    own_mm, left_out = found_among(all_mm, told, path.name, None)
    return _Sculpture(read, unit, reason, all_mm, own_mm, left_out, facings(own_mm))


def unit_of(read: Read, path: Path) -> tuple[Unit, str]:
    """The unit that the file names, that its format prescribes, or that its size suggests, and why."""
    named = NAMED.get(read.unit or "", read.unit)
    if named in MM_PER_UNIT:
        return cast(Unit, named), "the file says so"
    if path.suffix.lower() in {".glb", ".gltf"}:
        return "m", "glTF is always in metres"
    size = read.triangles.size
    names = f"the file names {read.unit}, which a study cannot take" if read.unit else "the file names no unit"
    told = f"{names}, and its greatest length is {size:.3g}"
    if size <= METRES:
        return "m", f"{told}: too small for a sculpture in cm or mm"
    if size <= CENTIMETRES:
        return "cm", f"{told}: too large in m, too small in mm"
    return "mm", f"{told}: too large in m or cm"


def _chosen(guesses: tuple[Facing, ...], up: Axis | None, front: Axis | None) -> tuple[Axis, Axis, float]:
    """The axes given and no turn, the best guess that agrees with them, or for a lone axis any front square to it."""
    for guess in guesses:
        if up in (None, guess.up) and front in (None, guess.front):
            return guess.up, guess.front, 0.0 if front else guess.turn_deg
    up = up or ("+z" if front and front[1] != "z" else "+y")
    return up, front or ("-y" if up[1] != "y" else "+z"), 0.0


def _bodies(triangles: Triangles, scale: float) -> tuple[int, tuple[Body, ...]]:
    number = numbered(triangles, edges_of(triangles))
    counts = np.bincount(number)
    told = []
    for one in np.argsort(-counts, kind="stable")[:BODIES_TOLD]:
        points = triangles.chosen(number == one).vertices
        middle = (points.min(axis=0) + points.max(axis=0)) / 2
        told.append(Body(int(counts[one]), _three(np.ptp(points, axis=0) * scale), place_words(middle, triangles)))
    return len(counts), tuple(told)


def gaps_of(body: Triangles) -> tuple[Gap, ...]:
    """The holes of an upright surface in mm, as cleaning without further word would take them."""
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
