"""What was found of a mesh file, in lines for a person and as plain data for a machine."""

from __future__ import annotations

from dataclasses import asdict, fields, replace
from typing import Any

import numpy as np

from builder.model.counts import counted
from builder.model.inspected import Inspected, place_words
from builder.model.triangles import Triangles

HOLES_TOLD = 8


def lines(one: Inspected) -> tuple[str, ...]:
    """The report, line by line."""
    said = [
        f"{one.name}: {one.faces:,} faces, {one.points:,} points, half the edges shorter than {one.edge_mm:.2g} mm",
        f"Size: {_lengths(one.size_mm)} mm (width, depth, height)",
        f"Unit: {one.unit} ({one.unit_reason})",
        f"Read with up {one.up}, front {one.front}. Likely ways:",
    ]
    for number, guess in enumerate(one.guesses, 1):
        reasons = "; ".join(guess.reasons)
        said.append(f"  {number}. up {guess.up}, front {guess.front} ({100 * guess.confidence:.0f} %): {reasons}")
    said.append(f"Halves left and right differ by {one.mirror_mm:.2g} mm rms")
    said.append(f"Bodies: {one.body_count:,}")
    if one.body_count > 1:
        said += [f"  {body.faces:,} faces, {_lengths(body.size_mm)} mm" for body in one.bodies]
    said.append(f"Holes: {len(one.holes)}")
    for hole in one.holes[:HOLES_TOLD]:
        end = "will be closed" if hole.closes else "stays open"
        said.append(f"  {hole.place}, {hole.across_mm:.2g} mm across, {hole.round_mm:.3g} mm round: {end}")
    if len(one.holes) > HOLES_TOLD:
        said.append(f"  and {len(one.holes) - HOLES_TOLD} smaller ones")
    if one.thin.place is None:
        said.append(f"Thin parts: nothing thinner than {one.thin.limit_mm:.2g} mm")
    else:
        where = place_words(np.array(one.thin.place), one.body)
        said.append(
            f"Thin parts: {100 * one.thin.share:.2g} % of the surface is thinner than {one.thin.limit_mm:.2g} mm, "
            f"down to {one.thin.least_mm:.2g} mm; their middle lies {where}"
        )
    said.append("Cleaning: " + ("nothing to mend" if not one.cleaning else ""))
    said += [f"  {text}" for text in one.cleaning]
    said.append(
        f"  the surface moves by {one.moved_rms_mm:.2g} mm rms, {one.moved_mm:.2g} mm at most; "
        f"{counted(one.faces_after, 'face')} after it, {'closed' if one.closed else 'not closed'}"
    )
    return tuple(line.rstrip() for line in said)


def data(one: Inspected) -> dict[str, Any]:
    """The facts as JSON takes them, without the surface."""
    none = np.zeros((0, 3))
    bare = replace(one, body=Triangles(none, none.astype(np.int32)))
    names = [field.name for field in fields(bare) if field.name != "body"]
    whole = asdict(bare)
    return {name: whole[name] for name in names}


def _lengths(lengths: tuple[float, float, float]) -> str:
    return " × ".join(f"{length:.3g}" for length in lengths)
