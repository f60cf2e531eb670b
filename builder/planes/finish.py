"""A carved level put back in the model's frame, whole and measured."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.arrays import Floats, Ints
from builder.model.boxes import boxed
from builder.planes.carve import Carved
from builder.planes.half import doubled
from builder.planes.planes import Planes
from builder.planes.skin import Skin


@dataclass(frozen=True, slots=True)
class Place:
    """Where a body was taken from: scaled by one over ``size_mm``, x from ``x_mm``; ``mirrored`` if it is half one."""

    size_mm: float
    x_mm: float
    mirrored: bool

    def inward(self, skin: Skin) -> Skin:
        """A skin in mm brought to the frame in which it is divided."""
        return Skin((skin.vertices - (self.x_mm, 0.0, 0.0)) / self.size_mm, skin.faces, skin.beside)

    def outward(self, vertices: Floats) -> Floats:
        """Points brought back to mm."""
        return vertices * self.size_mm + (self.x_mm, 0.0, 0.0)


def finished(carved: Carved, parent: Ints, place: Place, samples_mm: Floats) -> Planes:
    """The level as planes; ``samples_mm`` (n, 3) are points of the model's surface."""
    vertices, faces, label = carved.vertices, carved.faces, carved.label
    if place.mirrored:
        vertices, faces, label, _ = doubled(vertices, faces, label, carved.labelled.span, carved.seam)
    vertices = place.outward(vertices)
    count = len(parent)
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    cross = np.cross(b - a, c - a) / 2
    area = np.linalg.norm(cross, axis=1)
    normals: Floats = np.stack([np.bincount(label, cross[:, k], count) for k in range(3)], axis=1)
    normals /= np.maximum(np.linalg.norm(normals, axis=1), 1e-300)[:, None]
    middle = (a + b + c) / 3
    areas = np.bincount(label, area, count).astype(np.float64)
    centres = np.stack([np.bincount(label, area * middle[:, k], count) for k in range(3)], axis=1)
    gap = boxed(vertices, faces).nearest(samples_mm)[2]
    return Planes(
        vertices=vertices,
        faces=faces,
        plane=label.astype(np.int32),
        normals=normals,
        centres=centres / np.maximum(areas, 1e-300)[:, None],
        areas_mm2=areas,
        parent=parent,
        rms_mm=float(np.sqrt((gap**2).mean())),
        greatest_mm=float(gap.max()),
    )
