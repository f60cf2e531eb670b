"""Contours and closed forms that several tests need."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import trimesh
from shapely import MultiLineString, MultiPolygon, Polygon, difference, union_all

from builder.arrays import Floats
from builder.sections.sections import Contour, Sections
from builder.sections.sliced import Body, level

ANGLES = np.linspace(0, 2 * np.pi, 120, endpoint=False)
ROUND = np.stack([np.cos(ANGLES), np.sin(ANGLES)], axis=1)
ROUND_SHARE = 120 * np.sin(2 * np.pi / 120) / (2 * np.pi)
"""Area of the 120-gon in a circle over the circle's."""
TURN = np.linspace(0, 2 * np.pi, 721)[:-1]


def mesh_of(body: Body) -> trimesh.Trimesh:
    return trimesh.Trimesh(body.vertices, body.faces, process=False)


def box(wide: float, deep: float, x: float = 0.0, y: float = 0.0) -> Floats:
    return np.array([[-wide, -deep], [wide, -deep], [wide, deep], [-wide, deep]]) / 2 + (x, y)


def stack(
    rings: Sequence[Floats | tuple[Floats, ...]], heights: Sequence[float], profile: Floats | None = None
) -> Sections:
    return Sections(
        tuple(
            Contour(number, height, ring if isinstance(ring, tuple) else (ring,))
            for number, (height, ring) in enumerate(zip(heights, rings, strict=True), 1)
        ),
        profile,
    )


def material(contour: Contour) -> MultiPolygon:
    """What a contour's rings enclose: those turned to the left, less those turned to the right."""
    left = [Polygon(ring) for ring in contour.rings if Polygon(ring).exterior.is_ccw]
    right = [Polygon(ring) for ring in contour.rings if not Polygon(ring).exterior.is_ccw]
    return difference(union_all(left), union_all(right))


def farthest(body: Body, contour: Contour) -> float:
    """Greatest distance between a contour and the surface's section in its plane, both ways."""
    low, high = body.vertices[:, 2].min(), body.vertices[:, 2].max()
    cut = level(body, float(np.clip(contour.height_mm, low + 1e-7, high - 1e-7)))
    rings = MultiLineString([np.vstack([ring, ring[:1]]) for ring in contour.rings])
    return float(rings.segmentize(0.25).hausdorff_distance(cut.boundary.segmentize(0.25)))
