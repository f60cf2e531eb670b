"""What was found of a mesh file, in lines for a person and as plain data for a machine."""

from __future__ import annotations

from dataclasses import asdict, fields, replace
from typing import Any

import numpy as np

from builder.model.counts import counted
from builder.model.inspected import Inspected
from builder.model.symmetry import Symmetry
from builder.model.thin import Thin
from builder.model.triangles import Triangles

HOLES_TOLD, THIN_TOLD = 8, 6
STILL_MM = 1e-6
"""Rounding, and no move."""
LEAST_MM = 0.1
"""Less than this is told as less than 0.1 mm, or as nothing where it is an offset."""


def lines(one: Inspected) -> tuple[str, ...]:
    """The report, line by line."""
    said = [
        f"{one.name}: {one.faces:,} faces, {one.points:,} points, half the edges shorter than {one.edge_mm:.2g} mm",
        f"Size: {_lengths(one.size_mm)} mm (width, depth, height)",
        f"Unit: {one.unit} ({one.unit_reason})",
        f"Read with {_way(one.up, one.front, one.turn_deg)}. Likely ways:",
    ]
    for number, guess in enumerate(one.guesses, 1):
        reasons = "; ".join(guess.reasons)
        way = _way(guess.up, guess.front, guess.turn_deg)
        said.append(f"  {number}. {way} ({100 * guess.confidence:.0f} %): {reasons}")
    said.append(f"Symmetry: {plane_words(one.symmetry)}")
    said.append(f"Bodies: {one.body_count:,}")
    if one.body_count > 1:
        said += [f"  {body.place}: {body.faces:,} faces, {_lengths(body.size_mm)} mm" for body in one.bodies]
        if one.body_count > len(one.bodies):
            said.append(f"  and {one.body_count - len(one.bodies):,} smaller")
    said.append(f"Holes: {len(one.holes)}")
    for hole in one.holes[:HOLES_TOLD]:
        end = "will be closed" if hole.closes else "stays open"
        said.append(f"  {hole.place}, {hole.across_mm:.2g} mm across, {hole.round_mm:.3g} mm round: {end}")
    if len(one.holes) > HOLES_TOLD:
        said.append(f"  and {len(one.holes) - HOLES_TOLD} more")
    said.append(f"Thin parts: {thin_words(one.thin)}")
    said += [f"  {text}" for text in thin_list(one.thin)]
    said.append("Cleaning: " + ("nothing to mend" if not one.cleaning else ""))
    said += [f"  {text}" for text in one.cleaning]
    said.append(f"  {moved_words(one)}; {counted(one.faces_after, 'face')} after it, {closed_words(one.closed)}")
    return tuple(line.rstrip() for line in said)


def moved_words(one: Inspected) -> str:
    """How far cleaning moves the surface."""
    if one.moved_mm < STILL_MM:
        return "the surface stays where it was"
    return f"the surface moves by {_mm(one.moved_rms_mm)} rms, {_mm(one.moved_mm, 'at most ')}"


def closed_words(closed: bool) -> str:
    """Whether a surface is closed."""
    return "closed" if closed else "not closed"


def plane_words(symmetry: Symmetry) -> str:
    """Where the plane between left and right stands, how it leans, and how far the halves miss each other."""
    left, back, up = symmetry.normal
    # the front lies in the plane, square to its normal and level
    bearing = float(np.degrees(np.arctan2(back, left)))
    lean = float(np.degrees(np.arcsin(np.clip(up, -1.0, 1.0))))
    stands = f"the plane between left and right faces bearing {_degrees(bearing)}, leans {_degrees(lean)}"
    halves = f"the halves differ by {_mm(symmetry.rms_mm)} rms, 95 in 100 places by {_mm(symmetry.most_mm, 'at most ')}"
    x = symmetry.point[0]
    at = f"and passes {_side(x)} of the middle" if abs(x) >= LEAST_MM else "and passes through the middle"
    verdict = "two like halves" if symmetry.holds else "no two like halves"
    return f"{verdict}; {stands} {at}; {halves}"


def thin_words(thin: Thin) -> str:
    """How much is thin, in one line."""
    if not thin.places:
        return f"nothing thinner than {thin.limit_mm:.2g} mm"
    share = f"{100 * thin.share:.2g} %" if thin.share >= 0.001 else "less than 0.1 %"
    return f"{share} of the surface is thinner than {thin.limit_mm:.2g} mm"


def thin_list(thin: Thin) -> tuple[str, ...]:
    """The thin places, the largest first."""
    told = [f"{one.place}: {one.thick_mm:.2g} mm thick, {one.across_mm:.2g} mm across" for one in thin.places]
    more = [f"and {len(told) - THIN_TOLD} smaller"] if len(told) > THIN_TOLD else []
    return (*told[:THIN_TOLD], *more)


def data(one: Inspected) -> dict[str, Any]:
    """The facts as JSON takes them, without the surface."""
    none = np.zeros((0, 3))
    bare = replace(one, body=Triangles(none, none.astype(np.int32)))
    names = [field.name for field in fields(bare) if field.name != "body"]
    whole = asdict(bare)
    return {name: whole[name] for name in names}


def _lengths(lengths: tuple[float, float, float]) -> str:
    return " × ".join(f"{length:.3g}" for length in lengths)


def _way(up: str, front: str, turn_deg: float) -> str:
    turn = f", turn {turn_deg:.0f}" if turn_deg else ""
    return f"up {up}, front {front}{turn}"


def _mm(length: float, bound: str = "") -> str:
    return f"{bound}{length:.2g} mm" if length >= LEAST_MM else "less than 0.1 mm"


def _side(x: float) -> str:
    return f"{abs(x):.2g} mm to its {'left' if x > 0 else 'right'}"


def _degrees(angle: float) -> str:
    return f"{angle if abs(angle) >= 0.05 else 0.0:.1f}°"
