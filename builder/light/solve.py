"""All the light on a model under one lighting: lamps, ambient, and every bounce between surfaces."""

from __future__ import annotations

import math
import os
from concurrent.futures import ThreadPoolExecutor

import numba
import numpy as np

from builder.arrays import Bools, Bytes, Floats, Ints, Singles
from builder.light.areas import face_areas, vertex_areas
from builder.light.buried import filled
from builder.light.direct import vertex_irradiance
from builder.light.evened import evened
from builder.light.glare import glare
from builder.light.lamps import place
from builder.light.lit import LightFacts, Lit
from builder.light.quantile import weighted_quantile
from builder.light.smooth import smoothed
from builder.light.transport import Transport
from builder.model.model import Model, Part, Surface
from builder.model.tracer import Tracer
from builder.study.description import Finish, Lighting

BRIGHTEST = 0.80
"""Relative luminance that the brightest lights of the sculpture are exposed to: a value of about 9.15, which leaves
room above for a true white."""
BRIGHT_SHARE = 0.98
"""Share of the lit surface that is no brighter than that."""

GLARE = 2.0
"""Light straight from the lamps that the gathered rays pass on, at most, against the most that the sculpture would get
if nothing stood between; see :mod:`builder.light.glare` for the rest."""
_SETTLED = 1e-3
_LEAST_BOUNCES, _MOST_BOUNCES = 2, 64
_CHUNK = 1 << 12


def solve(model: Model, lighting: Lighting, finish: Finish, transport: Transport) -> Lit:
    """The light on every vertex of the scene, before exposure, and the exposure to show it with.

    The ambient is a dome of uniform radiance 2**ambient_stops, seen through the room's open top. The plinth has the
    model's reflectance: both are of one material. Exposure takes the luminance that 98 % of the key-lit surface of the
    sculpture stays under (all of it, where the key meets nothing) to a relative luminance of 0.80.

    Raises:
        LightError: a lamp stands where no lamp can stand.

    """
    scene = model.scene
    assert len(transport.seen) == len(scene.vertices), "transport belongs to another model"
    emitters = place(lighting, model)
    tracer = Tracer(scene)
    lights = [vertex_irradiance(model, emitter, tracer) for emitter in emitters]
    direct, unshadowed = np.stack([light[0] for light in lights]), np.stack([light[1] for light in lights])

    reflectance = np.array([finish.model, finish.model, finish.ground, finish.backdrop], np.float32)
    albedo = reflectance[vertex_parts(scene)]
    area = vertex_areas(scene)
    body = np.arange(len(area)) < model.body_vertices
    dome = 2.0**lighting.ambient_stops
    first = evened(scene, direct, unshadowed, transport.buried, emitters, tracer)
    most = GLARE * float(unshadowed[:, body].sum(axis=0).max())
    spill = glare(scene, first, most, albedo, emitters, tracer)
    rough, bounces = gathered(transport, albedo, np.minimum(first, np.float32(most)), dome, spill)
    indirect = filled(scene, transport.buried, smoothed(scene, rough))

    irradiance = direct.sum(axis=0, dtype=np.float64) + indirect
    luminance = albedo * irradiance
    below = _underside(model)
    if below.any():
        floor = _mean_over(scene, Part.GROUND, luminance)
        indirect[below] = 0.0 if floor is None else floor
    exposure = _exposure(luminance[body], area[body], direct[0, body] > 0.0)
    wall = _mean_over(scene, Part.BACKDROP, luminance)
    # sums of products, not dot products, which add up in another order on another number of processors
    total = float((area[body] * irradiance[body]).sum())
    return Lit(
        name=lighting.name,
        emitters=emitters,
        direct=direct,
        open=unshadowed,
        indirect=indirect,
        reflectance=reflectance,
        backdrop=dome if wall is None else wall,
        facts=LightFacts(
            exposure=exposure,
            exposure_stops=math.log2(exposure),
            bounces=bounces,
            indirect_share=float((area[body] * indirect[body]).sum()) / total if total > 0.0 else 0.0,
        ),
    )


def gathered(
    transport: Transport, albedo: Singles, first: Singles, dome: float, spill: Singles | float = 0.0
) -> tuple[Singles, int]:
    """Indirect irradiance over pi: the dome's light, what is spilled besides, and both and the light ``first`` going on
    from surface to surface until a further bounce adds nowhere more than a thousandth of the mean.

    Args:
        transport: what each vertex sees.
        albedo: (n,) float32 reflectance.
        first: (n,) float32 irradiance over pi that sets out.
        dome: radiance of the sky.
        spill: (n,) float32 irradiance over pi that arrives indirectly without being gathered.

    Returns:
        indirect (n,) float32, and how many bounces were followed.

    """
    ambient = (transport.sky * np.float32(dome) + spill).astype(np.float32)
    indirect = ambient
    for bounce in range(1, _MOST_BOUNCES + 1):
        following = ambient + mean_met(transport.seen, albedo * (first + indirect))
        change = float(np.abs(following - indirect).max())
        settled = change <= _SETTLED * float(following.mean(dtype=np.float64))
        indirect = following
        if settled and bounce >= _LEAST_BOUNCES:
            break
    return indirect, bounce


def _underside(model: Model) -> Bools:
    """Vertices of the plinth's underside, (n,). It lies on the ground and gets no light; but an eye below the ground
    looks at it as at a shelf from beneath, over a floor as bright as the ground is here.
    """
    scene = model.scene
    level = (scene.normals[:, 2] < -0.999) & (scene.vertices[:, 2] <= model.ground_mm + 1e-6)
    return np.asarray(level & (vertex_parts(scene) == Part.PLINTH))


def vertex_parts(scene: Surface) -> Bytes:
    """Part each vertex belongs to, (n,) uint8."""
    parts = np.zeros(len(scene.vertices), np.uint8)
    parts[scene.faces.ravel()] = np.repeat(scene.parts, 3)
    return parts


def _mean_over(scene: Surface, part: Part, values: Floats) -> float | None:
    """Mean over the part's area; ``None`` where the scene has no such part."""
    chosen = scene.parts == part
    if not chosen.any():
        return None
    return float(np.average(values[scene.faces[chosen]].mean(axis=1), weights=face_areas(scene)[chosen]))


def _exposure(luminance: Floats, area: Floats, keyed: Bools) -> float:
    """Factor that takes the chosen quantile of the lit surface's luminance to :data:`BRIGHTEST`."""
    if keyed.any():
        luminance, area = luminance[keyed], area[keyed]
    bright = weighted_quantile(luminance, area, BRIGHT_SHARE)
    return BRIGHTEST / bright if bright > 0.0 else 1.0


def mean_met(seen: Ints, radiosity: Singles) -> Singles:
    """Mean radiosity over each vertex's rays, (n,) float32; sky and dark give nothing."""
    found = np.zeros(len(seen), np.float32)

    def work(start: int) -> None:
        _sum_rows(seen[start : start + _CHUNK], radiosity, found[start : start + _CHUNK])

    with ThreadPoolExecutor(os.cpu_count()) as pool:
        list(pool.map(work, range(0, len(seen), _CHUNK)))
    return found


@numba.njit(cache=True, nogil=True)
def _sum_rows(seen: Ints, radiosity: Singles, found: Singles) -> None:
    rays = seen.shape[1]
    for i in range(len(seen)):
        total = 0.0
        for k in range(rays):
            if seen[i, k] >= 0:
                total += radiosity[seen[i, k]]
        found[i] = total / rays
