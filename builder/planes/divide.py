"""The faces of a body divided among planes, at each level from the smallest planes to the biggest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.arrays import Bools, Floats
from builder.model.triangles import Indices
from builder.planes.cluster import gather
from builder.planes.energy import face_sums, gathered
from builder.planes.nest import Nest
from builder.planes.skin import Skin
from builder.planes.squint import squinted
from builder.planes.straighten import Labelled, straightened

SQUINT = 0.03
"""How far the form is blurred before it is divided, in sizes of a plane."""
ZONED = (0.0, 1.0, 1.0)
"""The power of the zone's weight at each level: the biggest planes are those of the whole form, the face gets its share
of the smaller ones.
"""
SPARE = (1.25, 1.6, 2.2)
"""So many times the planes wanted have their borders straightened: slivers go, the rest is gathered to the number."""


@dataclass(frozen=True, slots=True, eq=False)
class Division:
    """A skin divided finer than the smallest planes asked for: what every level is gathered from.

    For each level from the biggest planes on: ``sizes`` (m,) that a plane has at each face, in the skin's unit, and
    ``sums`` (m, 13) of the faces, weighted as that level is chosen.
    """

    labelled: Labelled
    sizes: tuple[Floats, ...]
    sums: tuple[Floats, ...]


def divided(skin: Skin, counts: tuple[int, ...], times: Floats, mirrored: bool) -> Division:
    """The division of a skin of diagonal 1 for levels of ``counts`` planes, which rise.

    ``times`` (m,): how much more each face counts in the zone at the smallest level. Half a body when ``mirrored``,
    open along x = 0; planes are counted in the whole.
    """
    plain = np.ones(len(skin.faces))
    areas = face_sums(skin.vertices, skin.faces, plain)[:, 0]
    halves = 2.0 if mirrored else 1.0
    weights = [times**share for share in ZONED]
    # planes of equal cost have areas as one over the root of their weight
    sizes = [
        np.sqrt(halves * float((areas * np.sqrt(weight)).sum()) / count / np.sqrt(weight))
        for weight, count in zip(weights, counts, strict=True)
    ]
    finest = sizes[-1]
    smooth = squinted(skin, SQUINT * float(np.average(finest, weights=areas)), mirrored)
    weighted = face_sums(smooth, skin.faces, times)
    seam: Bools | None = np.asarray((skin.beside < 0).any(axis=1)) if mirrored else None
    for spare in SPARE:
        wanted = (int(np.ceil(spare * counts[-1])),)
        first = gather(weighted, links_of(skin), skin.bodies(), wanted, seam, np.zeros(len(plain), np.bool_))[0]
        straight = straightened(Labelled(skin, first.group, first.span, mirrored), weighted, finest)
        if straight.planes >= counts[-1]:
            break
    sums = tuple(face_sums(smooth, skin.faces, weight) for weight in weights)
    return Division(straight, tuple(sizes), sums)


def gathered_within(labelled: Labelled, sums: Floats, count: int, nest: Nest) -> tuple[Labelled, Indices]:
    """The labels gathered to ``count`` planes, none across two bigger ones, and the bigger plane of each.

    sums (m, 13) of the faces.
    """
    skin, label, known = labelled.skin, labelled.label, len(labelled.span)
    links = np.unique(np.sort(label[links_of(skin)], axis=1), axis=0)
    links = links[(links[:, 0] != links[:, 1]) & (nest.parent[links[:, 0]] == nest.parent[links[:, 1]])]
    body = np.zeros(known, np.int64)
    body[label] = skin.bodies()
    seam: Bools | None = None
    if labelled.mirrored:
        seam = np.zeros(known, np.bool_)
        seam[label[(skin.beside < 0).any(axis=1)]] = True
        seam &= nest.crosses
    span = labelled.span & nest.crosses
    found = gather(gathered(sums, label, known), links, body, (count,), seam, span)[0]
    parent = np.zeros(len(found.span), np.int64)
    parent[found.group] = nest.parent
    return Labelled(skin, found.group[label], found.span, labelled.mirrored), parent


def links_of(skin: Skin) -> Indices:
    """(e, 2) faces that share an edge."""
    one, side = np.nonzero(skin.beside >= 0)
    other = skin.beside[one, side].astype(np.int64)
    once = one < other
    return np.stack([one[once], other[once]], axis=1)
