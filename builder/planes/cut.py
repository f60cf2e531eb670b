"""A plane that its corners do not let lie flat, cut in two along a straight line from corner to corner."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from builder.arrays import Bools, Floats
from builder.model.boxes import Boxes

Face = tuple[int, int, int]
NARROW = 0.08
"""A cut that leaves a part narrower than this, in sizes of a plane (twice its area over its perimeter), is avoided."""


@dataclass(frozen=True, slots=True)
class Cut:
    """The faces of a plane with the line drawn among them: ``one`` and ``other`` are the parts on either side."""

    one: tuple[Face, ...]
    other: tuple[Face, ...]
    line: tuple[int, int] | None


@dataclass(frozen=True, slots=True, eq=False)
class Bent:
    """A plane that is not flat: its faces, its normal, the size of a plane there; the ``lines`` that exist among all
    corners, which corners lie on the ``seam``, and the ``form`` in boxes.
    """

    points: Floats
    faces: tuple[Face, ...]
    normal: Floats
    size: float
    lines: frozenset[tuple[int, int]]
    seam: Bools
    form: Boxes

    def free(self, i: int, j: int) -> bool:
        """Whether a line may be drawn between two corners: with its image one in the mirror would lie there twice."""
        return (i, j) not in self.lines and (j, i) not in self.lines and not (self.seam[i] and self.seam[j])

    def away(self, point: Floats) -> float:
        """How far a point is from the form."""
        return float(self.form.nearest(point[None])[2][0])


def best_cut(bent: Bent) -> Cut:
    """The cut whose two parts lie flattest, along a line near to the form, neither part a sliver."""
    cuts = list(_cuts(bent))
    if not cuts:
        cuts = [_grown(bent)]
    return min(cuts, key=lambda cut: _cost(bent, cut))


def flatness(points: Floats) -> float:
    """How far the farthest of some points stands from the plane that is nearest to them all."""
    if len(points) <= 3:
        return 0.0
    off = points - points.mean(axis=0)
    axis = np.linalg.eigh(off.T @ off)[1][:, 0]
    return float(np.abs(off @ axis).max())


def width(points: Floats, faces: tuple[Face, ...]) -> float:
    """Twice the area of some faces over their common outline."""
    area, sides = 0.0, {}
    for face in faces:
        a, b, c = points[list(face)]
        area += float(np.linalg.norm(np.cross(b - a, c - a))) / 2
        for i, j in sides_of(face):
            sides[i, j] = float(np.linalg.norm(points[i] - points[j]))
    outline = sum(long for (i, j), long in sides.items() if (j, i) not in sides)
    return 2 * area / max(outline, 1e-300)


def sides_of(face: Sequence[int]) -> tuple[tuple[int, int], ...]:
    """The sides of a face."""
    return (face[0], face[1]), (face[1], face[2]), (face[2], face[0])


def _cost(bent: Bent, cut: Cut) -> float:
    """How far the parts are from flat, the line from the form, and a part from wide enough, in the body's unit."""
    parts = [np.unique(np.array(part)) for part in (cut.one, cut.other)]
    cost = max(flatness(bent.points[part]) for part in parts)
    if cut.line is not None:
        cost += 0.5 * bent.away(bent.points[list(cut.line)].mean(axis=0))
    least = min(width(bent.points, part) for part in (cut.one, cut.other))
    return cost + max(0.0, NARROW * bent.size - least)


def _cuts(bent: Bent) -> Iterator[Cut]:
    """Every cut along a side between two faces, and along the other diagonal of the two."""
    at = {side: face for face in bent.faces for side in sides_of(face)}
    for (i, j), face in at.items():
        if i > j or (j, i) not in at:
            continue
        cut = _parted(bent.faces, (i, j))
        if cut is not None:
            yield cut
        beside = at[j, i]
        k, m = _third(face, i, j), _third(beside, i, j)
        if k == m or not bent.free(k, m):
            continue
        turned: tuple[Face, Face] = ((k, m, j), (m, k, i))
        if all(_up(bent, one) for one in turned):
            rest = tuple(one for one in bent.faces if one not in (face, beside))
            cut = _parted((*rest, *turned), (k, m))
            if cut is not None:
                yield cut


def _third(face: Face, i: int, j: int) -> int:
    """The corner of a face beside two others."""
    return next(corner for corner in face if corner not in (i, j))


def _up(bent: Bent, face: Face) -> bool:
    """Whether a face looks the way the plane does, and has an area."""
    a, b, c = bent.points[list(face)]
    return float(np.cross(b - a, c - a) @ bent.normal) > 1e-9 * bent.size**2


def _parted(faces: tuple[Face, ...], line: tuple[int, int]) -> Cut | None:
    """The faces on either side of a line between two of them, if it parts them."""
    at = {side: face for face in faces for side in sides_of(face)}
    start = at[line] if line in at else at[line[1], line[0]]
    found, waiting = {start}, [start]
    while waiting:
        for i, j in sides_of(waiting.pop()):
            beside = at.get((j, i))
            if beside is not None and {i, j} != set(line) and beside not in found:
                found.add(beside)
                waiting.append(beside)
    if len(found) == len(faces):
        return None
    return Cut(tuple(f for f in faces if f in found), tuple(f for f in faces if f not in found), line)


def _grown(bent: Bent) -> Cut:
    """Where no single line parts a plane (it runs round a hole): the two flattest parts that its faces join to."""
    parts: list[tuple[Face, ...]] = [(face,) for face in bent.faces]
    while len(parts) > 2:
        best, least = (0, 1), np.inf
        for i in range(len(parts)):
            mine = {side for face in parts[i] for side in sides_of(face)}
            for j in range(i + 1, len(parts)):
                if not any((b, a) in mine for face in parts[j] for a, b in sides_of(face)):
                    continue
                cost = flatness(bent.points[np.unique(np.array(parts[i] + parts[j]))])
                if cost < least:
                    best, least = (i, j), cost
        i, j = best
        parts = [*(part for k, part in enumerate(parts) if k not in best), parts[i] + parts[j]]
    return Cut(parts[0], parts[1], None)
