from __future__ import annotations

import numpy as np
import pytest

from builder.light.areas import vertex_areas
from builder.light.direct import vertex_irradiance
from builder.light.evened import evened
from builder.light.lit import Emitter
from builder.light.solve import solve, vertex_parts
from builder.light.transport import gather
from builder.model.model import Model, Part
from builder.model.tracer import Tracer
from builder.study.description import Finish, Lamp, Length, Lighting
from tests.scenes import Piece, ball, box, scene_model, sheet

FAR = Emitter("key", "disc", [0, 0, 90_000], [0, 0, -1], [20, 0, 0], [0, 20, 0], 1e6)
"""So far up that its light is even and its shadows are sharp."""


def lights(model: Model, buried: np.ndarray | None = None) -> tuple[np.ndarray, np.ndarray]:
    """The vertices' own light from the far lamp, and evened."""
    tracer = Tracer(model.scene)
    direct, unshadowed = vertex_irradiance(model, FAR, tracer)
    shut = np.zeros(len(direct), np.bool_) if buried is None else buried
    return direct, evened(model.scene, direct[None], unshadowed[None], shut, (FAR,), tracer)


def test_a_shadow_takes_as_much_light_as_the_area_it_covers() -> None:
    # a roof over half a floor of 10 mm cells ends between two rows of corners: read off the corners alone its shadow
    # may be half a cell too wide or too narrow; evened, no more than half a piece
    wide_own, wide_even = [], []
    for edge in (1.0, 3.0, 5.0, 7.0, 9.0):
        model = scene_model(sheet(100, 100, 0, 10, Part.MODEL), sheet(400, 400, 300, 1).moved(-200 + edge, 0, 0))
        own, even = lights(model)
        on = np.arange(len(own)) < model.body_vertices
        area, full = vertex_areas(model.scene)[on], own[on].max()
        for light, widths in ((own, wide_own), (even, wide_even)):
            widths.append(area @ light[on] / (100 * full) - (50 - edge))
    assert np.abs(wide_own).max() > 3.5
    assert np.abs(wide_even).max() < 1.7


def test_what_a_body_covers_does_not_count() -> None:
    # the ground beside a box is as bright as ever, although the box stands on a part of its triangles
    model = scene_model(box(100, 100, 80, Part.MODEL, cells=8), sheet(400, 400, 0, 22))
    buried = gather(model, 32).buried
    own, even = lights(model, buried)
    across = np.abs(model.scene.vertices[:, :2]).max(axis=1)
    beside = (np.arange(len(own)) >= model.body_vertices) & (across > 50) & (across < 50 + 400 / 22)
    assert beside.any()
    assert even[beside] == pytest.approx(own[beside], rel=1e-3)


def test_light_without_shadows_stays_as_it_is() -> None:
    own, even = lights(scene_model(sheet(100, 100, 0, 10, Part.MODEL)))
    assert np.array_equal(even, own)


def test_a_slab_has_no_nicks_along_its_foot() -> None:
    # beside a slab that a lamp rakes along lies a sliver of shadow, narrower than the ground's cells. Wherever those
    # lie (here turned by 7 degrees) the light along the foot of the slab falls off evenly
    turn = np.radians(7.0)
    turned = np.array([[np.cos(turn), np.sin(turn), 0], [-np.sin(turn), np.cos(turn), 0], [0, 0, 1]])
    ground = sheet(2600, 2600, -18, 180)
    ground = Piece(ground.part, ground.vertices @ turned, ground.faces, ground.normals)
    slab = box(260, 160, 18, Part.PLINTH, 20).moved(0, 0, -18)
    model = scene_model(ball(60, 3).moved(0, 0, 60), slab, ground)
    raking = Lamp(-90, 15, Length(4, in_sizes=True), "disc", Length(0.3, in_sizes=True), Length(0.3, in_sizes=True))
    lit = solve(model, Lighting("side", "", raking, ambient_stops=-4), Finish(), gather(model, 64))
    scene = model.scene
    foot = (vertex_parts(scene) == Part.PLINTH) & (scene.normals[:, 1] < -0.9) & (scene.vertices[:, 2] < -17.99)
    along = lit.indirect[foot][np.argsort(scene.vertices[foot, 0])][3:]
    assert len(along) == 18
    assert np.abs(np.diff(along)).max() < 0.25 * along.mean()
