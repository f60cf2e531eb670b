"""A flat solid with too many planes, or with slivers, mended one plane at a time: only what lies near it moves."""

from __future__ import annotations

import numpy as np

from builder.planes.aim import Aim
from builder.planes.cluster import FEWEST
from builder.planes.join import joined_to, pairs
from builder.planes.parted import divided_at, spanning
from builder.planes.rough import Bench, Rough, around, bent, effort, fine_faces, plane_sizes, settled, slivers, thinned


def mended(rough: Rough, bench: Bench, aim: Aim, most: int) -> tuple[Rough, int]:
    """The flat solid with fewer slivers and planes too many, and the work it took; no more than ``most`` is begun.

    A plane is given to a neighbour and what lies round it seated anew; where this does not come out flat, it is cut in
    two as elsewhere. What does not make the solid better is undone, and the next is tried.
    """
    amiss, work = faults(rough, bench, aim), 0
    failed: set[tuple[int, ...]] = set()
    while amiss > 0:
        better = None
        fewer = aim.over(rough.labelled.planes) > 0
        for plane, other in pairs(rough, slivers(rough, bench), plane_sizes(rough, bench), aim.nested, fewer):
            if rough.count <= FEWEST or work >= most:
                break
            both = (rough.label == plane) | (rough.label == other)
            name = tuple(np.unique(rough.faces[both]).tolist())
            if name in failed:
                continue
            better, spent = _without(rough, bench, aim, (plane, other), amiss)
            work += spent
            if better is not None and faults(better, bench, aim) < amiss:
                break
            better = None
            failed.add(name)
        if better is None:
            break
        rough, amiss = better, faults(better, bench, aim)
    return rough, work


def faults(rough: Rough, bench: Bench, aim: Aim) -> int:
    """How many slivers there are, and planes too many or too few."""
    return len(slivers(rough, bench)) + aim.misfit(rough.labelled.planes)


def _without(rough: Rough, bench: Bench, aim: Aim, pair: tuple[int, int], amiss: int) -> tuple[Rough | None, int]:
    """The flat solid with one plane given to another, and the work; ``None`` if there is as much ``amiss`` then."""
    one, at = joined_to(rough, *pair)
    free = around(one, at)
    one = settled(thinned(one, bench, fine_faces(one, bench), free), bench, free)
    work = effort(one, free)
    while True:
        wrong = bent(one, free)
        if len(wrong) == 0:
            return spanning(one, bench, aim.crosses) if one.labelled.mirrored else one, work
        if aim.over(one.labelled.planes + len(wrong)) >= amiss:
            return None, work
        one = settled(divided_at(one, bench, wrong), bench, free)
        work += effort(one, free)
