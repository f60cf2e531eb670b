"""The triangle each sample sees, by primary rays: needs no graphics library."""

from __future__ import annotations

from importlib.metadata import version
from typing import Literal

import numpy as np

from builder.arrays import Ints
from builder.camera.drawn import part_of, room_faces, solid_faces
from builder.camera.projection import rays
from builder.camera.sight import SUPERSAMPLE, Eye
from builder.model.model import Model
from builder.model.tracer import Tracer

BAND_SAMPLES = 1 << 19
"""Rays cast at a time; bounds the memory used."""


class RayFinder:
    """Casts one ray a sample. The sculpture is kept ready; the room, which is one-sided, is set up for each eye."""

    method: Literal["raster", "rays"] = "rays"

    def __init__(self, model: Model) -> None:
        self._model = model
        self._solid = solid_faces(model)
        self._solid_tracer = Tracer(part_of(model.scene, self._solid))
        self._room: Ints = np.zeros(0, np.int32)
        self._room_tracer: Tracer | None = None
        self.drawn_by = f"rays: Embree by embreex {version('embreex')}"

    def faces(self, eye: Eye) -> Ints:
        """(h, w) int32, index into the scene's faces or -1, at the eye's sample centres."""
        self._set_room(room_faces(self._model, eye))
        rows, columns = eye.height_px * SUPERSAMPLE, eye.width_px * SUPERSAMPLE
        found = np.full((rows, columns), -1, np.int32)
        band = max(1, BAND_SAMPLES // columns)
        for first in range(0, rows, band):
            last = min(first + band, rows)
            found[first:last] = self._first(eye, first, last).reshape(last - first, columns)
        return found

    def close(self) -> None:
        """Let go of the native scenes."""
        self._room_tracer = None

    def _set_room(self, room: Ints) -> None:
        if not np.array_equal(room, self._room):
            self._room = room
            self._room_tracer = Tracer(part_of(self._model.scene, room)) if len(room) else None

    def _first(self, eye: Eye, first: int, last: int) -> Ints:
        directions = np.ascontiguousarray(rays(eye, first, last).reshape(-1, 3), np.float32)
        origins = np.repeat(eye.position[None].astype(np.float32), len(directions), axis=0)
        solid = self._solid_tracer.first(origins, directions)
        face: Ints = np.where(solid.face >= 0, self._solid[solid.face], np.int32(-1))
        if self._room_tracer is not None:
            room = self._room_tracer.first(origins, directions)
            nearer = (room.face >= 0) & (room.distance < solid.distance)
            face[nearer] = self._room[room.face[nearer]]
        return face
