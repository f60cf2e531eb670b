"""The faces of a body divided among planes, at each level from the smallest planes to the biggest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.arrays import Bools, Floats
from builder.model.triangles import Indices
from builder.planes.cluster import gather
from builder.planes.energy import face_sums, gathered
from builder.planes.skin import Skin
from builder.planes.squint import squinted
from builder.planes.straighten import Labelled, straightened

SQUINT = 0.03
"""How far the form is blurred before it is divided, in sizes of a plane."""
SPARE = (1.25, 1.6, 2.2)
"""So many times the planes wanted have their borders straightened: slivers go, the rest is gathered to the number."""


@dataclass(frozen=True, slots=True, eq=False)
class Division:
    """One level: the labelled skin, and ``size`` (m,) that a plane has at each face, in the skin's unit."""

    labelled: Labelled
    size: Floats


def divided(skin: Skin, counts: tuple[int, ...], times: Floats, mirrored: bool) -> list[Division]:
    """The divisions of a skin of diagonal 1 into ``counts`` planes, which rise; each is part of the one before.

    ``times`` (m,): how much more each face counts where the smallest planes are chosen. Half a body when ``mirrored``,
    open along x = 0; planes are counted in the whole.
    """
    plain = np.ones(len(skin.faces))
    areas = face_sums(skin.vertices, skin.faces, plain)[:, 0]
    halves = 2.0 if mirrored else 1.0
    # planes of equal cost have areas as one over the root of their weight
    root = np.sqrt(times)
    finest = np.sqrt(halves * float((areas * root).sum()) / counts[-1] / root)
    smooth = squinted(skin, SQUINT * float(np.average(finest, weights=areas)), mirrored)
    weighted = face_sums(smooth, skin.faces, times)
    seam: Bools | None = np.asarray((skin.beside < 0).any(axis=1)) if mirrored else None
    for spare in SPARE:
        wanted = (int(np.ceil(spare * counts[-1])),)
        first = gather(weighted, links_of(skin), skin.bodies(), wanted, seam, np.zeros(len(plain), np.bool_))[0]
        straight = straightened(Labelled(skin, first.group, first.span, mirrored), weighted, finest)
        if straight.planes >= counts[-1]:
            break
    divisions = [Division(_gathered(straight, weighted, (counts[-1],))[0], finest)]
    unweighted = face_sums(smooth, skin.faces, plain)
    coarser = tuple(reversed(counts[:-1]))
    for count, labelled in zip(coarser, _gathered(divisions[0].labelled, unweighted, coarser), strict=True):
        size = np.full(len(plain), np.sqrt(halves * float(areas.sum()) / count))
        divisions.append(Division(labelled, size))
    return divisions[::-1]


def _gathered(labelled: Labelled, sums: Floats, counts: tuple[int, ...]) -> list[Labelled]:
    """The labels gathered further, to each of ``counts``, which fall."""
    skin, label, known = labelled.skin, labelled.label, len(labelled.span)
    links = np.unique(np.sort(label[links_of(skin)], axis=1), axis=0)
    links = links[links[:, 0] != links[:, 1]]
    body = np.zeros(known, np.int64)
    body[label] = skin.bodies()
    seam: Bools | None = None
    if labelled.mirrored:
        seam = np.zeros(known, np.bool_)
        seam[label[(skin.beside < 0).any(axis=1)]] = True
    found = gather(gathered(sums, label, known), links, body, counts, seam, labelled.span)
    return [Labelled(skin, each.group[label], each.span, labelled.mirrored) for each in found]


def links_of(skin: Skin) -> Indices:
    """(e, 2) faces that share an edge."""
    one, side = np.nonzero(skin.beside >= 0)
    other = skin.beside[one, side].astype(np.int64)
    once = one < other
    return np.stack([one[once], other[once]], axis=1)
