from __future__ import annotations

import numpy as np

from builder.light.direct import lamp_irradiance, lamp_sight, seen_shares, vertex_irradiance
from builder.light.lamps import lamp_patterns
from builder.light.lit import Emitter
from builder.light.origins import smooth_points
from builder.model.tracer import Tracer
from tests.scenes import ball, scene_model, sheet, surface

SIDE = Emitter("key", "disc", [0, -900, 300], [0, 3 / 10**0.5, -1 / 10**0.5], [60, 0, 0], [0, 19, 57], 300.0)


def test_shadows_only_take_light_away() -> None:
    model = scene_model(ball(100, 4).moved(0, 0, 100), sheet(800, 800, 0, 40))
    direct, unshadowed = vertex_irradiance(model, SIDE, Tracer(model.scene))
    assert direct.dtype == unshadowed.dtype == np.float32
    assert (direct <= unshadowed).all()
    assert (direct >= 0).all()
    assert (direct < unshadowed).mean() > 0.05


def test_a_smooth_ball_casts_no_shadow_on_itself() -> None:
    # no saw-tooth along the edge of light, even on a coarse ball read within its triangles
    coarse = surface(ball(100, 2))
    tracer = Tracer(coarse)
    rng = np.random.default_rng(5)
    face = np.repeat(np.arange(len(coarse.faces), dtype=np.int32), 60)
    u, v = rng.random((2, len(face)))
    u, v = np.where(u + v > 1, 1 - u, u), np.where(u + v > 1, 1 - v, v)
    weights = np.stack([1 - u - v, u, v], axis=1)
    normals = np.einsum("ij,ijk->ik", weights, coarse.normals[coarse.faces[face]])
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    flat = np.einsum("ij,ijk->ik", weights, coarse.vertices[coarse.faces[face]])
    smooth = smooth_points(coarse, face, u.astype(np.float32), v.astype(np.float32))
    small = Emitter("key", "disc", [0, -900, 0], [0, 1, 0], [5, 0, 0], [0, 0, 5], 1e4)
    lost = []
    for points in (flat, smooth):
        direct, unshadowed = lamp_irradiance(points, normals, small, 4, 0, tracer)
        lost.append(float((unshadowed - direct).sum() / unshadowed.sum()))
    assert lost[0] > 2e-3
    assert lost[1] < 1e-4


def test_the_number_of_lamp_points_does_not_matter_out_of_the_shadow() -> None:
    rng = np.random.default_rng(1)
    points = rng.uniform(-200, 200, (500, 3))
    normals = rng.normal(size=(500, 3))
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    nothing = Tracer(surface(sheet(1, 1, -5000)))
    few, _ = lamp_irradiance(points, normals, SIDE, 1, 0, nothing)
    many, _ = lamp_irradiance(points, normals, SIDE, 64, rng.integers(0, 99, 500).astype(np.int32), nothing)
    assert np.array_equal(few, many)


def test_what_is_sent_and_what_arrives() -> None:
    # in the open all arrives, to the bit; under a roof nothing does; below the horizon nothing is sent
    tracer = Tracer(surface(sheet(50, 50, 20)))
    patterns = lamp_patterns(SIDE, 16, np.arange(2, dtype=np.int32))
    points = np.array([[0.0, 0.0, 200.0], [0.0, 0.0, 19.0], [0.0, 0.0, 200.0]])
    normals = np.array([[0.0, 0.0, 1.0], [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]])
    arrived, sent = lamp_sight(points, normals, SIDE, patterns, np.array([0, 1, 0], np.int32), tracer)
    assert arrived[0] == sent[0] > 0
    assert arrived[1] == 0 < sent[1]
    assert arrived[2] == sent[2] == 0
    assert seen_shares(arrived, sent).tolist() == [1.0, 0.0, 1.0]


def test_a_point_alone_gets_the_light_it_gets_among_others() -> None:
    # chunks and neighbours change nothing, to the bit
    model = scene_model(ball(100, 4).moved(0, 0, 100), sheet(800, 800, 0, 60))
    tracer = Tracer(model.scene)
    points, normals = model.scene.vertices, model.scene.normals
    phase = (np.arange(len(points)) % 11).astype(np.int32)
    together, _ = lamp_irradiance(points, normals, SIDE, 64, phase, tracer)
    for i in range(0, len(points), 500):
        alone, _ = lamp_irradiance(points[i : i + 1], normals[i : i + 1], SIDE, 64, int(phase[i]), tracer)
        assert alone[0] == together[i]


def test_the_back_of_a_lamp_is_dark() -> None:
    nothing = Tracer(surface(sheet(1, 1, -5000)))
    behind = np.array([[0.0, -1500.0, 500.0]])
    direct, unshadowed = lamp_irradiance(behind, np.array([[0.0, 1.0, 0.0]]), SIDE, 16, 0, nothing)
    assert (direct[0], unshadowed[0]) == (0, 0)


def test_no_points_give_no_light() -> None:
    none = np.zeros((0, 3))
    direct, unshadowed = lamp_irradiance(none, none, SIDE, 16, 0, Tracer(surface(sheet(1, 1))))
    assert (len(direct), len(unshadowed)) == (0, 0)
