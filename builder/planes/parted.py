"""Planes of a solid parted in two, or at the mirror; and those that lie in one with their image made one with it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from builder.arrays import Bools, Floats
from builder.model.boxes import boxed
from builder.model.triangles import Indices
from builder.planes.cut import Bent, Face, best_cut, flatness, sides_of
from builder.planes.rough import FLAT, Bench, Rough, whole
from builder.planes.straighten import Labelled


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
    return rim and (len(part) > 1 or flatness(whole(vertices[corners], True)) <= FLAT)


def spanning(rough: Rough, bench: Bench, crosses: Bools | None) -> Rough:
    """The solid with planes that lie in one with their image as one across the mirror, where the bigger ones are."""
    real, span = rough.real, rough.labelled.span.copy()
    faces, label = rough.faces[real], rough.label[real]
    for plane in np.unique(label[bench.seam[faces].sum(axis=1) >= 2]).tolist():
        if span[plane] or not (crosses is None or crosses[rough.parent[plane]]):
            continue
        part = tuple((a, b, c) for a, b, c in faces[label == plane].tolist())
        flat = flatness(whole(rough.vertices[np.unique(faces[label == plane])], True)) <= FLAT
        span[plane] = flat and _crossing(rough.vertices, part, bench.seam)
    return replace(rough, labelled=replace(rough.labelled, span=span))
