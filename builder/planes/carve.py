"""One level made solid: labelled faces become a few flat planes with straight edges."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.arrays import Bools, Floats
from builder.model.triangles import Corners, Indices, Triangles
from builder.planes.anchors import anchors
from builder.planes.collapse import collapsed
from builder.planes.energy import face_sums, gathered, planes_of, second_moments
from builder.planes.flips import folded, unfolded
from builder.planes.seat import Patches, Seats, seated
from builder.planes.skin import Skin
from builder.planes.straighten import Labelled

TOLERANCE = 0.12
"""How far a border may leave the straight line from corner to corner, in sizes of a plane."""
SHORT = 0.20
"""Sides of a border shorter than so many sizes of a plane are drawn together."""
ODD = 8.0
"""Faces that turn from a plane by more than so many times the median, in squares, do not speak for it; the rim of a
round patch turns by twice the median.
"""
_FITS = 5
_TRIES = 5
_ROUNDS = 2
"""The second finds borders that seating made straight: it halves the corners and takes saw teeth off."""
NEAR_GROUND = 2e-3
"""What lies this near to the ground, in diagonals, stands on it."""
FLAT_SIDE = 25.0
"""A plane this firm was flat before; the outline of any other is the torn edge of a rounded form, and has no width."""
LIFTED = 0.01
"""Corners of what stands on the ground that lie higher than this, in diagonals, belong to a side that joined it."""
APART = 1e-3
"""How far corners off the mirror stay from it, in sizes of a plane."""


@dataclass(frozen=True, slots=True, eq=False)
class Carved:
    """A solid of planes: vertices (n, 3), faces (m, 3), label (m,), seam (n,) the corners on the mirror."""

    vertices: Floats
    faces: Corners
    label: Indices
    seam: Bools


def carve(labelled: Labelled, size: Floats, ground: float, farthest: float) -> Carved:
    """The planes of a labelled skin with their corners; ``size`` (m,) of a plane at each face.

    Corners move by at most ``farthest`` sizes of a plane. None comes to lie below z = ``ground``, where the body
    stands, or in the other half.
    """
    skin, span = labelled.skin, labelled.span
    count = len(span)
    sums = surface_under(labelled)
    patches = patches_of(sums, span)
    firmness = patches.firmness(sums[:, 0])
    vertices, faces, label = capped(skin, labelled.label, count, labelled.mirrored)
    fine_face = np.append(
        np.minimum(size, np.where(firmness > FLAT_SIDE, widths(labelled), np.inf)[labelled.label]),
        np.full(len(faces) - len(size), np.inf),
    )
    point_size, fine = np.full(len(vertices), np.inf), np.full(len(vertices), np.inf)
    np.minimum.at(fine, skin.faces.ravel(), np.repeat(fine_face[: len(size)], 3))
    np.minimum.at(point_size, skin.faces.ravel(), np.repeat(size, 3))
    seam = np.zeros(len(vertices), np.bool_)
    seam[faces[label == count].ravel()] = True
    fixed = np.zeros(vertices.shape, np.bool_)
    fixed[:, 0] = seam
    room = _room(skin.vertices, len(vertices), ground)
    if labelled.mirrored:
        room[0][:, 0] = np.where(seam, 0.0, APART * point_size)
    foot = _foot(labelled, ground)
    normals = patches.normals
    for _ in range(_ROUNDS):
        keep = anchors(vertices, faces, label, TOLERANCE * fine_face)
        faces, label = collapsed(vertices, faces, label, normals, keep, SHORT * fine, span, count)
        fine_face = np.full(len(faces), np.inf)
        real = label < count
        fine_face[real] = fine[faces[real]].min(axis=1)
        corners = np.unique(faces[real])
        standing = np.unique(faces[real][foot[label[real]]])
        standing = standing[vertices[standing, 2] <= ground + LIFTED]
        if len(standing) == 0:  # a body that stands on points
            standing = corners[[np.argmin(vertices[corners, 2])]]
        vertices[standing, 2], fixed[standing, 2] = ground, True
        seats = Seats(patches, firmness, fixed, room)
        vertices, faces[real], normals = _unfolded_seats(
            vertices, faces[real], label[real], seats, seam, farthest * point_size
        )
    real = label < count
    rim = seam & ~_apexes(faces, label, count, len(vertices))
    used, place = np.unique(faces[real], return_inverse=True)
    return Carved(vertices[used], place.reshape(-1, 3), label[real], rim[used])


def widths(labelled: Labelled) -> Floats:
    """(k,) the size of a plane as wide as each: four times its area over its perimeter, that of a hexagon's root area.

    The flat, narrow side of a slab is cut as finely as its width asks for, however large planes are elsewhere.
    """
    skin, label, count = labelled.skin, labelled.label, len(labelled.span)
    area = np.bincount(label, np.linalg.norm(Triangles(skin.vertices, skin.faces).crosses(), axis=1) / 2, count)
    border = (skin.beside >= 0) & (label[skin.beside] != label[:, None])
    edge = np.bincount(label, (labelled.sides() * border).sum(axis=1), count)
    return np.asarray(4 * area / np.maximum(edge, 1e-300))


def _unfolded_seats(
    vertices: Floats, faces: Corners, label: Indices, seats: Seats, seam: Bools, farthest: Floats
) -> tuple[Floats, Corners, Floats]:
    """Corners on their planes, faces laid anew, normals; corners that folded a face over may move half as far."""
    reach = farthest.copy()
    best, least = (vertices, faces, seats.patches.normals), np.inf
    for _ in range(_TRIES):
        moved, normals = seated(vertices, faces, label, seats, reach)
        laid = unfolded(moved, faces, label, normals, seam)
        fold = folded(moved, laid, label, normals)
        if fold.sum() < least:
            best, least = (moved, laid, normals), float(fold.sum())
        if least <= 0.0:
            break
        reach[np.unique(laid[fold > 0])] *= 0.5
    return best


def _room(points: Floats, count: int, ground: float) -> tuple[Floats, Floats]:
    """The box round the points and above the ground, for each of ``count`` corners."""
    low, high = points.min(axis=0), points.max(axis=0)
    low[2] = ground
    return np.tile(low, (count, 1)), np.tile(high, (count, 1))


def _foot(labelled: Labelled, ground: float) -> Bools:
    """(k,) the planes most of whose patch lies on the ground."""
    skin = labelled.skin
    corners = skin.vertices[skin.faces]
    area = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    on = (corners[:, :, 2] <= ground + NEAR_GROUND).all(axis=1)
    count = len(labelled.span)
    return np.asarray(np.bincount(labelled.label, area * on, count) > 0.5 * np.bincount(labelled.label, area, count))


def surface_under(labelled: Labelled) -> Floats:
    """(k, 13) the sums of the surface that speaks for each plane: faces that turn from it far more than most do not.

    Borders are drawn straight and planes are few, so some faces belong to a plane by their place alone.
    """
    skin, label, count = labelled.skin, labelled.label, len(labelled.span)
    each = face_sums(skin.vertices, skin.faces, np.ones(len(skin.faces)))
    area = each[:, 0]
    normals = each[:, 1:4] / np.maximum(area, 1e-300)[:, None]
    sums = gathered(each, label, count)
    for _ in range(_FITS):
        planes, _ = planes_of(sums, labelled.span)
        turn = ((normals - planes[label]) ** 2).sum(axis=1)
        order = np.lexsort((turn, label))
        reach = np.cumsum(area[order])
        whole = np.bincount(label, area, count)
        start = np.cumsum(whole) - whole
        middle = order[np.searchsorted(reach, start + 0.5 * whole).clip(max=len(order) - 1)]
        speaks = turn <= ODD * turn[middle][label] + 1e-9
        sums = gathered(each * speaks[:, None], label, count)
    return sums


def patches_of(sums: Floats, span: Bools) -> Patches:
    """The surface under each plane, from the sums of its patch."""
    normals, centres = planes_of(sums, span)
    return Patches(normals, centres, second_moments(sums), span)


def capped(skin: Skin, label: Indices, count: int, mirrored: bool) -> tuple[Floats, Corners, Indices]:
    """The skin with every opening covered by a fan, labelled ``count`` on the mirror and above it elsewhere."""
    face, side = np.nonzero(skin.beside < 0)
    start, end = skin.faces[face, side], skin.faces[face, (side + 1) % 3]
    following = dict(zip(start.tolist(), end.tolist(), strict=True))
    vertices, fans, labels = [skin.vertices], [], []
    apex = len(skin.vertices)
    while following:
        first = next(iter(following))
        ring = [first]
        point = following.pop(first)
        while point != first:
            ring.append(point)
            point = following.pop(point)
        loop = np.array(ring)
        vertices.append(skin.vertices[loop].mean(axis=0)[None])
        fans.append(np.stack([np.roll(loop, -1), loop, np.full(len(loop), apex)], axis=1))
        labels.append(np.full(len(loop), count if mirrored else count + 1))
        apex += 1
    faces = np.concatenate([skin.faces.astype(np.int64), *fans])
    return np.concatenate(vertices), faces, np.concatenate([label, *labels])


def _apexes(faces: Corners, label: Indices, count: int, points: int) -> Bools:
    """(points,) the tips of the fans: no face of a plane touches them."""
    tip = np.zeros(points, np.bool_)
    tip[faces[label >= count].ravel()] = True
    tip[faces[label < count].ravel()] = False
    return tip
