"""One level made solid: labelled faces become a few flat planes with straight edges."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.arrays import Bools, Floats
from builder.model.boxes import Boxes
from builder.model.triangles import Corners, Indices
from builder.planes.aim import Aim
from builder.planes.energy import face_sums
from builder.planes.join import joined, unneeded
from builder.planes.mend import faults, mended
from builder.planes.parted import divided_at, spanning
from builder.planes.patches import capped, patches_of, surface_under, widths
from builder.planes.rough import Bench, Rough, bent, effort, fine_faces, plane_sizes, settled, slivers, thinned
from builder.planes.straighten import Labelled

_ROUNDS = 2
"""The second finds borders that seating made straight: it halves the corners and takes saw teeth off."""
FLAT_SIDE = 25.0
"""A plane this firm was flat before; the outline of any other is the torn edge of a rounded form, and has no width."""
APART = 1e-3
"""How far corners off the mirror stay from it, in sizes of a plane."""
_MOST_JOINS = 8
_IDLE = 3
"""So many rounds without gain end it."""
_AT_ONCE = 6
"""A part of the planes too many is taken away at once, so that the others can settle."""


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """What a level is carved from: ``size`` (m,) of a plane at each face of the skin, the z of the ``ground`` on which
    it stands, and the skin in boxes, ``sheet``.
    """

    size: Floats
    ground: float
    sheet: Boxes


@dataclass(frozen=True, slots=True, eq=False)
class Carved:
    """A solid of planes: vertices (n, 3), faces (m, 3), label (m,), seam (n,) the corners on the mirror.

    ``labelled`` is the skin with the same labels, ``parent`` (k,) the bigger plane of each; ``slivers`` how many
    are too narrow to be drawn after all, ``work`` how much was done for it.
    """

    vertices: Floats
    faces: Corners
    label: Indices
    seam: Bools
    labelled: Labelled
    parent: Indices
    slivers: int
    work: int


def carve(labelled: Labelled, block: Block, farthest: float, parent: Indices, aim: Aim, most: int) -> Carved | None:
    """The planes of a labelled skin with their corners.

    Corners move by at most ``farthest`` sizes of a plane. None comes to lie below the ground, where the body stands,
    or in the other half. Planes that do not come out flat are cut in two until all are; slivers, and planes that are
    least needed while there are too many for the ``aim``, go to a neighbour, in a nested level of the same ``parent``
    (k,). No more work than ``most`` is begun; ``None`` if not all is flat by then.
    """
    rough, bench, fine = _begun(labelled, block, farthest, parent)
    for step in range(_ROUNDS):
        rough = settled(thinned(rough, bench, fine if step == 0 else fine_faces(rough, bench)), bench)
    work = _ROUNDS * effort(rough)
    best: Rough | None = None
    least, idle = np.inf, 0
    for _ in range(_MOST_JOINS):
        flat, cuts = flattened(rough, bench, most - work)
        work += cuts
        if flat is None:
            break
        rough, mending = mended(
            spanning(flat, bench, aim.crosses) if labelled.mirrored else flat, bench, aim, most - work
        )
        work += mending
        amiss, idle = faults(rough, bench, aim), idle + 1
        if amiss < least:
            best, least, idle = rough, amiss, 0
        thin, over = slivers(rough, bench), aim.over(rough.labelled.planes)
        if least == 0 or (over == 0 and len(thin) == 0) or idle >= _IDLE or work >= most:
            break
        lost = thin if len(thin) else unneeded(rough, plane_sizes(rough, bench), -(-over // _AT_ONCE), aim.nested)
        fewer = joined(rough, lost, aim.nested)
        if fewer is None:
            break
        rough = settled(thinned(fewer, bench, fine_faces(fewer, bench)), bench)
        work += effort(rough)
    if best is None:
        return None
    rough, slim = best, len(slivers(best, bench))
    real = rough.real
    rim = bench.seam & ~_apexes(rough.faces, rough.label, rough.count, len(rough.vertices))
    used, place = np.unique(rough.faces[real], return_inverse=True)
    vertices, faces = rough.vertices[used], place.reshape(-1, 3)
    return Carved(vertices, faces, rough.label[real], rim[used], rough.labelled, rough.parent, slim, work)


def flattened(rough: Rough, bench: Bench, most: int) -> tuple[Rough | None, int]:
    """The solid with bent planes cut in two until all are flat, and the work it took.

    It ends, for a plane of one face is flat; ``None`` where ``most`` was not enough.
    """
    work = 0
    while True:
        wrong = bent(rough)
        if len(wrong) == 0:
            return rough, work
        if work > most:
            return None, work
        rough = settled(divided_at(rough, bench, wrong), bench)
        work += effort(rough)


def _begun(labelled: Labelled, block: Block, farthest: float, parent: Indices) -> tuple[Rough, Bench, Floats]:
    """The skin as a solid yet to be thinned out, what it is carved on, and the size of a plane at each of its faces."""
    skin, span = labelled.skin, labelled.span
    size, ground = block.size, block.ground
    count = len(span)
    each = face_sums(skin.vertices, skin.faces, np.ones(len(skin.faces)))
    sums = surface_under(labelled, each)
    patches = patches_of(sums, span)
    vertices, faces, label = capped(skin, labelled.label, count, labelled.mirrored)
    flat = patches.firmness(sums[:, 0]) > FLAT_SIDE
    fine_face = np.full(len(faces), np.inf)
    fine_face[: len(size)] = np.minimum(size, np.where(flat, widths(labelled), np.inf)[labelled.label])
    point_size, fine = np.full(len(vertices), np.inf), np.full(len(vertices), np.inf)
    np.minimum.at(fine, skin.faces.ravel(), np.repeat(fine_face[: len(size)], 3))
    np.minimum.at(point_size, skin.faces.ravel(), np.repeat(size, 3))
    seam = np.zeros(len(vertices), np.bool_)
    seam[faces[label == count].ravel()] = True
    room = _room(skin.vertices, len(vertices), ground)
    if labelled.mirrored:
        room[0][:, 0] = np.where(seam, 0.0, APART * point_size)
    bench = Bench(point_size, fine, seam, room, farthest, ground, block.sheet, each)
    return Rough(vertices, vertices, faces, label, patches.normals, labelled, parent), bench, fine_face


def _room(points: Floats, count: int, ground: float) -> tuple[Floats, Floats]:
    """The box round the points and above the ground, for each of ``count`` corners."""
    low, high = points.min(axis=0), points.max(axis=0)
    low[2] = ground
    return np.tile(low, (count, 1)), np.tile(high, (count, 1))


def _apexes(faces: Corners, label: Indices, count: int, points: int) -> Bools:
    """(points,) the tips of the fans: no face of a plane touches them."""
    tip = np.zeros(points, np.bool_)
    tip[faces[label >= count].ravel()] = True
    tip[faces[label < count].ravel()] = False
    return tip
