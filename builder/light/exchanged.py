"""The light when the sculpture is exchanged for another of nearly its shape, in the same room under the same lamps.

Lamps and exposure stay as they are, so that the two can be compared value by value. What plinth, ground and backdrop
get from elsewhere hardly changes: their indirect light is kept, and only the new body looks round.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from builder.arrays import Bools, Floats, Ints, Singles, frozen
from builder.light.buried import filled
from builder.light.direct import VERTEX_POINTS, lamp_irradiance
from builder.light.glare import glare
from builder.light.lit import Lit
from builder.light.origins import LIFT, vertex_origins
from builder.light.solve import GLARE, mean_met, vertex_parts
from builder.light.transport import SKY, look_round
from builder.model.model import Model, Surface
from builder.model.tracer import Tracer

BODY_RAYS = 96
"""Rays that each vertex of the body sends out: of a flat plane only the mean over many vertices is shown."""
BODY_POINTS = 2 * VERTEX_POINTS
"""Lamp points that each vertex of the body looks at: the line on which half of the lamp is seen is drawn there as an
edge, and must not waver under a large lamp."""
_SETTLED = 1e-3
_MOST_BOUNCES = 64


@dataclass(frozen=True, slots=True, eq=False)
class Looks:
    """What the body sees: seen (body vertices, k) int32, the vertex of the scene that each ray meets, or
    :data:`~builder.light.transport.SKY` or :data:`~builder.light.transport.DARK`; buried (n,) bool, vertices of the
    scene shut in under a body.
    """

    seen: Ints
    buried: Bools

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "seen", frozen(self.seen, "i4", (None, None)))
        object.__setattr__(self, "buried", frozen(self.buried, np.bool_, (None,)))


def body_looks(model: Model, tracer: Tracer, rays: int = BODY_RAYS) -> Looks:
    """Look round from every vertex of the body; ``tracer`` holds the model's scene."""
    return Looks(look_round(model, rays, model.body_vertices, tracer), _shut_in(model.scene, tracer))


def exchanged(model: Model, before: Lit, ambient_stops: float, looks: Looks, tracer: Tracer) -> Lit:
    """The light on ``model``, whose body stands in the place of that which ``before`` was solved for.

    Args:
        model: the new body with the old plinth, ground and backdrop, vertex for vertex.
        before: the light on the old one; lamps, exposure and the room's indirect light are taken from it.
        ambient_stops: the lighting's.
        looks: what the new body sees.
        tracer: holds the scene of ``model``.

    """
    scene, body = model.scene, model.body_vertices
    rest = len(scene.vertices) - body
    old_body = before.direct.shape[1] - rest
    points = vertex_origins(scene)
    lights = []
    for emitter in before.emitters:
        for part, count in ((slice(body), BODY_POINTS), (slice(body, None), VERTEX_POINTS)):
            lights.append(lamp_irradiance(points[part], scene.normals[part], emitter, count, 0, tracer))
    direct, unshadowed = (
        np.stack([np.concatenate([on[k], off[k]]) for on, off in zip(lights[::2], lights[1::2], strict=True)])
        for k in (0, 1)
    )
    albedo = before.reflectance[vertex_parts(scene)]
    # a corner shut in under a body speaks for the triangles round it: it passes on its open neighbours' light
    first = filled(scene, looks.buried, direct.sum(axis=0, dtype=np.float64).astype(np.float32))
    most = GLARE * float(unshadowed[:, :body].sum(axis=0).max())
    spill = glare(scene, first, most, albedo, before.emitters, tracer)[:body]
    first = np.minimum(first, np.float32(most))
    indirect = np.concatenate([np.zeros(body, np.float32), before.indirect[old_body:]])
    sky = (looks.seen == SKY).mean(axis=1, dtype=np.float32)
    indirect[:body] = ambient = sky * np.float32(2.0**ambient_stops) + spill
    for _ in range(_MOST_BOUNCES):
        following = ambient + mean_met(looks.seen, albedo * (first + indirect))
        change = float(np.abs(following - indirect[:body]).max())
        indirect[:body] = following
        if change <= _SETTLED * float(following.mean(dtype=np.float64)):
            break
    return replace(before, direct=direct, open=unshadowed, indirect=indirect)


def _shut_in(scene: Surface, tracer: Tracer) -> Bools:
    """(n,) whether the first thing straight out from each vertex is the inside of a body."""
    rays: Singles = scene.normals.astype(np.float32)
    starts: Singles = (scene.vertices + scene.normals * (LIFT * tracer.extent_mm)).astype(np.float32)
    hits = tracer.first(starts, rays)
    corners: Floats = scene.vertices[scene.faces[hits.face]]
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    inside: Bools = (hits.face >= 0) & (np.einsum("ij,ij->i", across, scene.normals) > 0.0)
    return inside
