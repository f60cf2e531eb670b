"""The clean model on its stand in its room: what light falls on and the eye looks at."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from builder.arrays import Bytes, Floats, Ints, frozen
from builder.errors import Notice


class Part(IntEnum):
    """What a triangle belongs to."""

    MODEL = 0
    PLINTH = 1
    GROUND = 2
    BACKDROP = 3


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """Triangles with shading normals.

    vertices (n, 3) float64, mm, model frame, split where a crease gives one point several normals; faces (m, 3) int32,
    counter-clockwise from outside; normals (n, 3) float64, unit; parts (m,) uint8, a :class:`Part` per face.
    """

    vertices: Floats
    faces: Ints
    normals: Floats
    parts: Bytes

    def __post_init__(self) -> None:
        """Freeze the arrays and check that they belong together."""
        object.__setattr__(self, "vertices", frozen(self.vertices, "f8", (None, 3)))
        object.__setattr__(self, "faces", frozen(self.faces, "i4", (None, 3)))
        object.__setattr__(self, "normals", frozen(self.normals, "f8", (len(self.vertices), 3)))
        object.__setattr__(self, "parts", frozen(self.parts, "u1", (len(self.faces),)))


@dataclass(frozen=True, slots=True)
class ModelFacts:
    """What was measured of the sculpture itself (plinth and room left out); lengths in mm."""

    width_mm: float
    depth_mm: float
    height_mm: float
    faces: int
    faces_in_file: int
    area_mm2: float
    volume_mm3: float | None
    """``None`` when the surface is not closed."""
    closed: bool
    holes_left: int
    deviation_mm: float
    """No point of the surface as used lies farther than this from the surface as read: fewer faces and smoothing
    together, as measured. What was cut away and closed is not counted."""


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """The sculpture standing on its plinth on a ground plane, in a round room.

    The sculpture's base is at z = 0, the plinth's top too; the ground lies at ``ground_mm`` (<= 0). ``scene`` holds
    every triangle, the sculpture's first: ``scene.faces[:body_faces]`` and ``scene.vertices[:body_vertices]``.
    """

    name: str
    scene: Surface
    body_faces: int
    body_vertices: int
    ground_mm: float
    facts: ModelFacts
    notices: tuple[Notice, ...]

    @property
    def size_mm(self) -> float:
        """Greatest extent of the sculpture along an axis."""
        return max(self.facts.width_mm, self.facts.depth_mm, self.facts.height_mm)

    @property
    def middle_mm(self) -> Floats:
        """(3,) centre of the sculpture's bounding box: what eyes and lamps aim at."""
        body = self.scene.vertices[: self.body_vertices]
        middle: Floats = frozen((body.min(axis=0) + body.max(axis=0)) / 2, "f8", (3,))
        return middle
