"""Which way up a mesh is likely to stand, and which way it looks: guesses with their reasons."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product

import fast_simplification
import numpy as np

from builder.arrays import Floats
from builder.model.axes import axis_vector
from builder.model.mirrored import TRIED, Mirrored
from builder.model.triangles import Triangles, edges_of
from builder.study.description import Axis

AXES: tuple[Axis, ...] = ("+x", "-x", "+y", "-y", "+z", "-z")
GUESSES = 3
ENOUGH = 30_000
"""Faces that are enough to guess by."""
FOOT, ALONG, ROUND = 0.04, 0.97, 0.05
"""Lowest share of the height whose faces may be the base, the least cosine at which they face down,
and the share of the floor that so faces down under a ball."""
NEAR_FOOT, UPRIGHT = 0.25, float(np.cos(np.radians(6.0)))
"""Lowest share of the height in which the base of a leaning body is looked for, and how far it may lean. Our choice."""
HALF_QUARTER, LEANS = float(np.cos(np.radians(46.0))), float(np.sin(np.radians(35.0)))
"""Least cosine between the normal of a mirror plane and the axis across, and the most it may lean."""
MUCH_BETTER, LEAST_TURN_DEG = 0.5, 3.0
"""Share of another plane's miss that is much better, and the least turn worth telling. Our choice."""
STEPS = 8
"""Steps that a mirror plane is brought nearer by."""
ALIKE = 0.02
"""Mirror distance, in sizes, at which symmetry counts half."""
WEIGHTS = (3.0, 2.0, 1.0, 1.5, 0.5)
"""Of symmetry, base, standing, detail and a file's custom. Our choice, tried on six open scans and three solids."""


@dataclass(frozen=True, slots=True)
class Facing:
    """A guess at ``up`` and ``front``, the file's axes, and ``turn_deg``, the bearing of the true front where the
    mirror plane stands between the axes; ``confidence`` 0 to 1 among all guesses; ``reasons`` in words;
    ``mirror_share`` how far the left half misses the right one, rms, in sizes of the mesh.
    """

    up: Axis
    front: Axis
    turn_deg: float
    confidence: float
    mirror_share: float
    reasons: tuple[str, ...]


def facings(triangles: Triangles) -> tuple[Facing, ...]:
    """The :data:`GUESSES` likeliest ways that a mesh, in its file's axes, stands and looks; best first.

    Weighed are the mirror plane from left to right, a flat or open base below, whether the middle of the matter lies
    over that base, the side with more detail (area times bend of the edges there), and z or y up as programs write it.
    """
    triangles = _lighter(triangles)
    mirrors = _mirrors(triangles)
    bases = {axis: _base(triangles, axis) for axis in AXES}
    detail = _detail(triangles)
    scored = []
    for up, front in product(AXES, AXES):
        if up[1] == front[1]:
            continue
        miss, turn_deg, ahead = _between(mirrors, up, front)
        base, stands = bases[up]
        lean = float(detail @ ahead)
        custom = {("+z", "-y"): 1.0, ("+y", "+z"): 1.0}.get((up, front), 0.5 if up in ("+z", "+y") else 0.0)
        parts = (1 / (1 + (miss / ALIKE) ** 2), base, stands, np.tanh(4 * lean), custom)
        score = float(np.dot(WEIGHTS, parts))
        reasons = _reasons(miss, turn_deg, base, stands, lean, up, custom)
        scored.append((score, Facing(up, front, turn_deg, 0.0, miss, reasons)))
    scored.sort(key=lambda one: (-one[0], AXES.index(one[1].up), AXES.index(one[1].front)))
    weight = np.exp(2 * (np.array([score for score, _ in scored]) - scored[0][0]))
    chances = weight / weight.sum()
    return tuple(
        replace(guess, confidence=float(chance))
        for (_, guess), chance in zip(scored[:GUESSES], chances[:GUESSES], strict=True)
    )


def _lighter(triangles: Triangles) -> Triangles:
    """The mesh with no more faces than guessing needs."""
    if len(triangles.faces) <= ENOUGH:
        return triangles
    vertices, faces = fast_simplification.simplify(
        np.array(triangles.vertices), np.array(triangles.faces, np.int32), target_count=ENOUGH
    )[:2]
    return Triangles(vertices, faces)


def _mirrors(triangles: Triangles) -> tuple[tuple[Floats, float], ...]:
    """Planes square to x, y and z, then those that lead from there and from the diagonals to the least miss: each its
    unit normal and how far the mesh misses its mirror image, rms in sizes.
    """
    size = triangles.size
    surface = Mirrored(triangles.vertices[triangles.faces], size)
    axes = [np.eye(3)[k] for k in range(3)]
    diagonals = [(axes[i] + sign * axes[j]) / np.sqrt(2.0) for i, j in ((0, 1), (0, 2), (1, 2)) for sign in (1, -1)]
    planes = [(float(x), float(y), float(z), 0.0) for x, y, z in (*axes, *diagonals)]
    tried = [*planes[:3], *(surface.refined(plane, TRIED, STEPS) for plane in planes)]
    return tuple((np.array(plane[:3]), surface.miss(plane, TRIED)[0] / size) for plane in tried)


def _between(mirrors: tuple[tuple[Floats, float], ...], up: Axis, front: Axis) -> tuple[float, float, Floats]:
    """Of the plane that parts left from right: its miss, the bearing of the front in it and (3,) its direction.

    The plane square to the axis across, brought nearer, unless another upright one within half a quarter turn misses
    by much less: a ball or a box has many, and the axes tell which is meant.
    """
    rise, ahead = axis_vector(up), axis_vector(front)
    left = np.cross(rise, ahead)
    across = "xyz".index(({*"xyz"} - {up[1], front[1]}).pop())
    square = mirrors[across]
    fit = [one for one in mirrors[3:] if abs(one[0] @ left) >= HALF_QUARTER and abs(one[0] @ rise) <= LEANS]
    own = mirrors[3 + across]
    best = own if any(one is own for one in fit) and own[1] < square[1] else square
    least = min(fit, key=lambda one: one[1], default=best)
    if least[1] < MUCH_BETTER * best[1]:
        best = least
    if best[1] > ALIKE or best[1] >= MUCH_BETTER * square[1]:
        return best[1], 0.0, ahead
    normal = best[0] * np.sign(best[0] @ left)
    turn_deg = float(np.round(np.degrees(np.arctan2(-(normal @ ahead), normal @ left))))
    if abs(turn_deg) < LEAST_TURN_DEG:
        return best[1], 0.0, ahead
    turn = np.radians(turn_deg)
    turned: Floats = np.cos(turn) * ahead + np.sin(turn) * left
    return best[1], turn_deg, turned


def _base(triangles: Triangles, up: Axis) -> tuple[float, float]:
    """How much of the box's floor a flat or open base covers, 0 to 1, and whether the middle stands over it.

    Looked for square to the axis and, as a scan may lean, square to the way that its lowest parts face.
    """
    axis = axis_vector(up)
    height = triangles.vertices @ axis
    crosses = triangles.crosses()
    low = height[triangles.faces].max(axis=1) <= float(height.min()) + NEAR_FOOT * float(np.ptp(height))
    down = crosses[low & (-(crosses @ axis) >= ALONG * np.linalg.norm(crosses, axis=1))].sum(axis=0)
    leant = down @ -axis >= UPRIGHT * np.linalg.norm(down) > 0
    ways = (axis, -down / np.linalg.norm(down)) if leant else (axis,)
    return max(_base_along(triangles, up, way) for way in ways)


def _base_along(triangles: Triangles, up: Axis, axis: Floats) -> tuple[float, float]:
    """:func:`_base` square to one direction, the floor that of the box along ``up``."""
    height = triangles.vertices @ axis
    low, tall = float(height.min()), float(np.ptp(height))
    crosses = triangles.crosses()
    areas = np.linalg.norm(crosses, axis=1)
    middles = triangles.vertices[triangles.faces].mean(axis=1)
    below = height[triangles.faces].max(axis=1) <= low + FOOT * tall
    facing = -(crosses @ axis) >= ALONG * areas
    flat = below & facing
    edges = edges_of(triangles)
    rim = edges.ends[edges.count == 1]
    rim = rim[height[rim].max(axis=1, initial=-np.inf) <= low + FOOT * tall]
    floor = np.delete(triangles.extents, "xyz".index(up[1])).prod()
    cover = float(areas[flat].sum() / 2)
    points = [middles[flat]]
    if len(rim):
        # an open underside: the area inside its rim
        flats = np.delete(triangles.vertices[rim.ravel()], "xyz".index(up[1]), axis=1)
        cover += 0.7 * float(np.ptp(flats, axis=0).prod())
        points.append(triangles.vertices[rim.ravel()])
    on = np.concatenate(points)
    if len(on) < 3:
        return 0.0, 0.0
    centre = np.average(middles, axis=0, weights=areas)
    inside = all(on[:, k].min() <= centre[k] <= on[:, k].max() for k in range(3) if k != "xyz".index(up[1]))
    share = float(np.clip((cover / float(floor) - ROUND) / 0.4, 0.0, 1.0))
    return share, float(inside) * min(1.0, 4 * share)


def _detail(triangles: Triangles) -> Floats:
    """(3,) mean outward direction of the surface weighted by its bend, less that of the surface itself."""
    crosses = triangles.crosses()
    areas = np.linalg.norm(crosses, axis=1)
    normals = crosses / np.maximum(areas, 1e-300)[:, None]
    edges = edges_of(triangles)
    one, other = (sides // 3 for sides in edges.pairs())
    bend = np.arccos(np.clip((normals[one] * normals[other]).sum(axis=1), -1.0, 1.0))
    start, end = triangles.vertices[edges.ends[edges.count == 2]].transpose(1, 0, 2)
    worth = np.minimum(bend, 1.0) * np.linalg.norm(end - start, axis=1)
    toward = ((normals[one] + normals[other]) * worth[:, None]).sum(axis=0) / max(2 * float(worth.sum()), 1e-300)
    plain = crosses.sum(axis=0) / max(float(areas.sum()), 1e-300)
    result: Floats = toward - plain
    return result


def _reasons(
    miss: float, turn_deg: float, base: float, stands: float, lean: float, up: Axis, custom: float
) -> tuple[str, ...]:
    differ = f"by {100 * miss:.2g} % of its size" if miss >= 0.001 else "by less than 0.1 % of its size"
    said = [f"its halves left and right differ {differ}"]
    if turn_deg:
        side = "left" if turn_deg > 0 else "right"
        said.append(f"it looks {abs(turn_deg):.0f}° to its {side} of that axis, as the plane between its halves stands")
    if base > 0.2:
        said.append("a flat or open base below" + (", with the middle over it" if stands else ""))
    if abs(lean) > 0.005:
        said.append("more detail in front" if lean > 0 else "less detail in front than behind")
    if custom >= 0.5:
        said.append(f"{up[1]} up is what most programs write")
    return tuple(said)
