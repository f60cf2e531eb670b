"""The plane that a sculpture is most nearly mirrored by: once per model, whatever the view and the lamp."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import KDTree

from builder.arrays import Floats
from builder.form.closest import closest_of
from builder.model.model import Model

SYMMETRICAL_SHARE = 0.012
"""A form whose mirrored surface misses it by no more than this share of its size, rms, has two like halves. Our choice:
3 mm on a sculpture 250 mm high, about what a hand that works by eye leaves."""
LEANS_DEG = 35.0
"""A plane that leans farther from upright is not looked for: it would part front from back or top from foot."""
TURNS_DEG = (30.0, 60.0, 90.0, 120.0, 150.0)
"""Turns about the upright axis that the search sets out from, beside x = 0 and the axes of the form's own spread."""
MUCH_BETTER = 0.5
"""Another plane takes the place of the one found from x = 0 only when it misses by less than this share of its miss:
a ball or a box has many planes, and the model's front tells which one is meant."""
FACES, TRIED, MEASURED = 20_000, 600, 3_000
"""Points spread over the surface: to be found again, and to be mirrored while planes are tried and at the end."""
NEIGHBOURS = 4
"""Triangles looked at for the place closest to a mirrored point."""
FIRST_STEPS, LAST_STEPS = 8, 12
"""Steps of the search at most, from each start and from the plane chosen."""
STILL_SHARE = 1e-6
"""The search ends when a step moves the plane by less than this share of the form's size."""


@dataclass(frozen=True, slots=True)
class Symmetry:
    """The upright plane that the form is most nearly mirrored by: plain numbers, so that it can be written as JSON.

    normal: unit, points to the model's left (x > 0, or y > 0 where x is 0); point: the place of the plane closest to
    the model's middle, mm, model frame. ``rms_mm`` and ``most_mm``: how far the mirrored surface lies from the surface
    itself, root mean square and for 95 points of 100, evenly by area. ``holds``: whether that is little enough to call
    the form symmetrical (:data:`SYMMETRICAL_SHARE`).
    """

    normal: tuple[float, float, float]
    point: tuple[float, float, float]
    rms_mm: float
    most_mm: float
    holds: bool

    def off_mm(self, points: Floats) -> Floats:
        """(n,) signed distance of points (n, 3) from the plane, mm, positive on the model's left."""
        off: Floats = (np.asarray(points, np.float64) - self.point) @ np.array(self.normal)
        return off

    def mirrored(self, points: Floats) -> Floats:
        """(n, 3) the points on the other side."""
        other: Floats = points - 2.0 * self.off_mm(points)[:, None] * np.array(self.normal)
        return other

    @property
    def up(self) -> Floats:
        """(3,) unit, the direction in the plane that rises most steeply: the form's own upright axis."""
        upright = np.array([0.0, 0.0, 1.0])
        normal = np.array(self.normal)
        along: Floats = upright - (upright @ normal) * normal
        return along / np.linalg.norm(along)


def symmetry_of(model: Model) -> Symmetry:
    """The plane found by mirroring points of the sculpture and bringing them nearest to its surface.

    Each start is refined by steps of least squares: mirrored points against the tangent plane at the closest place of
    the surface (after Chen and Medioni 1992, for a mirror in place of a rigid motion), where points that lie far off
    count less, so that a parting on one side does not pull the plane over. The sample is fixed.
    """
    surface = _Mirrored(model)
    tried = [surface.refined(plane, TRIED, FIRST_STEPS) for plane in surface.starts()]
    upright = [plane for plane in tried if _leans_deg(plane) <= LEANS_DEG]
    first = tried[0] if tried[0] in upright else surface.starts()[0]
    misses = [surface.miss(plane, TRIED)[0] for plane in upright]
    least = min(misses, default=np.inf)
    better = least < MUCH_BETTER * surface.miss(first, TRIED)[0]
    plane = surface.refined(upright[misses.index(least)] if better else first, MEASURED, LAST_STEPS)
    rms, most = surface.miss(plane, MEASURED)
    normal, offset = np.array(plane[:3]), plane[3]
    if (normal[0], normal[1]) < (0.0, 0.0):
        normal, offset = -normal, -offset
    middle = model.middle_mm - surface.centre
    point = surface.centre + middle + (offset - normal @ middle) * normal
    x, y, z = (float(part) for part in normal + 0.0)
    at = (float(point[0]), float(point[1]), float(point[2]))
    return Symmetry((x, y, z), at, rms, most, rms <= SYMMETRICAL_SHARE * model.size_mm)


Plane = tuple[float, float, float, float]
"""Unit normal, and the plane's distance from the surface's centre along it, mm."""


class _Mirrored:
    """The sculpture's surface about its centre, ready for points to be mirrored and found again."""

    def __init__(self, model: Model) -> None:
        corners = model.scene.vertices[model.scene.faces[: model.body_faces]]
        across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        double = np.linalg.norm(across, axis=1)
        real = double > 0
        corners, across, double = corners[real], across[real], double[real]
        spread, of = _spread(corners, double, FACES)
        self.centre: Floats = spread.mean(axis=0)
        self.size = model.size_mm
        self._corners = np.ascontiguousarray(corners - self.centre)
        self._normals = across / double[:, None]
        self._spread = spread - self.centre
        self._points = {count: _spread(self._corners, double, count)[0] for count in (TRIED, MEASURED)}
        # small triangles are found by their own middle, large ones by the points spread over them
        self._faces = np.concatenate([np.arange(len(corners)), of])
        self._tree = KDTree(np.concatenate([self._corners.mean(axis=1), self._spread]))

    def starts(self) -> list[Plane]:
        """Planes to set out from, x = 0 first."""
        turns = np.radians(np.array(TURNS_DEG))
        normals = [np.array([1.0, 0.0, 0.0])]
        normals += [axis for axis in np.linalg.eigh(np.cov(self._spread.T))[1].T if abs(axis[2]) < 0.5]
        normals += [np.array([np.cos(turn), np.sin(turn), 0.0]) for turn in turns]
        first = (1.0, 0.0, 0.0, float(-self.centre[0]))
        return [first, *((float(x), float(y), float(z), 0.0) for x, y, z in normals)]

    def miss(self, plane: Plane, count: int) -> tuple[float, float]:
        """Distance of mirrored points to the surface, mm: rms, and that of 95 in 100."""
        mirrored, place, _ = self._found(plane, count)
        apart = np.linalg.norm(mirrored - place, axis=1)
        return float(np.sqrt(np.mean(apart**2))), float(np.quantile(apart, 0.95))

    def refined(self, plane: Plane, count: int, steps: int) -> Plane:
        """The plane that least squares lead to from there."""
        points = self._points[count]
        for _ in range(steps):
            normal, offset = np.array(plane[:3]), plane[3]
            mirrored, place, face = self._found(plane, count)
            away = mirrored - place
            facing = self._normals[face]
            apart = np.linalg.norm(away, axis=1)
            scale = max(2.0 * float(np.median(apart)), 1e-6 * self.size)
            weight = 1.0 / (1.0 + (apart / scale) ** 2)
            basis = np.linalg.svd(normal[None])[2][1:]
            along, beyond = facing @ normal, points @ normal - offset
            columns = [
                *(-2.0 * ((points @ axis) * along + beyond * (facing @ axis)) / self.size for axis in basis),
                2.0 * along,
            ]
            rows = np.stack(columns, axis=1)
            gap = -(away * facing).sum(axis=1)
            square = (rows * weight[:, None]).T @ rows
            # a form that is round about an axis leaves a turn open: the least step is taken
            one, two, shift = np.linalg.lstsq(square, (rows * weight[:, None]).T @ gap, rcond=1e-9)[0]
            turned = normal + (one * basis[0] + two * basis[1]) / self.size
            length = float(np.linalg.norm(turned))
            x, y, z = (float(part) for part in turned / length)
            plane = (x, y, z, offset + float(shift))
            if abs(one) + abs(two) + abs(shift) < STILL_SHARE * self.size:
                break
        return plane

    def _found(self, plane: Plane, count: int) -> tuple[Floats, Floats, NDArray[np.int64]]:
        """Mirrored points, the closest places of the surface and their triangles."""
        points, normal = self._points[count], np.array(plane[:3])
        mirrored = points - 2.0 * (points @ normal - plane[3])[:, None] * normal
        near = self._faces[self._tree.query(mirrored, NEIGHBOURS)[1]]
        place, face = closest_of(mirrored, self._corners, near)
        return mirrored, place, face


def _leans_deg(plane: Plane) -> float:
    return float(np.degrees(np.arcsin(min(abs(plane[2]), 1.0))))


def _spread(corners: Floats, areas: Floats, count: int) -> tuple[Floats, NDArray[np.int64]]:
    """Points evenly over triangles by area, (count, 3), and their triangles.

    Places within a triangle follow the plastic number's sequence (Roberts 2018, from memory), the same every time.
    """
    ends = np.cumsum(areas)
    face = np.searchsorted(ends, (np.arange(count) + 0.5) * (ends[-1] / count), side="right")
    face = np.minimum(face, len(areas) - 1)
    steps = np.outer(np.arange(count), (0.7548776662466927, 0.5698402909980532)) % 1.0
    over = steps.sum(axis=1) > 1.0
    steps[over] = 1.0 - steps[over]
    one, two, three = (corners[face, k] for k in range(3))
    points: Floats = one + steps[:, :1] * (two - one) + steps[:, 1:] * (three - one)
    return points, face
