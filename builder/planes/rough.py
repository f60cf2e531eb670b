"""A solid of planes at work: thinned out, seated, bent planes cut in two, slivers given away."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from builder.arrays import Bools, Floats
from builder.model.boxes import Boxes, boxed
from builder.model.triangles import Corners, Indices
from builder.planes.anchors import anchors
from builder.planes.cluster import FEWEST
from builder.planes.collapse import collapsed
from builder.planes.cut import Bent, Face, best_cut, flatness, sides_of
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
_TRIES = 5
_COVERED = 0.2


@dataclass(frozen=True, slots=True, eq=False)
class Bench:
    """What stays while one solid is carved. Of each point: ``size`` of a plane there, ``fine`` the same or the width of
    the flat side it is on, ``seam`` whether it lies on the mirror, ``room`` the least and greatest coordinates; how
    far it may move, ``farthest``, in sizes of a plane. ``skin`` is in boxes, ``ground`` its lowest z.
    """

    size: Floats
    fine: Floats
    seam: Bools
    room: tuple[Floats, Floats]
    farthest: float
    ground: float
    skin: Boxes


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


def thinned(rough: Rough, bench: Bench, fine_face: Floats) -> Rough:
    """The solid with no corner that straight borders do without; ``fine_face`` (m,) the size of a plane at each face.

    Corners start anew from where they are.
    """
    keep = anchors(rough.vertices, rough.faces, rough.label, TOLERANCE * fine_face)
    short, span = SHORT * bench.fine, rough.labelled.span
    faces, label = collapsed(rough.vertices, rough.faces, rough.label, rough.normals, keep, short, span, rough.count)
    return replace(rough, start=rough.vertices, faces=faces, label=label)


def fine_faces(rough: Rough, bench: Bench) -> Floats:
    """(m,) the size of a plane at each face, that of its finest corner; what closes openings may be of any."""
    fine = np.full(len(rough.faces), np.inf)
    fine[rough.real] = bench.fine[rough.faces[rough.real]].min(axis=1)
    return fine


def settled(rough: Rough, bench: Bench) -> Rough:
    """The corners seated on their planes, from where they started."""
    real, labelled = rough.real, rough.labelled
    faces, label = rough.faces[real], rough.label[real]
    start = np.array(rough.start)
    fixed = np.zeros(start.shape, np.bool_)
    fixed[:, 0] = bench.seam
    standing = np.unique(faces[foot(labelled, bench.ground)[label]])
    standing = standing[start[standing, 2] <= bench.ground + LIFTED]
    if len(standing) == 0:  # a body that stands on points
        corners = np.unique(faces)
        standing = corners[[np.argmin(start[corners, 2])]]
    start[standing, 2], fixed[standing, 2] = bench.ground, True
    sums = surface_under(labelled)
    own = gathered(face_sums(start, faces, np.ones(len(faces))), label, rough.count)
    bare = sums[:, 0] <= _COVERED * own[:, 0]
    sums[bare] = own[bare]
    patches = patches_of(sums, labelled.span)
    seats = Seats(patches, patches.firmness(sums[:, 0]), fixed, bench.room)
    moved, laid, normals = _unfolded_seats(start, faces, label, seats, bench.seam, bench.farthest * bench.size)
    whole = rough.faces.copy()
    whole[real] = laid
    return replace(rough, vertices=moved, start=start, faces=whole, normals=normals)


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


def bent(rough: Rough) -> Indices:
    """The planes that do not lie flat, or are folded over."""
    real = rough.real
    faces, label = rough.faces[real], rough.label[real]
    off = _off(rough.vertices, faces, label, rough.labelled.span)
    area = np.bincount(label, _areas(rough.vertices, faces), rough.count)
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
        off[k] = flatness(_whole(vertices[corners], bool(span[k])))
    return off


def _whole(points: Floats, span: bool) -> Floats:
    """The points, with their images where they are of a plane that crosses the mirror."""
    return np.concatenate([points, points * (-1.0, 1.0, 1.0)]) if span else points


def _areas(vertices: Floats, faces: Corners) -> Floats:
    """(m,) the area of each face."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    areas: Floats = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2
    return areas


def divided_at(rough: Rough, bench: Bench, planes: Indices) -> Rough:
    """The solid with each of these planes cut in two, or parted at the mirror that it crosses."""
    faces, label, span = rough.faces.copy(), rough.label.copy(), rough.labelled.span.copy()
    skin_label = rough.labelled.label.copy()
    skin = rough.labelled.skin
    middles = skin.vertices[skin.faces].mean(axis=1)
    parent, count = rough.parent, rough.count
    lines = {side for face in faces.tolist() for side in sides_of(face)}
    label[~rough.real] += len(planes)  # those that are not used up are taken off again
    made = 0
    for plane in planes.tolist():
        mine = np.flatnonzero(label == plane)
        rows: tuple[Face, ...] = tuple((a, b, c) for a, b, c in faces[mine].tolist())
        corners = np.unique(faces[mine])
        if span[plane] and (len(rows) == 1 or flatness(rough.vertices[corners]) <= FLAT):
            span[plane] = False
            continue
        if len(rows) == 1:
            continue

        size = float(bench.size[corners].min())
        cut = best_cut(Bent(rough.vertices, rows, rough.normals[plane], size, frozenset(lines), bench.seam, bench.skin))
        fresh = count + made
        made += 1
        faces[mine] = np.array(cut.one + cut.other)
        label[mine[len(cut.one) :]] = fresh
        lines |= {side for face in cut.one + cut.other for side in sides_of(face)}
        _shared_out(skin_label, middles, rough.vertices, (plane, cut.one), (fresh, cut.other))
        crosses = [bool(span[plane]) and _crossing(rough.vertices, part, bench.seam) for part in (cut.one, cut.other)]
        span[plane] = crosses[0]
        span = np.append(span, crosses[1])
        parent = np.append(parent, parent[plane])
    label[label >= count + len(planes)] -= len(planes) - made
    normals = np.concatenate([rough.normals, np.tile((0.0, 0.0, 1.0), (made, 1))])
    labelled = Labelled(skin, skin_label, span, rough.labelled.mirrored)
    return replace(rough, faces=faces, label=label, labelled=labelled, normals=normals, parent=parent)


def _shared_out(skin_label: Indices, middles: Floats, vertices: Floats, *parts: tuple[int, tuple[Face, ...]]) -> None:
    """Give each face of the skin under a plane to the nearer of its parts, and each part one at least."""
    under = np.flatnonzero(skin_label == parts[0][0])
    if len(under):
        owner = np.repeat([label for label, _ in parts], [len(part) for _, part in parts])
        both = np.array([face for _, part in parts for face in part])
        skin_label[under] = owner[boxed(vertices, both).nearest(middles[under])[1]]
    for label, part in parts:
        if not (skin_label == label).any():
            near = np.linalg.norm(middles - vertices[np.array(part)].mean(axis=(0, 1)), axis=1)
            near[np.bincount(skin_label)[skin_label] < 2] = np.inf
            skin_label[int(np.argmin(near))] = label


def _crossing(vertices: Floats, part: tuple[Face, ...], seam: Bools) -> bool:
    """Whether a part of a plane that crosses the mirror may be one plane with its image: it has a side there."""
    sides = {side for face in part for side in sides_of(face)}
    rim = any(seam[i] and seam[j] and (j, i) not in sides for i, j in sides)
    corners = np.unique(np.array(part))
    return rim and (len(part) > 1 or flatness(_whole(vertices[corners], True)) <= FLAT)


def spanning(rough: Rough, bench: Bench, crosses: Bools | None) -> Rough:
    """The solid with planes that lie in one with their image as one across the mirror, where the bigger ones are."""
    real, span = rough.real, rough.labelled.span.copy()
    faces, label = rough.faces[real], rough.label[real]
    for plane in np.unique(label[bench.seam[faces].sum(axis=1) >= 2]).tolist():
        if span[plane] or not (crosses is None or crosses[rough.parent[plane]]):
            continue
        part = tuple((a, b, c) for a, b, c in faces[label == plane].tolist())
        flat = flatness(_whole(rough.vertices[np.unique(faces[label == plane])], True)) <= FLAT
        span[plane] = flat and _crossing(rough.vertices, part, bench.seam)
    return replace(rough, labelled=replace(rough.labelled, span=span))


def slivers(rough: Rough, bench: Bench) -> Indices:
    """The planes too narrow or too small to be drawn, the least first."""
    real = rough.real
    faces, label, span = rough.faces[real], rough.label[real], rough.labelled.span
    area, outline = outlines(rough.vertices, faces, label, rough.count, bench.seam if span.any() else None, span)
    size = np.full(rough.count, np.inf)
    np.minimum.at(size, label, bench.size[faces].min(axis=1))
    narrow = 2 * area < THIN * size * outline
    found = np.flatnonzero(narrow | (area * np.where(span, 2.0, 1.0) < LITTLE * size**2))
    return found[np.argsort(area[found], kind="stable")]


def unneeded(rough: Rough, many: int, nested: bool) -> Indices:
    """The ``many`` planes whose loss moves the form least: small ones that lie nearly in line with a neighbour."""
    real = rough.real
    faces, label, span = rough.faces[real], rough.label[real], rough.labelled.span
    area = np.bincount(label, _areas(rough.vertices, faces), rough.count)
    costs = np.full(rough.count, np.inf)
    for plane, shared in enumerate(_beside(rough.vertices, faces, label, rough.count)):
        for other in shared:
            if nested and rough.parent[other] != rough.parent[plane]:
                continue
            corners = np.unique(faces[(label == plane) | (label == other)])
            off = flatness(_whole(rough.vertices[corners], bool(span[other])))
            costs[plane] = min(costs[plane], (off**2 + FLAT**2) * min(area[plane], area[other]))
    order = np.argsort(costs, kind="stable")[:many]
    return np.asarray(order[np.isfinite(costs[order])], np.int64)


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
    real, span = rough.real, rough.labelled.span
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
            long = borders[plane][other]
            corners = np.unique(faces[(label == plane) | (label == other)])
            off = flatness(_whole(rough.vertices[corners], bool(span[other])))
            costs[other] = off + 0.05 * (max(borders[plane].values()) - long)
        if costs:
            to[plane] = min(costs, key=lambda other: costs[other])
            touched |= {plane, int(to[plane])}
    kept = np.unique(to)
    if len(kept) == rough.count or len(kept) < FEWEST:
        return None
    place = np.searchsorted(kept, to)
    whole = np.where(real, place[np.minimum(rough.label, rough.count - 1)], rough.label - rough.count + len(kept))
    labelled = Labelled(rough.labelled.skin, place[rough.labelled.label], span[kept], rough.labelled.mirrored)
    return replace(rough, label=whole, labelled=labelled, normals=rough.normals[kept], parent=rough.parent[kept])
