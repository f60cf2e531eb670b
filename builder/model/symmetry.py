"""The plane that a sculpture is most nearly mirrored by: once per model, whatever the view and the lamp."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.arrays import Floats
from builder.model.mirrored import MEASURED, TRIED, Mirrored, Plane
from builder.model.model import Model

SYMMETRICAL_SHARE = 0.012
"""A form whose mirrored surface misses it by no more than this share of its size, rms, has two like halves. Our choice:
3 mm on a sculpture 250 mm high, about what a hand that works by eye leaves."""
LEANS_DEG = 35.0
"""A plane that leans farther from upright is not looked for: it would part front from back or top from foot."""
MUCH_BETTER = 0.5
"""Another plane takes the place of the one found from x = 0 only when it misses by less than this share of its miss:
a ball or a box has many planes, and the model's front tells which one is meant."""
FIRST_STEPS, LAST_STEPS = 8, 12
"""Steps of the search at most, from each start and from the plane chosen."""


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
    """The plane of a model; :func:`symmetry_among` says how it is found."""
    return symmetry_among(model.scene.vertices[model.scene.faces[: model.body_faces]], model.size_mm, model.middle_mm)


def symmetry_among(corners: Floats, size_mm: float, middle_mm: Floats) -> Symmetry:
    """The plane of upright triangles (m, 3, 3) in mm of that size, its ``point`` closest to that middle (3,), found by
    mirroring points of the surface and bringing them nearest to it.

    Each start is refined by steps of least squares: mirrored points against the tangent plane at the closest place of
    the surface (after Chen and Medioni 1992, for a mirror in place of a rigid motion), where points that lie far off
    count less, so that a parting on one side does not pull the plane over. The sample is fixed.
    """
    surface = Mirrored(corners, size_mm)
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
    middle = middle_mm - surface.centre
    point = surface.centre + middle + (offset - normal @ middle) * normal
    x, y, z = (float(part) for part in normal + 0.0)
    at = (float(point[0]), float(point[1]), float(point[2]))
    return Symmetry((x, y, z), at, rms, most, rms <= SYMMETRICAL_SHARE * size_mm)


def _leans_deg(plane: Plane) -> float:
    return float(np.degrees(np.arcsin(min(abs(plane[2]), 1.0))))
