"""The best of several ways to carve a level: how many patches it begins from, and how far corners may move."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from builder.arrays import Floats
from builder.model.boxes import Boxes, boxed
from builder.model.spread import spread
from builder.model.triangles import Indices, Triangles
from builder.planes.aim import Aim
from builder.planes.carve import Block, Carved, carve
from builder.planes.energy import face_sums, gathered, second_moments
from builder.planes.skin import Skin
from builder.planes.straighten import Labelled

FARTHEST = (0.3, 0.8)
"""How far a corner may move, in sizes of a plane: near, the form is kept; far, fewer planes have to be cut."""
SLIVER = 0.02
"""A sliver is as bad as so many diagonals of distance."""
SHAPE = 0.02
"""And planes of no width at all as bad as so many diagonals, a square as nothing."""
AGAINST = 0.1
"""And the whole surface turned inside out as bad as this."""
HOPELESS = 1.5
"""Of so many times the planes wanted no level is made."""
WORK = 14_000
"""So much is done for one level, in faces that are seated: it is bounded by its amount, not by the clock, so that a
model always gives the same planes.
"""
MOST_WORK = 6_000
"""And so much from one beginning."""
_SAMPLES = 3000
_TRIES = 4
OTHERS = (1.1, 0.9, 1.2, 1.0)
"""Where the number is right, it is begun from so many times as many, to find planes of better shape."""


def carved_well(patches: Callable[[int], tuple[Labelled, Indices]], block: Block, aim: Aim) -> Carved | None:
    """The level of as many planes as are the ``aim``, with the least amiss; ``None`` where none lies flat.

    ``patches`` gives the skin gathered to a number of planes, and the bigger plane of each; cutting makes them more,
    joining makes them fewer, so that more than one number is tried, as long as there is work left.
    """
    found: list[tuple[float, Carved]] = []
    count, left, wanted = aim.wanted, WORK, aim.wanted
    tried: set[int] = set()
    for attempt in range(_TRIES):
        if count in tried:
            count += 1
        tried.add(count)
        labelled, parent = patches(count)
        for farthest in FARTHEST:
            carved = carve(labelled, block, farthest, parent, aim, MOST_WORK)
            left -= MOST_WORK if carved is None else carved.work
            if carved is not None:
                found.append((_score(carved, amiss(carved, labelled.skin, block.sheet), aim), carved))
        if left <= 0:
            break
        made = min(found, key=lambda one: one[0])[1].labelled.planes if found else 2 * wanted
        if aim.misfit(made) == 0:
            count = round(wanted * OTHERS[attempt])
        elif made < wanted:
            count += wanted - made
        else:
            count = max(count - -(-(made - wanted) // 2), count // 2, 1)
    if not found:
        return None
    best = min(found, key=lambda one: one[0])[1]
    return best if best.labelled.planes <= HOPELESS * wanted else None


def _score(carved: Carved, wrong: float, aim: Aim) -> float:
    """What is amiss, and slivers; more where the number is missed: a twentieth of it counts as half as much again."""
    return (wrong + SLIVER * carved.slivers) * (1 + 10 * aim.misfit(carved.labelled.planes) / aim.wanted)


def amiss(carved: Carved, form: Skin, sheet: Boxes) -> float:
    """How far the form lies from the solid and the solid from the form, root mean square of each, in diagonals; and
    a part of the share of the solid that looks against the form next to it: spikes, and what is folded over; and how
    long and narrow planes are.

    ``sheet`` is the form in boxes.
    """
    points = spread(form.vertices, form.faces, _SAMPLES)
    solid = boxed(carved.vertices, carved.faces.astype(np.int32))
    there = solid.nearest(points)[2]
    back, looks = spread(carved.vertices, carved.faces, _SAMPLES), Triangles(carved.vertices, carved.faces).crosses()
    _, own, _ = solid.nearest(back)
    _, face, here = sheet.nearest(back)
    against = np.einsum("ij,ij->i", looks[own], Triangles(form.vertices, form.faces).crosses()[face]) < 0.0
    area, long = _longness(carved)
    shape = SHAPE * float(np.average(long, weights=area))
    return shape + float(np.sqrt((there**2).mean()) + np.sqrt((here**2).mean()) + AGAINST * against.mean())


def _longness(carved: Carved) -> tuple[Floats, Floats]:
    """(k,) the area of each plane, and how long it is: 1 less its breadth over its length, of its area's moments."""
    count = len(carved.labelled.span)
    sums = gathered(face_sums(carved.vertices, carved.faces, np.ones(len(carved.faces))), carved.label, count)
    axes = np.linalg.eigvalsh(second_moments(sums))
    return sums[:, 0], 1.0 - np.sqrt(np.maximum(axes[:, 1], 0.0) / np.maximum(axes[:, 2], 1e-300))
