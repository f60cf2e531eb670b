"""The plinth, the ground and the backdrop."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh

from builder.model.model import Model, Part
from builder.model.prepare import prepare
from builder.model.room import room
from builder.model.tracer import Tracer
from builder.model.triangles import Triangles, edges_of
from builder.study.description import Length, Stand, Study, View

StudyOf = Callable[..., Study]


@pytest.fixture
def study(bust: trimesh.Trimesh, folder: Path, study_of: StudyOf) -> Study:
    bust.export(folder / "egg.stl")
    return study_of(folder / "egg.stl", height_mm=300.0)


def part(model: Model, *parts: Part) -> Triangles:
    """The faces of some parts, vertices at one place made one."""
    scene = model.scene
    places, place = np.unique(scene.vertices, axis=0, return_inverse=True)
    whole = Triangles(places, place.ravel()[scene.faces])
    return whole.chosen(np.isin(scene.parts, parts))


def test_the_plinth_is_in_proportion_closed_and_under_the_model(study: Study) -> None:
    # 18 mm under a 300 mm model, 15 mm wider all round, its top at z = 0
    model = prepare(study)
    slab = part(model, Part.PLINTH)
    body = part(model, Part.MODEL)
    assert edges_of(slab).closed
    low, high = slab.vertices.min(axis=0), slab.vertices.max(axis=0)
    np.testing.assert_allclose(low, [*(body.vertices[:, :2].min(axis=0) - 15.0), -18.0], atol=1e-9)
    np.testing.assert_allclose(high, [*(body.vertices[:, :2].max(axis=0) + 15.0), 0.0], atol=1e-9)
    np.testing.assert_allclose(slab.volumes().sum(), np.prod(high - low), rtol=1e-12)
    assert model.ground_mm == pytest.approx(-18.0, abs=1e-9)
    assert low[2] == model.ground_mm and high[2] == 0.0


def test_the_plinth_is_fine_where_the_model_meets_it(study: Study) -> None:
    # beside the rim of the foot edges are at most 1/140 of the size, and that only there
    model = prepare(study)
    slab, body = part(model, Part.PLINTH), part(model, Part.MODEL)
    rim = body.vertices[(body.vertices[:, 2] > 1e-6) & (body.vertices[:, 2] < 3.0)][:, :2]
    ends = edges_of(slab).ends
    middle = slab.vertices[ends].mean(axis=1)
    long = np.linalg.norm(slab.vertices[ends[:, 0]] - slab.vertices[ends[:, 1]], axis=1)
    near = (np.linalg.norm(middle[:, None, :2] - rim[None, ::7], axis=2).min(axis=1) < 2.5) & (middle[:, 2] == 0.0)
    assert near.sum() > 200
    assert long[near].max() <= 300.0 / 140
    top = middle[:, 2] == 0.0
    assert long[top].max() <= 5.0
    assert np.median(long[top & (np.abs(middle[:, 1]) > 115)]) > 300.0 / 140


def test_the_stand_can_be_set_and_left_out(study: Study) -> None:
    # lengths in mm as given; without a slab the model stands on the ground itself, which then is fine under it
    model = prepare(replace(study, stand=Stand(plinth_mm=40.0, margin_mm=2.0)))
    slab, body = part(model, Part.PLINTH), part(model, Part.MODEL)
    np.testing.assert_allclose(slab.extents, [*(body.extents[:2] + 4.0), 40.0], atol=1e-9)
    bare = prepare(replace(study, stand=Stand(plinth_mm=0.0)))
    assert bare.ground_mm == 0.0
    assert (bare.scene.parts != Part.PLINTH).all()
    ground = part(bare, Part.GROUND)
    ends = edges_of(ground).ends
    under = (np.linalg.norm(ground.vertices[ends], axis=2) < 100.0).all(axis=1)
    assert np.linalg.norm(ground.vertices[ends[under, 0]] - ground.vertices[ends[under, 1]], axis=1).max() < 7.5


def test_ground_and_backdrop_are_one_smooth_shell_seen_from_inside(study: Study) -> None:
    # open only at the upper rim, wound and shaded inwards, level in the middle, and within the budget of vertices
    model = prepare(study)
    shell = part(model, Part.GROUND, Part.BACKDROP)
    edges = edges_of(shell)
    assert (edges.count <= 2).all()
    rim = edges.ends[edges.count == 1]
    assert (shell.vertices[rim][:, :, 2] == shell.vertices[:, 2].max()).all()
    assert len(rim) == 192
    scene = model.scene
    faces = scene.faces[np.isin(scene.parts, (Part.GROUND, Part.BACKDROP))]
    cross = np.cross(*(scene.vertices[faces[:, k]] - scene.vertices[faces[:, 0]] for k in (1, 2)))
    flat = cross / np.linalg.norm(cross, axis=1, keepdims=True)
    for k in range(3):
        assert np.einsum("ij,ij->i", flat, scene.normals[faces[:, k]]).min() > np.cos(np.radians(6.0))
    ground = part(model, Part.GROUND)
    assert (ground.vertices[:, 2] == model.ground_mm).all()
    assert np.linalg.norm(ground.vertices[:, :2], axis=1).max() == pytest.approx(0.55 * 8 * 300.0)
    assert len(scene.vertices) - model.body_vertices < 50_000


def test_every_level_look_ends_on_the_backdrop(study: Study) -> None:
    # rays from above the model, all round and up to 35 degrees, meet something
    model = prepare(study)
    tracer = Tracer(model.scene)
    angles = np.radians(np.linspace(0, 360, 73))
    rays = np.array([(np.cos(a), np.sin(a), np.tan(np.radians(e))) for a in angles for e in (-89, -40, -10, 0, 20, 35)])
    start = np.tile(np.array([0.0, 0.0, 330.0]), (len(rays), 1)).astype(np.float32)
    hits = tracer.first(start, rays.astype(np.float32))
    assert (hits.face >= 0).all()
    assert set(np.unique(model.scene.parts[hits.face])) == {Part.MODEL, Part.GROUND, Part.BACKDROP}


def test_the_room_holds_every_eye_and_lamp(study: Study) -> None:
    # 8 sizes at least; a farther eye pushes the wall out, to 1.2 times its distance
    near = prepare(study)
    assert np.hypot(*near.scene.vertices[:, :2].T).max() == pytest.approx(8 * 300.0)
    far = prepare(replace(study, views=(View(1, 0.0, 0.0, Length(5000.0)),)))
    assert np.hypot(*far.scene.vertices[:, :2].T).max() == pytest.approx(6000.0)


@pytest.mark.parametrize("reach", [0.0, 3000.0, 20_000.0])
def test_rooms_of_any_size_have_rings_that_only_grow(reach: float) -> None:
    # round the plinth cells are 1/60 size along both ways, and no ring is wider than a tenth more than the last
    built = room(300.0, 190.0, -18.0, reach)
    vertices = built.surface.vertices
    rings = np.unique(np.hypot(*vertices[vertices[:, 2] == -18.0][:, :2].T).round(6))
    assert np.diff(rings[rings <= 190.0 + 1e-6]).max() <= 5.0 + 1e-6
    outside = rings[rings >= 190.0 - 1e-6]
    steps = np.diff(outside)
    assert steps[0] == pytest.approx(5.0)
    assert (steps[1:-1] <= 1.1 * steps[:-2] + 1e-6).all()
    assert steps[-1] <= 2.6 * steps[-2]
    assert 2 * np.pi * 190.0 / 192 <= 6.3
    assert len(vertices) < 50_000
