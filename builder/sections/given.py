"""A study's contours and profile as the tutor gave them, checked, to the sections that are lofted."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LinearRing, MultiPolygon, Polygon

from builder.arrays import Floats
from builder.errors import ModelError, Problem
from builder.sections.check import (
    check_order,
    check_overlap,
    check_profile,
    check_ring,
    check_size,
    check_width,
    front_and_back,
)
from builder.sections.drawing import drawn
from builder.sections.lattice import step_of
from builder.sections.mirrored import mirrored
from builder.sections.sections import Contour, Sections
from builder.sections.sliced import rings_of
from builder.study.contours import ContourRow, ContourSource

JOINED_MM = 0.1
"""A line whose ends are no farther apart than this is closed."""


def given(source: ContourSource) -> Sections:
    """The sections of a study, mm, in the frame of its numbers; a relief's contours closed along its back.

    Raises ModelError with the contour's number and the line of study.yml where something cannot be lofted.
    """
    rows = _drawn_rows(source) if source.svg else source.rows
    check_order(rows, source)
    shapes = [_shape(row, source) for row in rows]
    check_size(shapes, rows, source)
    check_overlap(shapes, rows, source)
    contours = tuple(
        Contour(row.number, row.height_mm, rings_of(shape)) for row, shape in zip(rows, shapes, strict=True)
    )
    sections = Sections(contours, back_mm=source.back_mm)
    if source.profile:
        check_profile(shapes, rows, source)
        sections = Sections(contours, _profile(shapes, rows, source), source.profile_x_mm, source.back_mm)
    check_width(mirrored(sections), step_of(sections), rows, source)
    return sections


def _drawn_rows(source: ContourSource) -> tuple[ContourRow, ...]:
    assert source.svg is not None, "only a drawing has drawn rows"
    contours = drawn(source.svg, f"{source.where}:{source.svg_line}")
    if len(contours) != len(source.heights_mm):
        found = f"`heights` has {len(source.heights_mm)} numbers and the drawing {len(contours)} contours"
        raise ModelError(Problem(f"{source.where}:{source.heights_line}", found, "each contour has one height"))
    rows = []
    for (number, rings), height in zip(sorted(contours.items()), source.heights_mm, strict=True):
        for ring in rings:
            is_closed = len(ring) > 2 and bool(np.linalg.norm(ring[0] - ring[-1]) <= JOINED_MM)
            if source.kind == "closed" and not is_closed:
                gap = np.linalg.norm(ring[0] - ring[-1])
                found = f"contour {number} is open: its ends are {gap:.3g} mm apart"
                do = "close its path, or write `kind: relief`"
                raise ModelError(
                    Problem(f"{source.where}:{source.svg_line}", found, "a closed form takes closed paths", do)
                )
        points = tuple(tuple((float(x), float(y)) for x, y in ring) for ring in rings)
        rows.append(ContourRow(number, height, points, source.svg_line))
    return tuple(rows)


def _shape(row: ContourRow, source: ContourSource) -> MultiPolygon:
    """The material of one contour: within an odd number of its rings."""
    whole: shapely.Geometry = MultiPolygon()
    for points in row.rings:
        ring = _ring(np.array(points, np.float64), row, source)
        check_ring(ring, row, source)
        whole = shapely.symmetric_difference(whole, Polygon(ring))
    parts = [part for part in shapely.get_parts(whole) if isinstance(part, Polygon)]
    return MultiPolygon(parts)


def _ring(points: Floats, row: ContourRow, source: ContourSource) -> Floats:
    joined = len(points) > 1 and bool(np.linalg.norm(points[0] - points[-1]) <= JOINED_MM)
    where = f"{source.where}:{row.line}"
    if source.kind == "closed":
        return points[:-1] if joined else points
    assert source.back_mm is not None, "a relief has a back"
    if joined:
        found, allowed = f"contour {row.number} is closed", "a contour of a relief is open at the back"
        raise ModelError(Problem(where, found, allowed, "open it there, or write `kind: closed`"))
    behind = float(points[:, 1].max() - source.back_mm)
    if behind > JOINED_MM:
        found = f"contour {row.number} reaches {behind:.3g} mm behind the back"
        raise ModelError(
            Problem(where, found, f"the relief's back is at y = {source.back_mm:g} mm", "move one of them")
        )
    flat = np.minimum(points, (np.inf, source.back_mm))
    ends = [np.array([[x, source.back_mm]]) for x, y in (flat[-1], flat[0]) if y < source.back_mm]
    return np.concatenate([flat, *ends])


def _profile(shapes: list[MultiPolygon], rows: tuple[ContourRow, ...], source: ContourSource) -> Floats:
    """The closed ring of the profile: its front as given, its back from the relief's back or from the contours."""
    front = np.array(source.profile, np.float64)
    if source.back_mm is not None:
        back = np.array([[source.back_mm, front[-1, 1]], [source.back_mm, front[0, 1]]])
    else:
        chords = [front_and_back(shape, source.profile_x_mm) for shape in shapes]
        pairs = [(chord[1], row.height_mm) for chord, row in zip(chords, rows, strict=True) if chord is not None]
        back = np.array(pairs[::-1])
    ring = np.concatenate([front, back])
    if not Polygon(ring).is_valid:
        found = "the profile meets the back of the form"
        allowed = "its points lie in front of the back at every height"
        raise ModelError(Problem(f"{source.where}:{source.profile_line}", found, allowed, "move them to the front"))
    turned: Floats = ring if LinearRing(ring).is_ccw else ring[::-1]
    return turned
