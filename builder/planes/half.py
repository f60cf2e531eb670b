"""Half a body: cut at its mirror plane x = 0, and put together again with its image."""

from __future__ import annotations

import numpy as np

from builder.arrays import Bools, Floats, Ints
from builder.model.triangles import Indices, Triangles, edges_among
from builder.planes.skin import Skin, sewn

SNAP = 0.25
"""A point nearer to the mirror than so many median sides is moved on to it, so that no sliver is cut off."""
_LIFT = 0.1
"""A side that lies in the mirror although the surface goes on is bent away from it, by so much of its length."""


def halved(skin: Skin) -> Skin | None:
    """The part of a closed skin with x >= 0, open just along x = 0; ``None`` where no such half can be had."""
    vertices = np.array(skin.vertices)
    ends = edges_among(skin.faces, len(vertices)).ends
    usual = float(np.median(np.linalg.norm(vertices[ends[:, 0]] - vertices[ends[:, 1]], axis=1)))
    vertices[np.abs(vertices[:, 0]) < SNAP * usual, 0] = 0.0
    half = sewn(_cut(vertices, skin.faces.astype(np.int64), ends))
    if len(half.faces) == 0:
        return None
    half = _bent(half)
    face, side = np.nonzero(half.beside < 0)
    rim = half.faces[face, side], half.faces[face, (side + 1) % 3]
    if len(face) == 0 or any((half.vertices[end, 0] != 0.0).any() for end in rim):
        return None
    return half


def _cut(vertices: Floats, faces: Indices, ends: Indices) -> Triangles:
    """The triangles with x >= 0; those that reach across are cut where their sides cross."""
    side = np.sign(vertices[:, 0]).astype(np.int64)
    crossing = ends[side[ends[:, 0]] * side[ends[:, 1]] < 0]
    one, other = vertices[crossing[:, 0]], vertices[crossing[:, 1]]
    share = (one[:, 0] / (one[:, 0] - other[:, 0]))[:, None]
    points = one + share * (other - one)
    points[:, 0] = 0.0
    count = len(vertices)
    cut_at = {(int(i), int(j)): count + k for k, (i, j) in enumerate(crossing)}
    signs = side[faces]
    whole = (signs >= 0).all(axis=1) & (signs > 0).any(axis=1)
    made: list[tuple[int, int, int]] = []
    for face, sign in zip(faces[~whole], signs[~whole], strict=True):
        if not ((sign > 0).any() and (sign < 0).any()):
            continue
        ring: list[int] = []
        for k in range(3):
            here, there = int(face[k]), int(face[(k + 1) % 3])
            if sign[k] >= 0:
                ring.append(here)
            if sign[k] * sign[(k + 1) % 3] < 0:
                ring.append(cut_at[min(here, there), max(here, there)])
        made += [(ring[0], ring[k], ring[k + 1]) for k in range(1, len(ring) - 1)]
    kept = np.concatenate([faces[whole], np.array(made, np.int64).reshape(-1, 3)])
    return Triangles(np.concatenate([vertices, points]), kept).chosen(np.ones(len(kept), np.bool_))


def _bent(half: Skin) -> Skin:
    """The half with no side between two faces lying in the mirror: its image would lie on it."""
    on = half.vertices[:, 0] == 0.0
    following = np.roll(half.faces, -1, axis=1)
    flat = on[half.faces] & on[following] & (half.beside >= 0)
    if not flat.any():
        return half
    vertices, faces, fresh = list(half.vertices), [], {}
    for face, marks in zip(half.faces.tolist(), flat, strict=True):
        if not marks.any():
            faces.append(face)
            continue
        k = int(np.flatnonzero(marks)[0])
        a, b, c = (face[(k + j) % 3] for j in range(3))
        key = (min(a, b), max(a, b))
        if key not in fresh:
            fresh[key] = len(vertices)
            middle = (half.vertices[a] + half.vertices[b]) / 2
            middle[0] = _LIFT * float(np.linalg.norm(half.vertices[a] - half.vertices[b]))
            vertices.append(middle)
        faces += [[a, fresh[key], c], [fresh[key], b, c]]
    return sewn(Triangles(np.array(vertices), np.array(faces)))


def doubled(
    vertices: Floats, faces: Ints, label: Indices, span: Bools, seam: Bools
) -> tuple[Floats, Ints, Indices, Indices]:
    """A half and its image as one: vertices, faces, labels, and of each label the half's label that it comes from.

    ``seam`` (n,) marks the points on the mirror, which both share. Labels that do not cross it come twice.
    """
    image = np.arange(len(vertices))
    image[~seam] = len(vertices) + np.arange(int((~seam).sum()))
    twice = np.concatenate([vertices, vertices[~seam] * (-1.0, 1.0, 1.0)])
    of_label = np.arange(len(span))
    of_label[~span] = len(span) + np.arange(int((~span).sum()))
    origin = np.concatenate([np.arange(len(span)), np.flatnonzero(~span)])
    whole = np.concatenate([faces, image[faces][:, ::-1]]).astype(np.int32)
    return twice, whole, np.concatenate([label, of_label[label]]), origin
