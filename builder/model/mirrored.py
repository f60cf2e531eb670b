"""A surface mirrored in a plane and brought nearest to itself."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import KDTree

from builder.arrays import Floats
from builder.model.closest import closest_of
from builder.model.spread import spread_on

TURNS_DEG = (30.0, 60.0, 90.0, 120.0, 150.0)
"""Turns about the upright axis that the search sets out from, beside x = 0 and the axes of the form's own spread."""
FACES, TRIED, MEASURED = 20_000, 600, 3_000
"""Points spread over the surface: to be found again, and to be mirrored while planes are tried and at the end."""
NEIGHBOURS = 4
"""Triangles looked at for the place closest to a mirrored point."""
STILL_SHARE = 1e-6
"""The search ends when a step moves the plane by less than this share of the form's size."""


Plane = tuple[float, float, float, float]
"""Unit normal, and the plane's distance from the surface's centre along it, mm."""


class Mirrored:
    """A surface, triangles (m, 3, 3) and its size in mm, about its centre, ready to be mirrored and found again."""

    def __init__(self, corners: Floats, size_mm: float) -> None:
        across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        double = np.linalg.norm(across, axis=1)
        real = double > 0
        corners, across, double = corners[real], across[real], double[real]
        points, of = spread_on(corners, FACES)
        self.centre: Floats = points.mean(axis=0)
        self.size = size_mm
        self._corners = np.ascontiguousarray(corners - self.centre)
        self._normals = across / double[:, None]
        self._spread = points - self.centre
        self._points = {count: spread_on(self._corners, count)[0] for count in (TRIED, MEASURED)}
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
