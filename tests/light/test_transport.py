from __future__ import annotations

import numpy as np
import pytest

from builder.light.buried import filled
from builder.light.transport import DARK, SKY, Transport, gather
from builder.model.model import Model, Part
from tests.scenes import ball, box, room, scene_model, sheet


def resting_box(cells: int = 22) -> Model:
    """A box on a ground whose triangles cross its foot."""
    return scene_model(box(100, 100, 80, Part.MODEL, cells=8), sheet(400, 400, 0, cells))


def test_every_ray_is_accounted_for() -> None:
    model = resting_box()
    transport = gather(model, 32)
    count = len(model.scene.vertices)
    assert transport.seen.shape == (count, 32)
    assert transport.seen.min() >= DARK
    assert transport.seen.max() < count
    assert transport.sky == pytest.approx((transport.seen == SKY).mean(axis=1))


def test_vertices_under_a_body_are_buried_and_the_others_are_not() -> None:
    model = resting_box()
    across = np.abs(model.scene.vertices[:, :2]).max(axis=1)
    ground = np.arange(len(across)) >= model.body_vertices
    foot = ~ground & (model.scene.normals[:, 2] < -0.5)
    expected = (ground & (across < 50)) | foot
    assert np.array_equal(gather(model, 32).buried, expected)


def test_no_ray_is_handed_to_a_buried_vertex_that_has_an_open_neighbour() -> None:
    # else the dark under a body leaks out over the triangles that cross its foot
    model = resting_box()
    transport = gather(model, 64)
    across = np.abs(model.scene.vertices[:, :2]).max(axis=1)
    ground = np.arange(len(across)) >= model.body_vertices
    just_under = ground & (across < 50) & (across + 400 / 22 > 50)
    assert just_under.any()
    assert not just_under[transport.seen[transport.seen >= 0]].any()


def test_a_buried_vertex_is_given_its_open_neighbours_light() -> None:
    model = resting_box()
    scene = model.scene
    buried = gather(model, 32).buried
    light = np.where(buried, 0.0, 2.0).astype(np.float32)
    across = np.abs(scene.vertices[:, :2]).max(axis=1)
    ground = np.arange(len(across)) >= model.body_vertices
    full = filled(scene, buried, light)
    assert (full[ground & (across + 400 / 22 > 50)] == 2.0).all()
    assert full[~buried] == pytest.approx(light[~buried])


def test_rays_below_the_ground_see_no_sky() -> None:
    model = scene_model(box(100, 100, 80, Part.MODEL, cells=2).moved(0, 0, 40), sheet(300, 300, 0, 6))
    transport = gather(model, 64)
    down = np.arange(len(transport.sky)) < model.body_vertices
    down &= model.scene.normals[:, 2] < -0.5
    assert not transport.sky[down].any()


def test_the_same_model_is_looked_round_the_same_way() -> None:
    one, other = gather(resting_box(), 48), gather(resting_box(), 48)
    assert one.seen.tobytes() == other.seen.tobytes()


def test_neighbours_look_different_ways() -> None:
    # their errors are independent: over a flat floor under a hole they scatter round the true share
    model = scene_model(sheet(10, 10, 0, 12, Part.MODEL), ball(1.0, 4).moved(0, 0, 30), *room(60, -1, 40, 4))
    sky = gather(model, 64).sky[:169].astype(float)
    near = np.abs(np.diff(sky.reshape(13, 13), axis=1)).mean()
    assert near > 0.5 * sky.std()
    assert sky.std() < 0.02


def test_more_rays_come_closer() -> None:
    model = scene_model(ball(50, 3).moved(0, 0, 50), sheet(600, 600, 0, 20))
    exact = gather(model, 3000).sky.astype(float)
    errors = [np.sqrt(np.mean((gather(model, rays).sky - exact) ** 2)) for rays in (24, 192)]
    assert errors[1] < errors[0] / 3
    assert errors[1] < 0.01


def test_a_transport_must_fit_together() -> None:
    with pytest.raises(AssertionError):
        Transport(np.zeros((3, 4), np.int32), np.zeros(2, np.float32))


def test_a_vertex_on_a_border_looks_out_from_all_over_its_triangles() -> None:
    # at the foot of a wall, under a ledge of a few millimetres: the vertex's own corner sees no sky, the 30 mm of wall
    # that it stands for see nearly half of it
    ledge = box(300, 40, 2, Part.PLINTH, 4).moved(0, -25.5, 3)
    model = scene_model(box(300, 10, 60, Part.MODEL, 2), ledge, sheet(4000, 4000, 0, 30))
    scene = model.scene
    front = (scene.normals[:, 1] < -0.9) & (np.arange(len(scene.vertices)) < model.body_vertices)
    foot = front & (scene.vertices[:, 2] == 0) & (scene.vertices[:, 0] == 0)
    assert foot.sum() == 1
    assert 0.3 < gather(model, 192).sky[foot][0] < 0.5
