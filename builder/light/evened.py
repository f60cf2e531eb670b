"""Light straight from the lamps, evened out over the patch of surface that each vertex stands for.

A ray that lands on a triangle takes the light of one of its corners along. Where a shadow's edge runs between corners,
or a body covers part of the triangle, the corners' own light says little about the rest of it: a slab would be dotted
with dark along its foot wherever the nearest corner of the ground happens to lie in a sliver of shadow.
"""

from __future__ import annotations

import numpy as np

from builder.arrays import Bools, Floats, Singles
from builder.light.areas import face_areas, piece_middles, piece_points
from builder.light.direct import lamp_irradiance
from builder.light.lit import Emitter
from builder.light.origins import LIFT
from builder.model.model import Surface
from builder.model.tracer import Tracer

TORN = 0.1
"""Difference between corners in the share they see of a lamp, from which a triangle is looked at piece by piece."""
PIECES = 3
"""Pieces along each side that such a triangle is cut into."""
LAMP_POINTS = 4
"""Lamp points that each piece looks at; the pieces of a triangle look at different ones."""


def evened(
    scene: Surface, direct: Singles, unshadowed: Singles, buried: Bools, emitters: tuple[Emitter, ...], tracer: Tracer
) -> Singles:
    """Irradiance over pi from all lamps, the mean over the part of each vertex's patch that lies open, (n,) float32.

    The patch's middle counts most, its rim least, so that the light on the surface as a whole stays what it is.

    Args:
        scene: the surface.
        direct: (lamps, n) float32, irradiance over pi of the vertices with the shadows cast.
        unshadowed: (lamps, n) float32, the same without.
        buried: (n,) vertices shut in under a body.
        emitters: the lamps.
        tracer: what can stand between.

    """
    own = direct.sum(axis=0, dtype=np.float64)
    torn = _torn(scene, direct, unshadowed, buried)
    if not torn.any():
        return np.asarray(own, np.float32)
    weights = piece_middles(PIECES)
    points, normals = piece_points(scene, torn, weights)
    phases = np.arange(len(points), dtype=np.int32) % np.int32(len(weights))
    light = np.zeros(len(points))
    for emitter in emitters:
        light += lamp_irradiance(points, normals, emitter, LAMP_POINTS, phases, tracer)[0]
    free = np.ones(len(points))
    partly = np.repeat(buried[scene.faces[torn]].any(axis=1), len(weights))
    free[partly] = ~_covered(scene, points[partly], normals[partly], tracer)
    return _means(scene, own, torn, weights, light, free)


def _torn(scene: Surface, direct: Singles, unshadowed: Singles, buried: Bools) -> Bools:
    """(m,) triangles that a shadow's edge crosses or a body covers in part."""
    shut = buried[scene.faces]
    torn = np.asarray(shut.any(axis=1) & ~shut.all(axis=1))
    for seen, given in zip(direct, unshadowed, strict=True):
        facing = given > 0.0
        share = np.divide(seen, given, out=np.zeros_like(seen), where=facing)
        most = np.where(facing, share, 0.0)[scene.faces].max(axis=1)
        least = np.where(facing, share, 1.0)[scene.faces].min(axis=1)
        torn |= most - least > TORN
    return torn


def _covered(scene: Surface, points: Floats, normals: Floats, tracer: Tracer) -> Bools:
    """(k,) whether the first thing straight above each point is the inside of a body."""
    rays = normals.astype(np.float32)
    hits = tracer.first((points + normals * (LIFT * tracer.extent_mm)).astype(np.float32), rays)
    corners = scene.vertices[scene.faces[hits.face]]
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    inside: Bools = (hits.face >= 0) & (np.einsum("ij,ij->i", across, normals) > 0.0)
    return inside


def _means(scene: Surface, own: Floats, torn: Bools, weights: Floats, light: Floats, free: Floats) -> Singles:
    """Every vertex's mean over its triangles: of torn ones over their free pieces, of others its own light."""
    count, area = len(own), face_areas(scene)
    faces = scene.faces[torn]
    size = (area[torn, None] / len(weights) * free.reshape(len(faces), -1))[:, :, None] * weights[None]
    corner = np.repeat(faces[:, None, :], len(weights), axis=1).ravel()
    room = np.bincount(corner, size.ravel(), count)
    got = np.bincount(corner, (size * light.reshape(len(faces), -1, 1)).ravel(), count)
    rest = np.bincount(scene.faces[~torn].ravel(), np.repeat(area[~torn] / 3.0, 3), count)
    touched = np.zeros(count, np.bool_)
    touched[faces.ravel()] = True
    touched &= room + rest > 0.0
    result = own.copy()
    result[touched] = (got + rest * own)[touched] / (room + rest)[touched]
    return result.astype(np.float32)
