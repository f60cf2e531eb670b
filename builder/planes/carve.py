"""One level made solid: labelled faces become a few flat planes with straight edges."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.arrays import Bools, Floats
from builder.model.boxes import Boxes
from builder.model.triangles import Corners, Indices
from builder.planes.patches import capped, patches_of, surface_under, widths
from builder.planes.rough import (
    Bench,
    Rough,
    bent,
    divided_at,
    fine_faces,
    joined,
    settled,
    slivers,
    spanning,
    thinned,
    unneeded,
)
from builder.planes.straighten import Labelled

_ROUNDS = 2
"""The second finds borders that seating made straight: it halves the corners and takes saw teeth off."""
SPREAD = 0.05
"""So many more or fewer planes than wanted are let pass, in shares of them."""
FLAT_SIDE = 25.0
"""A plane this firm was flat before; the outline of any other is the torn edge of a rounded form, and has no width."""
APART = 1e-3
"""How far corners off the mirror stay from it, in sizes of a plane."""
_MOST_JOINS = 16
_IDLE = 5
"""So many rounds without gain end it, and so many where there are far too many planes."""
_LOST = 2
_AT_ONCE = 6
"""A part of the planes too many is taken away at once, so that the others can settle."""


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """What a level is carved from: ``size`` (m,) of a plane at each face of the skin, the z of the ``ground`` on which
    it stands, and the skin in boxes, ``sheet``. ``crosses`` (k,): the bigger planes that cross the mirror.
    """

    size: Floats
    ground: float
    sheet: Boxes
    crosses: Bools | None = None


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


def carve(
    labelled: Labelled, block: Block, farthest: float, parent: Indices | None, wanted: int, most: int
) -> Carved | None:
    """The planes of a labelled skin with their corners.

    Corners move by at most ``farthest`` sizes of a plane. None comes to lie below the ground, where the body stands,
    or in the other half. Planes that do not come out flat are cut in two until all are; slivers, and planes that are
    least needed while there are more than ``wanted``, go to a neighbour of the same ``parent`` (k,). No more
    work than ``most`` is begun; ``None`` if not all is flat by then.
    """
    rough, bench, fine = _begun(labelled, block, farthest, parent)
    for step in range(_ROUNDS):
        rough = settled(thinned(rough, bench, fine if step == 0 else fine_faces(rough, bench)), bench)
    nested, work = parent is not None, _ROUNDS * effort(rough)
    best: Rough | None = None
    least, idle = (np.inf, np.inf), 0
    for _ in range(_MOST_JOINS):
        flat, cuts = flattened(rough, bench, most - work)
        work += cuts
        if flat is None:
            break
        rough = flat if not labelled.mirrored else spanning(flat, bench, block.crosses)
        thin = slivers(rough, bench)
        missed = max(abs(rough.labelled.planes - wanted) - max(int(SPREAD * wanted), 1), 0)
        over = missed if rough.labelled.planes > wanted else 0
        idle += 1
        if (missed, len(thin)) < least:
            best, least, idle = rough, (missed, len(thin)), 0
        settled_well = least == (0, 0) or (over == 0 and len(thin) == 0)
        if settled_well or idle >= (_IDLE if 4 * over <= wanted else _LOST) or work >= most:
            break
        lost = thin if len(thin) else unneeded(rough, -(-over // _AT_ONCE), nested)
        fewer = joined(rough, lost, nested)
        if fewer is None:
            break
        rough = settled(thinned(fewer, bench, fine_faces(fewer, bench)), bench)
        work += effort(rough)
    if best is None:
        return None
    rough, slim = best, int(least[1])
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


def effort(rough: Rough) -> int:
    """What it takes to seat the corners of a solid: in faces, and in faces of the skin, which take a twentieth."""
    return int(rough.real.sum()) + len(rough.labelled.skin.faces) // 20


def _begun(labelled: Labelled, block: Block, farthest: float, parent: Indices | None) -> tuple[Rough, Bench, Floats]:
    """The skin as a solid yet to be thinned out, what it is carved on, and the size of a plane at each of its faces."""
    skin, span = labelled.skin, labelled.span
    size, ground = block.size, block.ground
    count = len(span)
    sums = surface_under(labelled)
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
    bench = Bench(point_size, fine, seam, room, farthest, ground, block.sheet)
    known = np.full(count, -1) if parent is None else parent
    return Rough(vertices, vertices, faces, label, patches.normals, labelled, known), bench, fine_face


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
