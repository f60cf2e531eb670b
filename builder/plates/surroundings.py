"""What an eye sees round the planes: plinth, ground and backdrop, pixel by pixel, whatever the lamp."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from builder.arrays import Ints, Singles, frozen
from builder.camera.sight import SUPERSAMPLE, Sight

SCULPTURE, SEVERAL = -2, -1


@dataclass(frozen=True, slots=True, eq=False)
class Surroundings:
    """The surroundings of the sculpture in a view.

    face (h, w) int32: the triangle that all samples of a pixel see, :data:`SEVERAL` where they see more than one thing
    or nothing, :data:`SCULPTURE` where all see the sculpture; u, v (h, w) float32: the weights of the triangle's second
    and third corner in the middle of the samples; piece (h, w) int32: the piece of surface without a crease that all
    samples of a pixel off the sculpture see, -1 where there is not one.
    """

    face: Ints
    u: Singles
    v: Singles
    piece: Ints

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "face", frozen(self.face, "i4", (None, None)))
        object.__setattr__(self, "u", frozen(self.u, "f4", self.face.shape))
        object.__setattr__(self, "v", frozen(self.v, "f4", self.face.shape))
        object.__setattr__(self, "piece", frozen(self.piece, "i4", self.face.shape))


def surroundings(sight: Sight, corners: Ints, body: int) -> Surroundings:
    """What a sight shows of triangles ``corners`` (m, 3), the first ``body`` of which are the sculpture's."""
    size = (sight.eye.height_px, sight.eye.width_px)
    face = np.full(size, SCULPTURE, np.int32)
    piece = np.full(size, -1, np.int32)
    u, v = np.zeros((2, *size), np.float32)
    _find(sight.face, sight.u, sight.v, _pieces(corners, body), body, SUPERSAMPLE, face, u, v, piece)
    return Surroundings(face, u, v, piece)


def _pieces(corners: Ints, body: int) -> Ints:
    """(m,) a number that triangles share which hang together, vertex by vertex; -1 on the sculpture."""
    rest = corners[body:]
    first = int(rest.min(initial=0))
    ends = np.concatenate([rest[:, :2], rest[:, 1:]]) - first
    count = int(corners.max()) + 1 - first
    joined = coo_array((np.ones(len(ends), np.int8), (ends[:, 0], ends[:, 1])), shape=(count, count))
    _, number = connected_components(joined, directed=False)
    pieces = np.full(len(corners), -1, np.int32)
    pieces[body:] = number[rest[:, 0] - first]
    return pieces


@njit(cache=True, nogil=True)
def _find(
    seen: Any, second: Any, third: Any, number: Any, body: int, side: int, face: Any, u: Any, v: Any, piece: Any
) -> None:  # fmt: skip
    samples = np.float32(side * side)
    for y in range(face.shape[0]):
        for x in range(face.shape[1]):
            first = seen[y * side, x * side]
            whole, off, one, own = first >= body, False, True, -1
            q, r = np.float32(0.0), np.float32(0.0)
            for j in range(y * side, y * side + side):
                for i in range(x * side, x * side + side):
                    f = seen[j, i]
                    whole = whole and f == first
                    q += second[j, i]
                    r += third[j, i]
                    if 0 <= f < body:
                        continue
                    off = True
                    if f < 0 or (own >= 0 and number[f] != own):
                        one = False
                    else:
                        own = number[f]
            if off:
                face[y, x] = -1
                piece[y, x] = own if one else -1
            if whole:
                face[y, x], u[y, x], v[y, x] = first, q / samples, r / samples
