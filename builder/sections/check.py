"""What contours and a profile must be before they can be lofted, told with the contour's number."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import NoReturn

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon
from shapely.validation import explain_validity

from builder.arrays import Floats
from builder.errors import ModelError, Problem
from builder.sections.sections import Contour
from builder.study.contours import ContourRow, ContourSource

FEWEST = 3
LEAST_AREA_MM2 = 1.0
LEAST_GAP_MM = 0.1
SMALLEST_MM, LARGEST_MM = 10.0, 3000.0
NARROWEST = 1.5
"""In steps of the grid, sqrt(2) and a little: a round hole as wide holds a point of it, wherever it lies."""
MEETS_MM = 1.0
"""A contour's front and the profile may be this far apart, of the reading of a ruler."""
_PLACE = re.compile(r"\[(\S+) (\S+)\]")


def check_order(rows: tuple[ContourRow, ...], source: ContourSource) -> None:
    """There are enough contours; numbers and heights rise together."""
    if len(rows) < FEWEST:
        found = f"there {'is 1 contour' if len(rows) == 1 else f'are {len(rows)} contours'}"
        _refuse(source, source.line, found, f"a form takes at least {FEWEST}", "add more")
    for one, other in pairwise(rows):
        if one.number == other.number:
            found = f"contour {other.number} stands here and in line {one.line}"
            _refuse(source, other.line, found, "each number stands once", "change or remove one of them")
        if other.number < one.number:
            found = f"contour {other.number} comes after contour {one.number}"
            _refuse(source, other.line, found, "contours stand in the order of their numbers", "put them in order")
        if other.height_mm < one.height_mm + LEAST_GAP_MM:
            line = source.heights_line if source.svg else other.line
            found = (
                f"contour {other.number} is at {other.height_mm:g} mm and contour {one.number} at {one.height_mm:g} mm"
            )
            allowed = f"heights rise with the numbers, by {LEAST_GAP_MM:g} mm or more"
            _refuse(source, line, found, allowed, "change one of them")


def check_ring(ring: Floats, row: ContourRow, source: ContourSource) -> None:
    """The outline (n, 2) goes round something and does not cross itself."""
    if len(np.unique(np.round(ring, 6), axis=0)) < 3:
        found = f"contour {row.number} has fewer than 3 points"
        _refuse(source, row.line, found, "an outline takes 3 or more that differ", "add more")
    shape = Polygon(ring)
    if not shape.is_valid:
        place = _PLACE.search(explain_validity(shape))
        at = f" near x = {float(place[1]):.1f}, y = {float(place[2]):.1f} mm" if place else ""
        found = f"contour {row.number} crosses or touches itself{at}"
        _refuse(source, row.line, found, "an outline goes round once", "check the order of its points there")
    if shape.area < LEAST_AREA_MM2:
        found = f"contour {row.number} encloses {shape.area:.2g} square mm"
        _refuse(source, row.line, found, f"an outline takes {LEAST_AREA_MM2:g} or more", "check its points and `unit`")


def check_size(shapes: list[MultiPolygon], rows: tuple[ContourRow, ...], source: ContourSource) -> None:
    """The form is of a size that a model can have."""
    bounds = np.array([shape.bounds for shape in shapes])
    across = [*(bounds[:, 2:].max(axis=0) - bounds[:, :2].min(axis=0)), rows[-1].height_mm - rows[0].height_mm]
    size = float(max(across))
    if not SMALLEST_MM <= size <= LARGEST_MM:
        allowed = f"a form takes {SMALLEST_MM:g} to {LARGEST_MM:,g} mm"
        _refuse(source, source.line, f"the contours reach over {size:,.6g} mm", allowed, "check their `unit`")


def check_overlap(shapes: list[MultiPolygon], rows: tuple[ContourRow, ...], source: ContourSource) -> None:
    """Each contour has something over the one below, and part of the form over it."""
    for (below, one), (above, other) in pairwise(zip(rows, shapes, strict=True)):
        if shapely.intersection(one, other).area < LEAST_AREA_MM2:
            found = f"contour {above.number} lies wholly beside contour {below.number}"
            _refuse(source, above.line, found, "neighbours overlap, seen from above", "add contours between them")


def check_width(
    contours: tuple[Contour, ...], step_mm: float, rows: tuple[ContourRow, ...], source: ContourSource
) -> None:
    """No ring is so narrow that it may lie between the points of the grid, ``step_mm`` apart."""
    least = NARROWEST * step_mm
    for contour, row in zip(contours, rows, strict=True):
        for ring in contour.rings:
            circle = shapely.maximum_inscribed_circle(Polygon(ring), tolerance=0.01 * step_mm)
            wide = 2.0 * circle.length
            if wide < least:
                x, y = circle.coords[0]
                found = f"contour {row.number} has an outline {wide:.2g} mm wide near x = {x:.1f}, y = {y:.1f} mm"
                allowed = f"a form of this size takes {least:.2g} mm or more"
                _refuse(source, row.line, found, allowed, "make it wider or leave it out")


def check_profile(shapes: list[MultiPolygon], rows: tuple[ContourRow, ...], source: ContourSource) -> None:
    """The profile rises, goes past every contour and meets each within :data:`MEETS_MM`."""
    depth, height = np.array(source.profile, np.float64).T
    line = source.profile_line
    falls = np.flatnonzero(np.diff(height) <= 0)
    if len(falls):
        place = int(falls[0]) + 1
        found = f"point {place + 1} of `profile`, at {height[place]:g} mm, is no higher than the one before it"
        _refuse(source, line, found, "its points rise from the base up", "put them in order or leave one out")
    first, last = rows[0], rows[-1]
    if height[0] > first.height_mm or height[-1] < last.height_mm:
        found = f"`profile` goes from {height[0]:g} to {height[-1]:g} mm"
        allowed = f"it takes the heights of all contours, {first.height_mm:g} to {last.height_mm:g} mm"
        _refuse(source, line, found, allowed, "add points to it")
    for row, shape in zip(rows, shapes, strict=True):
        chord = front_and_back(shape, source.profile_x_mm)
        if chord is None:
            found = f"contour {row.number} does not reach the profile's plane x = {source.profile_x_mm:g} mm"
            _refuse(source, row.line, found, "every contour passes through it", "change `profile at` or the contour")
        apart = float(chord[0] - np.interp(row.height_mm, height, depth))
        if abs(apart) > MEETS_MM:
            side = "behind" if apart > 0 else "before"
            found = f"contour {row.number} is {abs(apart):.1f} mm {side} the profile at the height {row.height_mm:g} mm"
            _refuse(source, row.line, found, f"they meet within {MEETS_MM:g} mm", "move one of them")


def front_and_back(shape: MultiPolygon, x_mm: float) -> tuple[float, float] | None:
    """Depths of the foremost and the rearmost point of a contour in the upright plane at x; None where it has none."""
    _, low, _, high = shape.bounds
    chord = shapely.intersection(shape, LineString([(x_mm, low - 1.0), (x_mm, high + 1.0)]))
    return None if chord.is_empty or chord.length == 0 else (float(chord.bounds[1]), float(chord.bounds[3]))


def _refuse(source: ContourSource, line: int, found: str, allowed: str, do: str) -> NoReturn:
    raise ModelError(Problem(f"{source.where}:{line}", found, allowed, do))
