"""The nouns: a card to be cut out, and what is found about a set of them. Lengths are mm of the clay model.

Each card is a flat piece ``thick_mm`` thick in one of three planes, in the model frame (x to the model's left, y to
its back, z up, 0 on the board): ``level`` drawn in x and y, its upper face at z = ``place_mm``; ``upright`` drawn in y
and z, its middle at x = ``place_mm``; ``across`` drawn in x and z, its middle at y = ``place_mm``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import shapely
from shapely import LineString, MultiPolygon, box

from builder.sections.sliced import polygons

Plane = Literal["level", "upright", "across"]
Role = Literal["footprint", "profile", "contour", "foot", "stand"]
Side = Literal["left", "right", "front", "back"]


@dataclass(frozen=True, slots=True)
class Slot:
    """A slot along an axis of the card's plane, cut from (x, y) ``start`` to ``end``, ``width_mm`` wide."""

    start: tuple[float, float]
    end: tuple[float, float]
    width_mm: float

    @property
    def area(self) -> MultiPolygon:
        """What is cut away."""
        half = self.width_mm / 2.0
        (x0, y0), (x1, y1) = self.start, self.end
        along_x = abs(x1 - x0) > abs(y1 - y0)
        grow_x, grow_y = (0.0, half) if along_x else (half, 0.0)
        low, high = (min(x0, x1) - grow_x, min(y0, y1) - grow_y), (max(x0, x1) + grow_x, max(y0, y1) + grow_y)
        return MultiPolygon([box(*low, *high)])


@dataclass(frozen=True, slots=True, eq=False)
class Card:
    """One card. ``whole`` is its outline without slots; ``folds`` are bent, ``guides`` only drawn."""

    role: Role
    name: str
    plane: Plane
    place_mm: float
    whole: MultiPolygon
    slots: tuple[Slot, ...] = ()
    folds: tuple[LineString, ...] = ()
    guides: tuple[LineString, ...] = ()
    notes: tuple[tuple[float, float, str], ...] = ()
    """Words at places of the card's plane."""

    @property
    def shape(self) -> MultiPolygon:
        """The card as cut."""
        shape: shapely.Geometry = self.whole
        for slot in self.slots:
            shape = shapely.difference(shape, slot.area)
        return polygons(shape)

    @property
    def extents_mm(self) -> tuple[float, float]:
        """Width and height of the whole card in its plane."""
        x0, y0, x1, y1 = self.whole.bounds
        return x1 - x0, y1 - y0

    @property
    def measured_mm(self) -> tuple[float, float]:
        """The same without the tabs that are bent under: what a ruler is held to."""
        x0, y0, x1, y1 = self.whole.bounds
        return x1 - x0, y1 - (max(y0, 0.0) if self.folds else y0)


@dataclass(frozen=True, slots=True)
class Undercut:
    """Above a card (0: the footprint) the form stands out over its edge by ``out_mm`` on one side, before the next."""

    card: int
    side: Side
    out_mm: float


@dataclass(frozen=True, slots=True)
class Unreached:
    """A hollow that a template cannot enter from its side: ``deep_mm`` are left for the tool."""

    card: str
    side: Side
    deep_mm: float


@dataclass(frozen=True, slots=True)
class Left:
    """A place of the form too narrow for a card, left to the clay: it stands ``out_mm`` out there over the edge.

    (x, y) ``at_mm`` of the card's plane is a place within it.
    """

    card: str
    out_mm: float
    at_mm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Loose:
    """A piece that nothing holds: part ``letter`` of a card, with its middle at (x, y) of its plane."""

    card: str
    letter: str
    at_mm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Fit:
    """How two cards meet: ``clash_mm`` of card inside card, ``gap_mm`` the greatest play in their slots."""

    one: str
    other: str
    clash_mm: float
    gap_mm: float
