"""The study as the tutor describes it: plain values, checked, with no arrays and no files opened.

Frame, units and words: millimetres; x to the model's left, y to its back, z up; bearing 0 in front, positive towards
the model's left; eye level and lamp elevation in degrees above the model's middle.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from builder.study.contours import ContourSource

Unit = Literal["mm", "cm", "m", "in"]
Axis = Literal["+x", "-x", "+y", "-y", "+z", "-z"]
LampShape = Literal["disc", "rectangle"]
Range = Literal["full", "pencil"]
CardKind = Literal["inner", "outer"]
SheetMarks = Literal["grid", "sight-size", "none"]
Smoothing = Literal["none", "light", "strong"]


@dataclass(frozen=True, slots=True)
class Length:
    """A length in millimetres, or in sizes of the model (its greatest extent) when ``in_sizes``."""

    value: float
    in_sizes: bool = False

    def mm(self, size_mm: float) -> float:
        """The length in millimetres for a model whose greatest extent is ``size_mm``."""
        return self.value * size_mm if self.in_sizes else self.value


@dataclass(frozen=True, slots=True)
class MeshSource:
    """Where the mesh is and how to read its axes: ``up`` and ``front`` are axes of the file."""

    path: Path
    unit: Unit
    up: Axis
    front: Axis
    height_mm: float | None
    """True height of the sculpture; the mesh is scaled to it. ``None`` keeps the file's own size."""
    crease_deg: float = 40.0
    """Edges that bend more than this stay sharp in the shading."""
    turn_deg: float = 0.0
    """Bearing at which the true front lies when the file is read by its axes; it is turned to bearing 0."""
    cut_below_mm: float | None = None
    """All that lies lower than this over the file's lowest point, at true size, is cut away. ``None``: nothing is."""
    close_holes_mm: float | None = None
    """Holes up to this far round are closed. ``None``: up to a quarter of the model's greatest extent."""
    smooth: Smoothing = "none"
    """How much of the surface's noise is taken off."""


@dataclass(frozen=True, slots=True)
class Stand:
    """The slab under the model. ``None``: in proportion to the model (18 mm under a 300 mm model)."""

    plinth_mm: float | None = None
    margin_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Finish:
    """Diffuse reflectance (0..1) of the model, the ground and the backdrop."""

    model: float = 0.80
    ground: float = 0.40
    backdrop: float = 0.30


@dataclass(frozen=True, slots=True)
class View:
    """A numbered eye position. The number never changes once published."""

    number: int
    bearing_deg: float
    eye_level_deg: float
    distance: Length
    title: str = ""


@dataclass(frozen=True, slots=True)
class Lamp:
    """A flat lamp aimed at the model's middle.

    ``stops`` is its strength against the key: the illuminance it gives at the model's middle, facing it, in powers of
    two (0 for the key itself, -2 a quarter of it). A disc has ``width`` as its diameter and ``height`` equal to it.
    """

    bearing_deg: float
    elevation_deg: float
    distance: Length
    shape: LampShape
    width: Length
    height: Length
    stops: float = 0.0


@dataclass(frozen=True, slots=True)
class Lighting:
    """A named set of one key lamp, optional fill and rim, and the room's ambient."""

    name: str
    title: str
    key: Lamp
    fill: Lamp | None = None
    rim: Lamp | None = None
    ambient_stops: float = -4.0
    """Illuminance of the uniform ambient on an open, level surface, against the key at the model's middle."""
    about: str = ""

    def lamps(self) -> tuple[tuple[str, Lamp], ...]:
        """The lamps that are set, each with its role, the key first."""
        roles = (("key", self.key), ("fill", self.fill), ("rim", self.rim))
        return tuple((role, lamp) for role, lamp in roles if lamp is not None)


@dataclass(frozen=True, slots=True)
class Landmark:
    """A named point on the sculpture, mm in the model frame."""

    name: str
    point_mm: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Zone:
    """A part of the model that gets more than its share of planes: a ball round a point, mm in the model frame.

    ``times``: how much more its surface counts than the rest.
    """

    point_mm: tuple[float, float, float]
    radius_mm: float
    times: float = 4.0


@dataclass(frozen=True, slots=True)
class PlaneChoice:
    """How many planes the model is broken into, level by level from big to small, and whether they mirror.

    ``mirrored`` ``None``: mirrored where the model is symmetrical enough.
    """

    counts: tuple[int, int, int] = (14, 40, 100)
    zone: Zone | None = None
    mirrored: bool | None = None


@dataclass(frozen=True, slots=True)
class Tilt:
    """A line through two landmarks whose angle is worth checking first, under the name that students know it by."""

    name: str
    landmarks: tuple[str, str]


@dataclass(frozen=True, slots=True)
class Guides:
    """How the form is measured: ``unit`` a pair of landmarks whose distance is the unit of comparison; ``tilts`` the
    main lines; ``sections_mm`` from one cross-contour to the next, ``None`` a fifteenth of the model's height;
    ``oblique_deg`` how the third family of cross-contours leans from level; ``squares`` of the grid across the picture.
    """

    unit: tuple[str, str] | None = None
    tilts: tuple[Tilt, ...] = ()
    sections_mm: float | None = None
    oblique_deg: float = 45.0
    squares: int = 6


@dataclass(frozen=True, slots=True)
class CardChoice:
    """Section cards for building the model in clay.

    ``kind``: ``inner`` cards are the form's own sections and stand inside the clay, ``outer`` cards have the form cut
    out and are held against it. ``card_mm`` the card's thickness; ``height_mm`` the clay model's height, ``None`` the
    model's own; ``bridge_mm`` the least width of card that holds; ``cover_mm`` of clay over an inner card's edge.
    """

    count: int = 15
    kind: CardKind = "inner"
    paper: str = "a4"
    """A name of :data:`builder.paper.formats.FORMATS`."""
    card_mm: float = 0.3
    height_mm: float | None = None
    bridge_mm: float = 6.0
    cover_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class PromptChoice:
    """Which prompt kinds the study offers, in order, and how practised its students are."""

    kinds: tuple[str, ...]
    level: Literal["beginner", "steady", "advanced"] = "steady"


@dataclass(frozen=True, slots=True)
class Picture:
    """Size of a plate in pixels."""

    width_px: int = 1200
    height_px: int = 1500


@dataclass(frozen=True, slots=True)
class SheetChoice:
    """How views are printed. ``papers`` are names of :data:`builder.paper.formats.FORMATS`; ``height_mm`` of the frame
    that students draw in, ``None`` the highest that fits beside the picture; ``marks`` what both frames share.
    """

    papers: tuple[str, ...] = ("a4",)
    height_mm: float | None = None
    marks: SheetMarks = "grid"


@dataclass(frozen=True, slots=True)
class Study:
    """One model with its views, lamps, landmarks and prompts, as read from ``models/<name>/study.yml``."""

    name: str
    title: str
    about: str
    credit: str
    """Who made the model and under which licence; shown on the study's page."""
    path: Path
    mesh: MeshSource
    stand: Stand
    finish: Finish
    views: tuple[View, ...]
    lightings: tuple[Lighting, ...]
    landmarks: tuple[Landmark, ...]
    prompts: PromptChoice
    picture: Picture
    planes: PlaneChoice = PlaneChoice()
    guides: Guides = Guides()
    sheets: SheetChoice = SheetChoice()
    cards: CardChoice = CardChoice()
    contours: ContourSource | None = None
    """Given in place of a mesh; ``mesh`` then names the study's own file, in mm, z up, -y in front."""
    range: Range = "full"
    """What tone and value studies are painted in: the values of the light, or those within reach of pencil on paper."""

    def view(self, number: int) -> View | None:
        """The view of that number, or ``None``."""
        return next((view for view in self.views if view.number == number), None)

    def lighting(self, name: str) -> Lighting | None:
        """The lighting of that name, or ``None``."""
        return next((lighting for lighting in self.lightings if lighting.name == name), None)
