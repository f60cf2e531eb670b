"""The form broken into flat planes, at three levels from big to small."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.arrays import Floats, Ints, frozen
from builder.errors import Notice


@dataclass(frozen=True, slots=True, eq=False)
class Planes:
    """A solid made of flat planes: one level.

    vertices (n, 3) float64, mm, model frame; faces (m, 3) int32, counter-clockwise from outside, closed where the
    model is; plane (m,) int32, the plane that each face is part of. Of each plane: normals (k, 3) unit, outwards;
    centres (k, 3) mm, centre of its area; areas_mm2 (k,); parent (k,) int32, the plane of the next bigger level that
    it is cut from, -1 at the biggest.

    ``rms_mm`` and ``greatest_mm``: distance of the model's own surface from this solid, over evenly spread samples.
    """

    vertices: Floats
    faces: Ints
    plane: Ints
    normals: Floats
    centres: Floats
    areas_mm2: Floats
    parent: Ints
    rms_mm: float
    greatest_mm: float

    def __post_init__(self) -> None:
        """Freeze the arrays and check that they belong together."""
        count = len(self.areas_mm2)
        object.__setattr__(self, "vertices", frozen(self.vertices, "f8", (None, 3)))
        object.__setattr__(self, "faces", frozen(self.faces, "i4", (None, 3)))
        object.__setattr__(self, "plane", frozen(self.plane, "i4", (len(self.faces),)))
        object.__setattr__(self, "normals", frozen(self.normals, "f8", (count, 3)))
        object.__setattr__(self, "centres", frozen(self.centres, "f8", (count, 3)))
        object.__setattr__(self, "areas_mm2", frozen(self.areas_mm2, "f8", (count,)))
        object.__setattr__(self, "parent", frozen(self.parent, "i4", (count,)))

    @property
    def count(self) -> int:
        """How many planes."""
        return len(self.areas_mm2)

    def bulges_mm(self) -> Floats:
        """(k,) how far the corner that is farthest out of its plane stands from it, mm."""
        corners = self.vertices[self.faces]
        off = np.einsum("fkj,fj->fk", corners - self.centres[self.plane][:, None], self.normals[self.plane])
        bulges = np.zeros(self.count)
        np.maximum.at(bulges, self.plane, np.abs(off).max(axis=1))
        return bulges


@dataclass(frozen=True, slots=True, eq=False)
class PlaneLevels:
    """The levels of a model that could be made, from big to small; ``numbers`` (0 big, 1 middle, 2 small) says which.

    Every plane has one parent among those of the bigger level before it. ``mirrored``: the planes are each other's
    mirror image in the plane x = ``mirror_x_mm``. ``mirror_residual_mm``: mean distance of the model's surface from its
    own mirror image in the plane x = const that mirrors it best.
    """

    levels: tuple[Planes, ...]
    numbers: tuple[int, ...]
    mirrored: bool
    mirror_x_mm: float
    mirror_residual_mm: float
    notices: tuple[Notice, ...] = ()

    @property
    def big(self) -> Planes:
        """The biggest planes; ValueError without them."""
        return self.levels[self.numbers.index(0)]

    @property
    def middle(self) -> Planes:
        """The middle ones; ValueError without them."""
        return self.levels[self.numbers.index(1)]

    @property
    def small(self) -> Planes:
        """The smallest; ValueError without them."""
        return self.levels[self.numbers.index(2)]
