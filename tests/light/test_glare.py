from __future__ import annotations

import numpy as np
import pytest

from builder.light.areas import vertex_areas
from builder.light.direct import vertex_irradiance
from builder.light.glare import glare
from builder.light.lit import Emitter
from builder.light.solve import gathered, solve, vertex_parts
from builder.light.transport import gather
from builder.model.model import Model, Part
from builder.model.tracer import Tracer
from builder.study.description import Finish, Lamp, Length, Lighting
from tests.scenes import ball, box, room, scene_model, sheet

LOW = Emitter("key", "disc", [13, -21, 60], [0, 0, -1], [10, 0, 0], [0, 10, 0], 500.0)
"""A lamp of radius 10 a hand's breadth over a floor, whose cells are wider than what it lights."""
MOST = 0.5
ALBEDO = 0.4


def floor_under(*above) -> Model:
    return scene_model(sheet(4000, 4000, 0, 40, Part.MODEL), *above)


def thrown(model: Model, most: float = MOST) -> tuple[np.ndarray, np.ndarray]:
    """Irradiance over pi by glare, and straight from the lamp, of every vertex."""
    tracer = Tracer(model.scene)
    first, _ = vertex_irradiance(model, LOW, tracer)
    albedo = np.full(len(first), ALBEDO, np.float32)
    return glare(model.scene, first, most, albedo, (LOW,), tracer), first


def test_no_light_is_lost_or_won_under_a_lamp_close_to_the_floor() -> None:
    # the floor catches all that the lamp sends out: pi x radiance x area. Far above, all of it that is thrown back
    # comes from one place: what the rays gather (each corner's light up to the most) and what is sent besides make the
    # whole
    far = 60_000.0
    model = floor_under(sheet(10, 10, far, 1, Part.BACKDROP).inside_out())
    spill, first = thrown(model)
    top = model.scene.vertices[:, 2] == far
    gathered_here = vertex_areas(model.scene)[~top] @ np.minimum(first[~top], MOST)
    whole = ALBEDO * LOW.radiance * np.pi * 10**2 / (np.pi * far**2)
    assert first.max() > 10 * MOST
    assert ALBEDO * gathered_here / (np.pi * far**2) < 0.5 * whole
    assert spill[top] + ALBEDO * gathered_here / (np.pi * far**2) == pytest.approx(whole, rel=0.02)


def test_nothing_gets_past_a_roof_over_the_bright_spot() -> None:
    roofed = floor_under(
        sheet(10, 10, 3000, 1, Part.BACKDROP).inside_out(), box(800, 800, 5, cells=2).moved(0, 0, 1000)
    )
    spill, _ = thrown(roofed)
    top = roofed.scene.vertices[:, 2] == 3000
    under = (roofed.scene.vertices[:, 2] == 1000) & (roofed.scene.normals[:, 2] < -0.5)
    assert (spill[top] == 0).all()
    assert (spill[under] > 0).all()


def test_even_light_leaves_nothing_to_send() -> None:
    spill, first = thrown(floor_under(), most=1e3)
    assert first.max() < 1e3
    assert not spill.any()


def test_a_low_lamp_fills_the_sculpture_from_below_without_sparkle() -> None:
    # against 4,096 rays a vertex that pass all light on: the same light on the whole, and less grain with 96
    body = ball(100, 3).moved(0, 0, 100)
    model = scene_model(body, *room(1000, 0, 1000, 80, 64, 8))
    low = Lamp(0, -7, Length(3, in_sizes=True), "disc", Length(0.2, in_sizes=True), Length(0.2, in_sizes=True))
    lighting = Lighting("low", "", low, ambient_stops=-6)
    few, many = gather(model, 96), gather(model, 4096)
    lit = solve(model, lighting, Finish(), few)
    albedo = lit.reflectance[vertex_parts(model.scene)]
    first = lit.direct.sum(axis=0)
    on = slice(0, model.body_vertices)
    true, _ = gathered(many, albedo, first, 2.0**-6)
    plain, _ = gathered(few, albedo, first, 2.0**-6)
    area = vertex_areas(model.scene)[on]
    assert first.max() > 20 * first[on].max()
    assert area @ lit.indirect[on] == pytest.approx(area @ true[on], rel=0.04)
    assert np.std(lit.indirect[on] - true[on]) < 0.4 * np.std(plain[on] - true[on])
