"""Rays against triangles, by Embree."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from embreex.mesh_construction import TriangleMesh
from embreex.rtcore_scene import EmbreeScene

from builder.arrays import Bools, Ints, Singles
from builder.model.model import Surface


@dataclass(frozen=True, slots=True, eq=False)
class Hits:
    """First hits of rays: face (n,) int32, -1 where nothing was hit; u, v (n,) float32, the weights of the face's
    second and third vertex; distance (n,) float32 in lengths of the ray's direction, inf where nothing was hit.
    """

    face: Ints
    u: Singles
    v: Singles
    distance: Singles


class Tracer:
    """An Embree scene over one surface. Holds a native handle: make it where it is used, it does not travel.

    ``extent_mm`` is the greatest coordinate of a vertex, regardless of sign: what single precision rounds against.
    """

    def __init__(self, surface: Surface) -> None:
        self.extent_mm = float(np.abs(surface.vertices).max(initial=0.0))
        self._scene = EmbreeScene()
        self._mesh = TriangleMesh(
            self._scene, surface.vertices.astype(np.float32), np.ascontiguousarray(surface.faces, dtype=np.int32)
        )

    def first(self, origins: Singles, directions: Singles) -> Hits:
        """First hit of each ray; origins and directions (n, 3) float32, mm."""
        if len(origins) == 0:
            none = np.zeros(0, np.float32)
            return Hits(np.zeros(0, np.int32), none, none, none)
        found = self._scene.run(origins, directions, query="INTERSECT", output=1)
        face = found["primID"].astype(np.int32)
        miss = face < 0
        distance = np.where(miss, np.float32(np.inf), found["tfar"]).astype(np.float32)
        return Hits(face, found["u"].astype(np.float32), found["v"].astype(np.float32), distance)

    def blocked(self, origins: Singles, directions: Singles, reach: Singles | None = None) -> Bools:
        """Whether each ray meets anything within ``reach`` lengths of its direction (anywhere when ``None``)."""
        if len(origins) == 0:
            return np.zeros(0, np.bool_)
        dists = None if reach is None else np.ascontiguousarray(reach, dtype=np.float32)
        found = self._scene.run(origins, directions, dists, query="OCCLUDED")
        return np.asarray(found) >= 0
