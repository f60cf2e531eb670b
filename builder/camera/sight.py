"""What each pixel of a view sees: once per view, whatever the lamp."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from builder.arrays import Floats, Ints, Singles, frozen

SUPERSAMPLE = 2
"""Samples along one side of a pixel."""


@dataclass(frozen=True, slots=True, eq=False)
class Eye:
    """A pinhole camera standing in the model frame.

    position (3,) mm; world_from_camera (4, 4), camera frame x right, y up, looking along -z; tan_x, tan_y: tangents of
    the half angles of the picture; warnings as text for the report.
    """

    number: int
    position: Floats
    world_from_camera: Floats
    tan_x: float
    tan_y: float
    width_px: int
    height_px: int
    distance_mm: float

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "position", frozen(self.position, "f8", (3,)))
        object.__setattr__(self, "world_from_camera", frozen(self.world_from_camera, "f8", (4, 4)))


@dataclass(frozen=True, slots=True, eq=False)
class Sight:
    """Triangles seen at ``SUPERSAMPLE`` x ``SUPERSAMPLE`` samples a pixel, row 0 at the top.

    face (h*s, w*s) int32, index into the scene's faces, -1 where the ray meets nothing; u, v (h*s, w*s) float32, the
    perspective-correct weights of the face's second and third vertex (0 where nothing is met).
    """

    eye: Eye
    face: Ints
    u: Singles
    v: Singles
    method: Literal["raster", "rays"]
