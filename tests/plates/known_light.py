"""Eyes, lamps and light written down by hand, so that plates can be judged without the stages before them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from builder.arrays import Floats
from builder.camera.sight import SUPERSAMPLE, Eye, Sight
from builder.form.footing import find_footing
from builder.form.looked import Looked
from builder.light.lit import Emitter, LightFacts, Lit
from builder.model.model import Model
from builder.model.tracer import Tracer
from builder.plates.causes import Family
from builder.plates.plate import FactValue, LightKind, Shown
from builder.study.description import Guides
from tests.scenes import ball, scene_model


def away(bearing_deg: float, level_deg: float) -> Floats:
    """Unit vector from the model towards a bearing and a level."""
    b, e = np.radians(bearing_deg), np.radians(level_deg)
    return np.array([np.sin(b) * np.cos(e), -np.cos(b) * np.cos(e), np.sin(e)])


def eye_at(
    target: Floats, bearing_deg: float, level_deg: float, distance: float, half_height: float, size: tuple[int, int]
) -> Eye:
    """An eye aimed at ``target`` whose picture, (width, height) px, spans ``half_height`` mm up and down there."""
    towards_eye = away(bearing_deg, level_deg)
    right = np.array([np.cos(np.radians(bearing_deg)), np.sin(np.radians(bearing_deg)), 0.0])
    world_from_camera = np.eye(4)
    world_from_camera[:3, :3] = np.stack([right, np.cross(towards_eye, right), towards_eye], axis=1)
    world_from_camera[:3, 3] = target + towards_eye * distance
    width, height = size
    tan_y = half_height / distance
    return Eye(1, world_from_camera[:3, 3], world_from_camera, tan_y * width / height, tan_y, width, height, distance)


def look(model: Model, eye: Eye) -> Sight:
    """What the eye sees, by rays through the sample centres that start near the model (single precision is coarse)."""
    w, h = eye.width_px * SUPERSAMPLE, eye.height_px * SUPERSAMPLE
    x, y = np.meshgrid((2 * (np.arange(w) + 0.5) / w - 1) * eye.tan_x, (1 - 2 * (np.arange(h) + 0.5) / h) * eye.tan_y)
    rays = np.stack([x, y, np.full((h, w), -1.0)], axis=-1).reshape(-1, 3) @ eye.world_from_camera[:3, :3].T
    back = eye.distance_mm - 4 * model.size_mm
    start = eye.position + rays * max(back, 0.0)
    hits = Tracer(model.scene).first(start.astype("f4"), (rays * model.size_mm).astype("f4"))
    u, v = (np.where(hits.face >= 0, weight, 0).reshape(h, w) for weight in (hits.u, hits.v))
    return Sight(eye, hits.face.reshape(h, w), u, v, "rays")


def disc_lamp(
    target: Floats, bearing_deg: float, elevation_deg: float, distance: float, radius: float, role: str = "key"
) -> Emitter:
    """A disc facing ``target`` that gives it an irradiance of pi (Howell, B-12)."""
    towards_lamp = away(bearing_deg, elevation_deg)
    across = np.array([np.cos(np.radians(bearing_deg)), np.sin(np.radians(bearing_deg)), 0.0])
    along = np.cross(towards_lamp, across)
    radiance = (radius**2 + distance**2) / radius**2
    centre = target + towards_lamp * distance
    return Emitter(role, "disc", centre, -towards_lamp, across * radius, along * radius, radiance)


def cosine_light(model: Model, emitter: Emitter) -> Floats:
    """Irradiance over pi on the vertices from a lamp so far away that only the cosine counts, nothing shadowed."""
    return np.clip(model.scene.normals @ -emitter.normal, 0.0, None)


def given_light(
    model: Model,
    emitters: Sequence[Emitter],
    direct: Sequence[Floats],
    unshadowed: Sequence[Floats],
    indirect: float = 0.0,
    reflectance: Sequence[float] = (0.8, 0.8, 0.4, 0.3),
    exposure: float = 1.0,
    backdrop: float = 0.1,
) -> Lit:
    """Light given vertex by vertex."""
    facts = LightFacts(exposure, float(np.log2(exposure)), 0, 0.0)
    level = np.full(len(model.scene.vertices), indirect)
    return Lit("given", tuple(emitters), np.array(direct), np.array(unshadowed), level, reflectance, backdrop, facts)


def moon(bearing_deg: float, elevation_deg: float = 0.0, size: int = 128) -> tuple[Model, Lit, Sight]:
    """A ball of radius 100 under a far small lamp, seen from far in front as a disc of radius ``size * 0.4`` px."""
    model = scene_model(ball(100.0, 5))
    lamp = disc_lamp(model.middle_mm, bearing_deg, elevation_deg, 1e5, 100.0)
    light = cosine_light(model, lamp)
    lit = given_light(model, [lamp], [light], [light], reflectance=(0.5, 0.5, 0.5, 0.5), backdrop=0.0)
    eye = eye_at(model.middle_mm, 0.0, 0.0, 1e5, 125.0, (size, size))
    return model, lit, look(model, eye)


def light_facts(shown: Shown, kinds: Iterable[LightKind]) -> dict[str, FactValue]:
    """What plates of the light measure while they are made."""
    return {name: value for kind in kinds for name, value in kind.make(shown).facts.items()}


def picture(luminance: Floats, subject: Floats | None = None) -> Shown:
    """A given luminance (h, w) as something to show; the subject is all of it unless given."""
    h, w = luminance.shape
    model = scene_model(ball(100.0, 1))
    lamp = disc_lamp(model.middle_mm, 0.0, 45.0, 1e4, 10.0)
    light = cosine_light(model, lamp)
    eye = eye_at(model.middle_mm, 0.0, 0.0, 1e4, 100.0, (w, h))
    everywhere = np.ones((h, w), np.bool_) if subject is None else subject
    sight = look(model, eye)
    lit = given_light(model, [lamp], [light], [light])
    family = np.full((h, w), Family.LIGHT, np.uint8)
    looked = Looked(model, sight, find_footing(model, sight), everywhere, (), Guides())
    return Shown(looked, lit, luminance, family, luminance)
