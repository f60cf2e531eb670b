"""What a sculpture was scanned with, the table or turntable under it, cut away level at a stated height."""

from __future__ import annotations

import numpy as np

from builder.arrays import Bools
from builder.errors import ModelError, Notice, Problem
from builder.model.bodies import numbered, sculpture
from builder.model.counts import counted
from builder.model.flat import filled
from builder.model.holes import loops
from builder.model.triangles import Indices, Triangles, edges_of
from builder.model.winding import agreeing

CRUMB = 0.05
"""A piece with less than this share of the largest piece's area does not count in what the lowest point is."""
LEVEL = 1e-9
"""Points this near to the cut, in sizes of the mesh, lie on it."""


def above(triangles: Triangles, cut_mm: float, height_mm: float | None, where: str) -> tuple[Triangles, Notice]:
    """The triangles of a file, in mm and upright, without all that lies lower than a cut, the cut closed flat.

    ``cut_mm`` counts from the lowest point, crumbs left out, at true size: where ``height_mm`` is given, that is the
    height of what remains. Raises :class:`ModelError` where nothing lies above the cut.
    """
    wound, _ = agreeing(triangles)
    body = numbered(wound, edges_of(wound))
    areas = np.bincount(body, wound.areas())
    large = wound.chosen((areas >= CRUMB * areas.max())[body])
    low = float(large.vertices[:, 2].min())
    top = float(sculpture(wound, where, None)[0].vertices[:, 2].max())
    scale = 1.0 if height_mm is None else (height_mm + cut_mm) / (top - low)
    if cut_mm >= (top - low) * scale * (1 - LEVEL):
        raise ModelError(
            Problem(
                where,
                f"nothing of the model lies above the cut at {cut_mm:g} mm: it reaches {(top - low) * scale:.4g} mm",
                "the cut counts from the lowest point of the file, at true size",
                "lower `cut below` in study.yml to where the model begins",
            )
        )
    kept = sawn(wound, low + cut_mm / scale)
    below = int((wound.vertices[wound.faces][:, :, 2].max(axis=1) <= low + cut_mm / scale).sum())
    text = f"cut level {cut_mm:g} mm above its lowest point: {counted(below, 'face')} below left out"
    return kept, Notice(where, text)


def sawn(triangles: Triangles, level: float) -> Triangles:
    """What lies above z = ``level`` of triangles wound alike, closed flat there."""
    points = triangles.vertices.copy()
    over = points[:, 2] - level
    on = np.abs(over) <= LEVEL * triangles.size
    points[on, 2] = level
    over[on] = 0.0
    corners = triangles.faces[(over[triangles.faces] > 0).any(axis=1)].astype(np.int64)
    whole = (over[corners] >= 0).all(axis=1)
    crossed = corners[~whole]
    # each edge that crosses the cut gets one point there, the same for both its faces
    starts, ends = crossed, np.roll(crossed, -1, axis=1)
    crossing = over[starts] * over[ends] < 0
    key = np.minimum(starts, ends) * len(points) + np.maximum(starts, ends)
    keys, place = np.unique(key[crossing], return_inverse=True)
    one, other = np.divmod(keys, len(points))
    share = (over[one] / (over[one] - over[other]))[:, None]
    fresh = points[one] + share * (points[other] - points[one])
    fresh[:, 2] = level
    number = np.full(crossed.shape, -1)
    number[crossing] = len(points) + place
    cut = Triangles(
        np.concatenate([points, fresh]), np.concatenate([corners[whole], _clipped(crossed, over[crossed] >= 0, number)])
    )
    return _floored(cut.chosen(np.ones(len(cut.faces), np.bool_)), level)


def _clipped(corners: Indices, stays: Bools, number: Indices) -> Indices:
    """The faces' parts above the cut. ``number`` (m, 3) is the point on the side that follows each corner, or -1."""
    pieces = [np.zeros((0, 3), np.int64)]
    for first in range(3):
        a, b = corners[:, first], corners[:, (first + 1) % 3]
        ab, bc, ca = (number[:, (first + k) % 3] for k in range(3))
        sa, sb, sc = (stays[:, (first + k) % 3] for k in range(3))
        tip = sa & ~sb & ~sc
        pieces.append(_face(a, ab, ca, tip & (ab >= 0) & (ca >= 0)))
        # b stays too: a quad, or a triangle where a or b lies on the cut and its side has no point of its own
        two = sa & sb & ~sc
        end = np.where(bc >= 0, bc, b)
        start = np.where(ca >= 0, ca, a)
        pieces.append(_face(a, b, end, two & (end != b)))
        pieces.append(_face(a, end, start, two & (start != a)))
    return np.concatenate(pieces)


def _face(a: Indices, b: Indices, c: Indices, which: Bools) -> Indices:
    face: Indices = np.stack([a, b, c], axis=1)[which]
    return face


def _floored(triangles: Triangles, level: float) -> Triangles:
    """The triangles with the rims at the cut closed; a rim that does not come back to its start stays open."""
    edges = edges_of(triangles)
    sides = np.flatnonzero(edges.count[edges.edge] == 1)
    starts = triangles.faces.ravel()[sides].astype(np.int64)
    ends = np.roll(triangles.faces, -1, axis=1).ravel()[sides].astype(np.int64)
    low = (triangles.vertices[starts, 2] == level) & (triangles.vertices[ends, 2] == level)
    rims = loops(ends[low], starts[low])
    lid = filled(rims, triangles.vertices[:, :2])
    whole = Triangles(triangles.vertices, np.concatenate([triangles.faces, lid[:, ::-1].astype(np.int32)]))
    return agreeing(whole)[0]
