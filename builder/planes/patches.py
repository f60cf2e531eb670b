"""What lies under each plane: the surface that speaks for it, how wide it is, whether it stands on the ground."""

from __future__ import annotations

import numpy as np

from builder.arrays import Bools, Floats
from builder.model.triangles import Corners, Indices, Triangles
from builder.planes.energy import gathered, planes_of, second_moments
from builder.planes.seat import Patches
from builder.planes.skin import Skin
from builder.planes.straighten import Labelled

ODD = 8.0
"""Faces that turn from a plane by more than so many times the median, in squares, do not speak for it; the rim of a
round patch turns by twice the median.
"""
_FITS = 5
NEAR_GROUND = 2e-3
"""What lies this near to the ground, in diagonals, stands on it."""


def widths(labelled: Labelled) -> Floats:
    """(k,) the size of a plane as wide as each: four times its area over its perimeter, that of a hexagon's root area.

    The flat, narrow side of a slab is cut as finely as its width asks for, however large planes are elsewhere.
    """
    skin, label, count = labelled.skin, labelled.label, len(labelled.span)
    area = np.bincount(label, np.linalg.norm(Triangles(skin.vertices, skin.faces).crosses(), axis=1) / 2, count)
    border = (skin.beside >= 0) & (label[skin.beside] != label[:, None])
    edge = np.bincount(label, (labelled.sides() * border).sum(axis=1), count)
    return np.asarray(4 * area / np.maximum(edge, 1e-300))


def foot(labelled: Labelled, ground: float) -> Bools:
    """(k,) the planes most of whose patch lies on the ground."""
    skin = labelled.skin
    corners = skin.vertices[skin.faces]
    area = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    on = (corners[:, :, 2] <= ground + NEAR_GROUND).all(axis=1)
    count = len(labelled.span)
    return np.asarray(np.bincount(labelled.label, area * on, count) > 0.5 * np.bincount(labelled.label, area, count))


def surface_under(labelled: Labelled, each: Floats, among: Bools | None = None) -> Floats:
    """(k, 13) the sums of the surface that speaks for each plane: faces that turn from it far more than most do not.

    Borders are drawn straight and planes are few, so some faces belong to a plane by their place alone. each (m, 13)
    the sums of the faces of the skin; ``among`` (k,) the planes that are asked for, the others get nothing.
    """
    label, count = labelled.label, len(labelled.span)
    if among is not None:
        asked = among[label]
        label, each = label[asked], each[asked]
    area = each[:, 0]
    normals = each[:, 1:4] / np.maximum(area, 1e-300)[:, None]
    sums = gathered(each, label, count)
    whole = sums[:, 0]
    start = np.cumsum(whole) - whole
    for _ in range(_FITS):
        planes, _ = planes_of(sums, labelled.span)
        turn = ((normals - planes[label]) ** 2).sum(axis=1)
        order = np.lexsort((turn, label))
        reach = np.cumsum(area[order])
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
