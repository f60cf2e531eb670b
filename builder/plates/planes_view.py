"""A planes model as one eye sees it: which plane each pixel shows, whatever the lamp."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bytes, Ints, frozen
from builder.camera.sight import SUPERSAMPLE
from builder.form.looked import Looked
from builder.form.planes_lines import planes_drawing
from builder.form.stroke_svg import drawing_svg
from builder.planes.planes_model import PlanesModel
from builder.plates.surroundings import Surroundings, surroundings


@dataclass(frozen=True, slots=True, eq=False)
class PlanesView:
    """A view of a planes model.

    ``looked`` is the planes model's own. plane (h, w) int32: the plane that most of a pixel's samples on the sculpture
    see (of equals the first met), -1 where none does; sample (h, w) int32: flat index of the first of these. rim (r,)
    int32: flat indices of the pixels that do not see one plane alone; rim_planes (r, 4) int32: what their samples see,
    -1 for what is not the sculpture; ``around``: what is seen beside the sculpture. ``lines``: the edges of the planes
    as an SVG file.
    """

    looked: Looked
    broken: PlanesModel
    plane: Ints
    sample: Ints
    rim: Ints
    rim_planes: Ints
    around: Surroundings
    lines: bytes

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "plane", frozen(self.plane, "i4", (None, None)))
        object.__setattr__(self, "sample", frozen(self.sample, "i4", self.plane.shape))
        object.__setattr__(self, "rim", frozen(self.rim, "i4", (None,)))
        object.__setattr__(self, "rim_planes", frozen(self.rim_planes, "i4", (len(self.rim), SUPERSAMPLE**2)))


def view_planes(looked: Looked, broken: PlanesModel) -> PlanesView:
    """What a view shows of the planes."""
    size = looked.subject.shape
    plane, sample = np.full(size, -1, np.int32), np.full(size, -1, np.int32)
    mixed = np.zeros(size, np.uint8)
    _look(looked.sight.face, broken.plane_of_face, SUPERSAMPLE, plane, sample, mixed)
    rim = np.flatnonzero(mixed).astype(np.int32)
    rim_planes = np.full((len(rim), SUPERSAMPLE**2), -1, np.int32)
    _list(looked.sight.face, broken.plane_of_face, SUPERSAMPLE, rim, rim_planes)
    around = surroundings(looked.sight, looked.model.scene.faces, looked.model.body_faces)
    lines = drawing_svg(planes_drawing(looked, broken.planes))
    return PlanesView(looked, broken, plane, sample, rim, rim_planes, around, lines)


@njit(cache=True, nogil=True)
def _look(face: Any, owner: Any, side: int, plane: Any, sample: Any, mixed: Bytes) -> None:
    body = len(owner)
    at = np.zeros(side * side, np.int64)
    for y in range(plane.shape[0]):
        for x in range(plane.shape[1]):
            different = False
            for k in range(side * side):
                f = face[y * side + k // side, x * side + k % side]
                at[k] = owner[f] if 0 <= f < body else -1
                different = different or at[k] != at[0]
            if not different and at[0] < 0:
                continue
            best, most = -1, 0
            for k in range(side * side):
                count = 0
                for other in range(side * side):
                    if at[k] >= 0 and at[other] == at[k]:
                        count += 1
                if count > most:
                    best, most = k, count
            plane[y, x] = at[best]
            sample[y, x] = (y * side + best // side) * face.shape[1] + x * side + best % side
            mixed[y, x] = different


@njit(cache=True, nogil=True)
def _list(face: Any, owner: Any, side: int, rim: Any, rim_planes: Any) -> None:
    body, width = len(owner), face.shape[1] // side
    for r in range(len(rim)):
        y, x = rim[r] // width, rim[r] % width
        for k in range(side * side):
            f = face[y * side + k // side, x * side + k % side]
            if 0 <= f < body:
                rim_planes[r, k] = owner[f]
