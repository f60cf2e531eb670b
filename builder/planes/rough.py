"""A solid of planes at work: thinned out, its corners seated; which of its planes are bent, and which slivers."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from builder.arrays import Bools, Floats
from builder.model.boxes import Boxes
from builder.model.triangles import Corners, Indices
from builder.planes.anchors import anchors
from builder.planes.collapse import collapsed
from builder.planes.cut import flatness
from builder.planes.energy import face_sums, gathered
from builder.planes.flips import folded, unfolded
from builder.planes.outline import outlines
from builder.planes.patches import foot, patches_of, surface_under
from builder.planes.seat import Seats, seated
from builder.planes.straighten import Labelled

TOLERANCE = 0.12
"""How far a border may leave the straight line from corner to corner, in sizes of a plane."""
SHORT = 0.20
"""Sides of a border shorter than so many sizes of a plane are drawn together."""
LIFTED = 0.01
"""Corners of what stands on the ground that lie higher than this, in diagonals, belong to a side that joined it."""
FLAT = 1e-4
"""Corners no farther than this from their plane, in diagonals of the body, lie in it."""
FOLD = 1e-3
"""So much of a plane may look the other way, in shares of its area, by rounding."""
THIN = 0.06
"""A plane narrower than so many sizes of a plane (twice its area over its outline) is a sliver."""
LITTLE = 0.01
"""A plane of less than so many squares of that size is one too."""
_TRIES = 8
_COVERED = 0.2


@dataclass(frozen=True, slots=True, eq=False)
class Bench:
    """What stays while one solid is carved. Of each point: ``size`` of a plane there, ``fine`` the same or the width of
    the flat side it is on, ``seam`` whether it lies on the mirror, ``room`` the least and greatest coordinates; how
    far it may move, ``farthest``, in sizes of a plane. ``skin`` is in boxes, ``ground`` its lowest z, ``sums`` (m, 13)
    those of its faces.
    """

    size: Floats
    fine: Floats
    seam: Bools
    room: tuple[Floats, Floats]
    farthest: float
    ground: float
    skin: Boxes
    sums: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Rough:
    """The solid as it is: faces of planes and, labelled from the number of planes on, what closes openings.

    ``start`` is where corners were before they were seated, ``parent`` (k,) the bigger plane of each plane.
    """

    vertices: Floats
    start: Floats
    faces: Corners
    label: Indices
    normals: Floats
    labelled: Labelled
    parent: Indices

    @property
    def count(self) -> int:
        """How many planes, of the half where it is half a body."""
        return len(self.labelled.span)

    @property
    def real(self) -> Bools:
        """(m,) the faces of planes."""
        return np.asarray(self.label < self.count)


def thinned(rough: Rough, bench: Bench, fine_face: Floats, free: Bools | None = None) -> Rough:
    """The solid with no corner that straight borders do without; ``fine_face`` (m,) the size of a plane at each face.

    Corners start anew from where they are. ``free`` (n,): the corners that may go, all of them without it.
    """
    keep = anchors(rough.vertices, rough.faces, rough.label, TOLERANCE * fine_face)
    short, span = SHORT * bench.fine, rough.labelled.span
    if free is not None:
        keep, short = keep | ~free, np.where(free, short, 0.0)
    faces, label = collapsed(rough.vertices, rough.faces, rough.label, rough.normals, keep, short, span, rough.count)
    return replace(rough, start=rough.vertices, faces=faces, label=label)


def fine_faces(rough: Rough, bench: Bench) -> Floats:
    """(m,) the size of a plane at each face, that of its finest corner; what closes openings may be of any."""
    fine = np.full(len(rough.faces), np.inf)
    fine[rough.real] = bench.fine[rough.faces[rough.real]].min(axis=1)
    return fine


def around(rough: Rough, plane: int) -> Bools:
    """(n,) the corners of a plane and of the planes beside it."""
    faces, label = rough.faces[rough.real], rough.label[rough.real]
    free = np.zeros(len(rough.vertices), np.bool_)
    free[faces[label == plane]] = True
    free[faces[_touched(rough, free)[label]]] = True
    return free


def _touched(rough: Rough, free: Bools) -> Bools:
    """(k,) the planes that have a corner among some."""
    real = rough.real
    touched = np.zeros(rough.count, np.bool_)
    touched[rough.label[real][free[rough.faces[real]].any(axis=1)]] = True
    return touched


def settled(rough: Rough, bench: Bench, free: Bools | None = None) -> Rough:
    """The corners seated on their planes, from where they started; of them only those that are ``free`` (n,), if it is
    given.
    """
    real, labelled = rough.real, rough.labelled
    faces, label = rough.faces[real], rough.label[real]
    among = None if free is None else _touched(rough, free)
    start = np.array(rough.start)
    fixed = np.zeros(start.shape, np.bool_)
    fixed[:, 0] = bench.seam
    standing = np.unique(faces[foot(labelled, bench.ground)[label]])
    standing = standing[start[standing, 2] <= bench.ground + LIFTED]
    if len(standing) == 0:  # a body that stands on points
        corners = np.unique(faces)
        standing = corners[[np.argmin(start[corners, 2])]]
    start[standing, 2], fixed[standing, 2] = bench.ground, True
    sums = surface_under(labelled, bench.sums, among)
    own = gathered(face_sums(start, faces, np.ones(len(faces))), label, rough.count)
    bare = sums[:, 0] <= _COVERED * own[:, 0]
    sums[bare] = own[bare]
    patches = patches_of(sums, labelled.span)
    seats = Seats(patches, patches.firmness(sums[:, 0]), fixed, bench.room)
    reach = bench.farthest * bench.size
    if free is not None:
        reach = np.where(free, reach, 0.0)
    moved, laid, normals = _unfolded_seats(start, faces, label, seats, bench.seam, reach, among)
    if among is not None:
        normals = np.where(among[:, None], normals, rough.normals)
    all_faces = rough.faces.copy()
    all_faces[real] = laid
    return replace(rough, vertices=moved, start=start, faces=all_faces, normals=normals)


def _unfolded_seats(
    vertices: Floats,
    faces: Corners,
    label: Indices,
    seats: Seats,
    seam: Bools,
    farthest: Floats,
    among: Bools | None,
) -> tuple[Floats, Corners, Floats]:
    """Corners on their planes, faces laid anew, normals; corners that folded a face over may move half as far.

    Planes that are not ``among`` (k,) those asked for stay as they are, as do their faces.
    """
    reach = farthest.copy()
    best, least = (vertices, faces, seats.patches.normals), np.inf
    asked = np.ones(len(faces), np.bool_) if among is None else among[label]
    for _ in range(_TRIES):
        moved, normals = seated(vertices, faces[asked], label[asked], seats, reach)
        laid = faces.copy()
        laid[asked] = unfolded(moved, faces, label, normals, seam)[asked]
        fold = folded(moved, laid, label, normals) * asked
        if fold.sum() < least:
            best, least = (moved, laid, normals), float(fold.sum())
        if least <= 0.0:
            break
        reach[np.unique(laid[fold > 0])] *= 0.5
    return best


def bent(rough: Rough, free: Bools | None = None) -> Indices:
    """The planes that do not lie flat, or are folded over; of those with a ``free`` corner (n,), if it is given."""
    real = rough.real
    among = np.ones(rough.count, np.bool_) if free is None else _touched(rough, free)
    asked = among[rough.label[real]]
    faces, label = rough.faces[real][asked], rough.label[real][asked]
    off = _off(rough.vertices, faces, label, rough.labelled.span)
    area = np.bincount(label, areas(rough.vertices, faces), rough.count)
    fold = np.bincount(label, folded(rough.vertices, faces, label, rough.normals), rough.count)
    many = np.bincount(label, minlength=rough.count) > 1
    return np.flatnonzero((off > FLAT) | (many & (fold > FOLD * area)))


def _off(vertices: Floats, faces: Corners, label: Indices, span: Bools) -> Floats:
    """(k,) how far the corners of each plane stand from the plane nearest to them."""
    off = np.zeros(len(span))
    order = np.argsort(label, kind="stable")
    starts = np.searchsorted(label[order], np.arange(len(span) + 1))
    for k in range(len(span)):
        corners = np.unique(faces[order[starts[k] : starts[k + 1]]])
        off[k] = flatness(whole(vertices[corners], bool(span[k])))
    return off


def whole(points: Floats, span: bool) -> Floats:
    """The points, with their images where they are of a plane that crosses the mirror."""
    return np.concatenate([points, points * (-1.0, 1.0, 1.0)]) if span else points


def areas(vertices: Floats, faces: Corners) -> Floats:
    """(m,) the area of each face."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    areas: Floats = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2
    return areas


def plane_sizes(rough: Rough, bench: Bench) -> Floats:
    """(k,) the size that each plane is to have, that at its finest corner; smaller in a zone that gets more of them."""
    real, size = rough.real, np.full(rough.count, np.inf)
    np.minimum.at(size, rough.label[real], bench.size[rough.faces[real]].min(axis=1))
    return size


def slivers(rough: Rough, bench: Bench) -> Indices:
    """The planes too narrow or too small to be drawn, the least first."""
    real = rough.real
    faces, label, span = rough.faces[real], rough.label[real], rough.labelled.span
    area, outline = outlines(rough.vertices, faces, label, rough.count, bench.seam if span.any() else None, span)
    size = plane_sizes(rough, bench)
    narrow = 2 * area < THIN * size * outline
    found = np.flatnonzero(narrow | (area * np.where(span, 2.0, 1.0) < LITTLE * size**2))
    return found[np.argsort(area[found], kind="stable")]


def effort(rough: Rough, free: Bools | None = None) -> int:
    """What it takes to seat the corners of a solid, or those that are ``free`` (n,) of them: in faces, and in faces of
    the skin, which take a twentieth.
    """
    label = rough.label[rough.real]
    if free is None:
        return len(label) + len(rough.labelled.skin.faces) // 20
    among = _touched(rough, free)
    return int(among[label].sum()) + int(among[rough.labelled.label].sum()) // 20
