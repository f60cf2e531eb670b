"""Planes of a solid given to a neighbour: slivers, and those that are needed least."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from builder.arrays import Floats
from builder.model.triangles import Corners, Indices
from builder.planes.cluster import FEWEST
from builder.planes.cut import flatness, sides_of
from builder.planes.rough import FLAT, Rough, areas, whole
from builder.planes.straighten import Labelled


def unneeded(rough: Rough, size: Floats, many: int, nested: bool) -> Indices:
    """The ``many`` planes whose loss moves the form least: small ones that lie nearly in line with a neighbour.

    ``size`` (k,) is that which each plane is to have. On a rounded form a plane stands off by the square of its size;
    losses are therefore compared by its sixth power, and a zone of finer planes keeps them.
    """
    real = rough.real
    faces, label = rough.faces[real], rough.label[real]
    area = _areas_of(rough)
    costs = np.full(rough.count, np.inf)
    for plane, shared in enumerate(_beside(rough.vertices, faces, label, rough.count)):
        for other in shared:
            if nested and rough.parent[other] != rough.parent[plane]:
                continue
            costs[plane] = min(costs[plane], _loss(_off(rough, plane, other), area, size, (plane, other)))
    order = np.argsort(costs, kind="stable")[:many]
    return np.asarray(order[np.isfinite(costs[order])], np.int64)


def _areas_of(rough: Rough) -> Floats:
    """(k,) the area of each plane."""
    real = rough.real
    return np.bincount(rough.label[real], areas(rough.vertices, rough.faces[real]), rough.count).astype(np.float64)


def _off(rough: Rough, plane: int, other: int) -> float:
    """How far the corners of a plane and of that to which it would be given stand from one plane."""
    corners = np.unique(rough.faces[(rough.label == plane) | (rough.label == other)])
    return flatness(whole(rough.vertices[corners], bool(rough.labelled.span[other])))


def _loss(off: float, area: Floats, size: Floats, both: tuple[int, int]) -> float:
    """What it costs to join two planes of some ``area`` (k,) that would lie ``off`` from one."""
    one, other = both
    return float((off**2 + FLAT**2) * min(area[one], area[other]) / min(size[one], size[other]) ** 6)


def _pull(off: float, borders: dict[int, float], other: int) -> float:
    """What speaks against giving a plane with such ``borders`` to another, off which it lies: a short one with it."""
    return off + 0.05 * (max(borders.values()) - borders[other])


def _beside(vertices: Floats, faces: Corners, label: Indices, count: int) -> list[dict[int, float]]:
    """Of each plane those beside it, with the length of the border."""
    at = {side: f for f, face in enumerate(faces.tolist()) for side in sides_of(face)}
    shared: list[dict[int, float]] = [{} for _ in range(count)]
    for (i, j), f in at.items():
        g = at.get((j, i))
        if g is not None and label[f] != label[g]:
            long = float(np.linalg.norm(vertices[i] - vertices[j]))
            mine = shared[int(label[f])]
            mine[int(label[g])] = mine.get(int(label[g]), 0.0) + long
    return [dict(sorted(one.items())) for one in shared]


def joined(rough: Rough, planes: Indices, nested: bool) -> Rough | None:
    """The solid with each of these planes given to the neighbour with which it lies flattest; ``None`` if none can be.

    When ``nested`` to one with the same parent; a plane with none beside it goes to any, if its parent keeps another.
    No two that were joined are joined again.
    """
    real = rough.real
    faces, label = rough.faces[real], rough.label[real]
    borders = _beside(rough.vertices, faces, label, rough.count)
    to = np.arange(rough.count)
    touched: set[int] = set()
    children = np.bincount(np.maximum(rough.parent, 0))
    for plane in planes.tolist():
        costs = {}
        family = [other for other in borders[plane] if rough.parent[other] == rough.parent[plane]]
        if nested and not family and children[rough.parent[plane]] > 1:
            family = list(borders[plane])
            children[rough.parent[plane]] -= 1
        for other in family if nested else borders[plane]:
            if plane in touched or other in touched:
                continue
            costs[other] = _pull(_off(rough, plane, other), borders[plane], other)
        if costs:
            to[plane] = min(costs, key=lambda other: costs[other])
            touched |= {plane, int(to[plane])}
    fewer = len(np.unique(to))
    return None if fewer == rough.count or fewer < FEWEST else _given(rough, to)


def _given(rough: Rough, to: Indices) -> Rough:
    """The solid with each plane (k,) given to another, or to itself."""
    kept = np.unique(to)
    place = np.searchsorted(kept, to)
    other = rough.label - rough.count + len(kept)
    label = np.where(rough.real, place[np.minimum(rough.label, rough.count - 1)], other)
    skin = rough.labelled
    labelled = Labelled(skin.skin, place[skin.label], skin.span[kept], skin.mirrored)
    return replace(rough, label=label, labelled=labelled, normals=rough.normals[kept], parent=rough.parent[kept])


def joined_to(rough: Rough, plane: int, other: int) -> tuple[Rough, int]:
    """The solid with one plane given to another, and what that plane is called then."""
    to = np.arange(rough.count)
    to[plane] = other
    return _given(rough, to), other - int(plane < other)


def pairs(rough: Rough, thin: Indices, size: Floats, nested: bool, fewer: bool) -> list[tuple[int, int]]:
    """Which planes may be given to which neighbour, the likeliest first: slivers, to where they lie flattest along the
    longest border; then, if there are to be ``fewer``, planes whose loss moves the form least. ``size`` (k,) as for
    :func:`unneeded`.

    When ``nested`` to one with the same parent; a sliver to any, if its parent keeps another, or any to a sliver.
    """
    real = rough.real
    faces, label = rough.faces[real], rough.label[real]
    area = _areas_of(rough)
    children = np.bincount(np.maximum(rough.parent, 0))
    narrow = set(thin.tolist())
    found = []
    for plane, shared in enumerate(_beside(rough.vertices, faces, label, rough.count)):
        for other in shared:
            family = not nested or rough.parent[plane] == rough.parent[other]
            if plane not in narrow and (not fewer or not family or area[plane] > area[other]):
                continue
            one, to = plane, other
            if not family and children[rough.parent[plane]] < 2:
                one, to = other, plane
                if children[rough.parent[other]] < 2:
                    continue
            off = _off(rough, one, to)
            if plane in narrow:
                found.append((0 if family else 1, _pull(off, shared, other), one, to))
            else:
                found.append((2, _loss(off, area, size, (one, to)), one, to))
    return [(plane, other) for *_, plane, other in sorted(found)]
