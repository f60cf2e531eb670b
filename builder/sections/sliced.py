"""Cutting a surface into contours: level ones at any heights, and the profile in an upright plane."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from builder.arrays import Floats
from builder.sections.sections import Contour, Sections

SPECK_MM2 = 0.05
"""A ring of less area than this is rounding, not form."""
_ACROSS = {0: [1, 2], 2: [0, 1]}


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """A surface to be cut: vertices (n, 3) mm, each place once, and faces (m, 3), counter-clockwise from outside."""

    vertices: Floats
    faces: NDArray[np.int64]


def body_of(vertices: Floats, faces: NDArray[np.integer]) -> Body:
    """The surface with vertices at one place made one, so that neighbouring triangles are cut at the same points."""
    _, first, index = np.unique(np.round(vertices, 6), axis=0, return_index=True, return_inverse=True)
    joined = index.reshape(-1)[faces]
    real = (joined != np.roll(joined, 1, axis=1)).all(axis=1)
    return Body(np.ascontiguousarray(vertices[first]), joined[real].astype(np.int64))


def sliced(vertices: Floats, faces: NDArray[np.integer], heights_mm: Sequence[float], profile_x_mm: float) -> Sections:
    """Contours at the heights, numbered from 1 in their order, and the largest ring of the profile at x.

    vertices (n, 3), faces (m, 3), model frame. A height at which there is nothing gives a contour without rings.
    """
    body = body_of(vertices, faces)
    contours = tuple(
        Contour(number, float(height), rings_of(level(body, height))) for number, height in enumerate(heights_mm, 1)
    )
    profile = upright(body, profile_x_mm)
    largest = max(profile.geoms, key=lambda part: part.area, default=None)
    return Sections(contours, None if largest is None else rings_of(MultiPolygon([largest]))[0], profile_x_mm)


def level(body: Body, height_mm: float) -> MultiPolygon:
    """The material at one height, x and y, holes kept."""
    return _cut(body, 2, height_mm)


def upright(body: Body, x_mm: float) -> MultiPolygon:
    """The material in the upright plane x = ``x_mm``, y and z, holes kept."""
    return _cut(body, 0, x_mm)


def rings_of(material: MultiPolygon) -> tuple[Floats, ...]:
    """Its rings, open (first point not repeated): counter-clockwise round material, clockwise round holes."""
    turned = shapely.orient_polygons(material)
    rings = [ring for part in turned.geoms for ring in (part.exterior, *part.interiors)]
    return tuple(np.array(ring.coords)[:-1] for ring in rings)


def _cut(body: Body, axis: int, place_mm: float) -> MultiPolygon:
    """Material in the plane where coordinate ``axis`` is ``place_mm``; a vertex on the plane counts as above it."""
    above = body.vertices[:, axis] >= place_mm
    mixed = body.faces[above[body.faces].any(axis=1) & ~above[body.faces].all(axis=1)]
    if len(mixed) == 0:
        return MultiPolygon()
    up = above[mixed]
    goes_up = np.argmax(~up & np.roll(up, -1, axis=1), axis=1)
    goes_down = np.argmax(up & ~np.roll(up, -1, axis=1), axis=1)
    rows = np.arange(len(mixed))
    # seen from above, material lies to the left of the way from the side that goes down to the one that goes up
    start = np.sort(np.stack([mixed[rows, goes_up], mixed[rows, (goes_up + 1) % 3]], axis=1), axis=1)
    end = np.sort(np.stack([mixed[rows, goes_down], mixed[rows, (goes_down + 1) % 3]], axis=1), axis=1)
    sides, index = np.unique(np.concatenate([start, end]), axis=0, return_inverse=True)
    index = index.reshape(-1)
    one, other = body.vertices[sides[:, 0]], body.vertices[sides[:, 1]]
    part = (place_mm - one[:, axis]) / (other[:, axis] - one[:, axis])
    points = (one + part[:, None] * (other - one))[:, _ACROSS[axis]]
    return _material([points[ring] for ring in _chains(index[len(mixed) :], index[: len(mixed)])])


def _chains(starts: NDArray[np.int64], ends: NDArray[np.int64]) -> list[list[int]]:
    """Closed ways through pieces from ``starts`` to ``ends``; where the surface is open, the gap is closed straight."""
    after: dict[int, list[int]] = {}
    for one, other in zip(starts.tolist(), ends.tolist(), strict=True):
        after.setdefault(one, []).append(other)
    begun = sorted(set(after) - set(ends.tolist())) + sorted(after)
    chains = []
    for first in begun:
        while after.get(first):
            chain = [first]
            while after.get(chain[-1]):
                chain.append(after[chain[-1]].pop())
                if chain[-1] == first:
                    chain.pop()
                    break
            chains.append(chain)
    return chains


def _material(rings: Sequence[Floats]) -> MultiPolygon:
    """What the rings enclose, from the largest to the smallest: one turned to the left adds, the other takes away."""
    shapes = [(_signed_area(ring), ring) for ring in rings if len(ring) >= 3]
    whole: shapely.Geometry = MultiPolygon()
    for area, ring in sorted(shapes, key=lambda shape: (-abs(shape[0]), shape[1][0].tolist())):
        if abs(area) < SPECK_MM2:
            continue
        piece = shapely.make_valid(Polygon(ring))
        whole = shapely.union(whole, piece) if area > 0 else shapely.difference(whole, piece)
    return polygons(whole)


def polygons(shape: shapely.Geometry) -> MultiPolygon:
    """Only the faces of a shape, in a fixed order, specks left out."""
    parts = [
        part
        for part in shapely.get_parts(shape, return_index=False)
        for part in shapely.get_parts(part)
        if isinstance(part, Polygon) and part.area >= SPECK_MM2
    ]
    return MultiPolygon(sorted(parts, key=lambda part: (-round(part.area, 6), part.bounds)))


def _signed_area(ring: Floats) -> float:
    x, y = ring.T
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2.0)
