"""Where a ray leaves the surface, so that flat triangles do not shade a form that is meant to be smooth."""

from __future__ import annotations

import numpy as np

from builder.arrays import Bools, Floats, Ints, Singles
from builder.light.edges import edges
from builder.model.model import Surface

LIFT = 4e-6
"""Height above the surface at which rays start, in extents of the scene. Some seventy roundings of single precision;
ten times as much already lets light into the fold of a mouth."""

_PULL = 0.05
"""How far the rays of a vertex on a border start towards the middle of its own triangles: where two bodies meet, each
looks out from its own side of the joint."""


def vertex_origins(surface: Surface) -> Floats:
    """The vertices, those on a border or crease moved a little way on to their own triangles.

    Returns:
        (n, 3) float64, mm: a border vertex lies a twentieth of the way to the mean of its triangles' middles, and not
        below the plane its normal stands on.

    """
    border = _border(surface)
    count = len(surface.vertices)
    middles = surface.vertices[surface.faces].mean(axis=1)
    corner = surface.faces.ravel()
    each = np.maximum(np.bincount(corner, minlength=count), 1)
    mean = np.stack([np.bincount(corner, np.repeat(middles[:, k], 3), count) for k in range(3)], axis=1) / each[:, None]
    move = np.where(border[:, None], mean - surface.vertices, 0.0) * _PULL
    move -= surface.normals * np.minimum(np.einsum("ij,ij->i", move, surface.normals), 0.0)[:, None]
    points: Floats = surface.vertices + move
    return points


def _border(surface: Surface) -> Bools:
    """Whether each vertex ends an edge that only one triangle has, (n,)."""
    ends, uses = edges(surface)
    border = np.zeros(len(surface.vertices), np.bool_)
    border[ends[uses == 1]] = True
    return border


def smooth_points(surface: Surface, face: Ints, u: Singles, v: Singles) -> Floats:
    """Points of triangles, raised on to the smooth form that the shading normals describe.

    Rays to a lamp that start here do not meet the neighbouring flat triangles, which draw a saw-tooth along the edge of
    light on coarse meshes. J. Hanika, "Hacking the Shadow Terminator", Ray Tracing Gems II (2021), chapter 4.

    Args:
        surface: the triangles.
        face: (n,) int32 face indices.
        u: (n,) weights of the faces' second vertices.
        v: (n,) weights of the faces' third vertices.

    Returns:
        (n, 3) float64, mm; where the form bends inwards the points stay on the triangles.

    """
    corners = surface.faces[face]
    weights = np.stack([1.0 - u - v, u, v], axis=1).astype(np.float64)
    flat = np.einsum("ij,ijk->ik", weights, surface.vertices[corners])
    raised = flat.copy()
    for k in range(3):
        normals = surface.normals[corners[:, k]]
        depth = np.einsum("ij,ij->i", flat - surface.vertices[corners[:, k]], normals)
        raised -= (weights[:, k] * np.minimum(depth, 0.0))[:, None] * normals
    points: Floats = raised
    return points
