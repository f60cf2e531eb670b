"""From the triangles of a file to one closed, outward surface, as far as can be had without guessing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.errors import ModelError, Notice, Problem
from builder.model.base import above
from builder.model.bodies import numbered, sculpture
from builder.model.counts import counted
from builder.model.holes import closed
from builder.model.sheets import without_doubles, without_fins
from builder.model.triangles import Triangles, edges_of
from builder.model.weld import welded
from builder.model.winding import agreeing, outward

FAR = 20.0
"""A point this many times as far from the middle as 99 in 100 of the others is an error of measurement."""
SMALLEST_MM = 1e-30
"""Less than this across is no size: areas of it would vanish."""
FLAT = 1e-3
"""Thickness over length below which a mesh is a sheet and no solid."""


@dataclass(frozen=True, slots=True, eq=False)
class Clean:
    """The sculpture's surface, outward; ``holes_left`` gaps in it stay open; ``bodies`` of it touch."""

    triangles: Triangles
    holes_left: int
    bodies: int
    notices: tuple[Notice, ...]


def found(
    triangles: Triangles, where: str, height_mm: float | None, cut_mm: float | None = None
) -> tuple[Triangles, tuple[Notice, ...]]:
    """The sculpture's own faces among the triangles of a file, in mm and upright, and what was left out: with
    ``cut_mm`` all that lies lower than that over the lowest point.

    Raises :class:`ModelError` where there is no solid to be found.
    """
    return found_among(*gathered(triangles, where), where, height_mm, cut_mm)


def gathered(triangles: Triangles, where: str) -> tuple[Triangles, tuple[Notice, ...]]:
    """All pieces of a file, points that coincide made one, without stray points and faces that stand twice."""
    notices: list[Notice] = []
    near, strays = _without_strays(triangles)
    if strays:
        notices.append(Notice(where, f"{counted(strays, 'point')} far off the rest left out, with the faces there"))
    whole = welded(near)
    once = without_doubles(whole)
    if len(once.faces) < len(whole.faces):
        doubles = counted(len(whole.faces) - len(once.faces), "face")
        notices.append(Notice(where, f"{doubles} that stood there twice left out"))
    return once, tuple(notices)


def found_among(
    once: Triangles, told: tuple[Notice, ...], where: str, height_mm: float | None, cut_mm: float | None = None
) -> tuple[Triangles, tuple[Notice, ...]]:
    """:func:`found` of what :func:`gathered` gives."""
    notices = [*told]
    _must_be_solid(once, where)
    smooth = without_fins(once)
    if len(smooth.faces) < len(once.faces):
        fins = counted(len(once.faces) - len(smooth.faces), "face")
        notices.append(Notice(where, f"{fins} that stuck out of the surface or lay across it left out"))
    if cut_mm:
        smooth, cut = above(smooth, cut_mm, height_mm, where)
        notices.append(cut)
    one, pieces = sculpture(smooth, where, height_mm)
    _must_be_solid(one, where)
    return one, (*notices, *pieces)


def mended(triangles: Triangles, where: str, close_mm: float | None = None) -> Clean:
    """The sculpture, in mm at its true size, its faces turned outward, its holes up to ``close_mm`` round closed."""
    notices: list[Notice] = []
    wound, quarrels = agreeing(triangles)
    if quarrels:
        notices.append(Notice(where, f"the surface is one-sided: along {counted(quarrels, 'edge')} it has no outside"))
    body = numbered(wound, edges_of(wound))
    turned = outward(wound, body)
    flipped = int((turned.faces != triangles.faces).any(axis=1).sum())
    if flipped:
        text = f"{counted(flipped, 'face')} of {len(triangles.faces):,} turned over: inside out"
        notices.append(Notice(where, text))
    whole, left, told = closed(turned, where, close_mm)
    return Clean(whole, left, int(body.max()) + 1, (*notices, *told))


def _without_strays(triangles: Triangles) -> tuple[Triangles, int]:
    """The triangles without the few points that lie absurdly far off, and how many they were."""
    middle = np.median(triangles.vertices, axis=0)
    distance = np.linalg.norm(triangles.vertices - middle, axis=1)
    far = distance > FAR * np.quantile(distance, 0.99)
    count = int(far.sum())
    if count == 0 or far[triangles.faces].any(axis=1).all():
        return triangles, 0
    return triangles.chosen(~far[triangles.faces].any(axis=1)), count


def _must_be_solid(triangles: Triangles, where: str) -> None:
    """Raise :class:`ModelError` for a mesh that is a face, a sheet or nothing."""
    if len(triangles.faces) < 4:
        found = "one face" if len(triangles.faces) == 1 else f"{len(triangles.faces)} faces"
        raise ModelError(
            Problem(where, f"holds {found}, and a solid has at least 4", do="export the whole surface of the model")
        )
    if triangles.size < SMALLEST_MM:
        raise ModelError(
            Problem(where, f"is {triangles.size:.1g} mm across: it has no size", do="export the model at its true size")
        )
    spread = np.linalg.svd(triangles.vertices - triangles.vertices.mean(axis=0), compute_uv=False)
    if spread[2] <= FLAT * spread[0]:
        raise ModelError(Problem(where, "is flat: it has no depth to draw", do="export the whole surface of the model"))
