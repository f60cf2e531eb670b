"""Smoothing: noise goes, size and edges stay."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from builder.model.model import Model
from builder.model.smooth import smoothed
from builder.model.triangles import Triangles
from builder.study.description import Smoothing
from tests.model.test_damage import ply, told

HOW: tuple[tuple[Smoothing, float], ...] = (("light", 2.5), ("strong", 4.5))


def noisy(mesh: trimesh.Trimesh, noise_mm: float) -> NDArray[np.float64]:
    return mesh.vertices + np.random.default_rng(5).normal(0.0, noise_mm, mesh.vertices.shape)


@pytest.mark.parametrize(("how", "factor"), HOW)
@pytest.mark.parametrize("noise_mm", [0.1, 0.3, 1.0])
def test_a_noisy_ball_loses_its_noise_and_keeps_its_size(how: Smoothing, factor: float, noise_mm: float) -> None:
    # the sphere is the closed form: R = 100 mm. Radius and volume stay within a thousandth, the noise falls
    ball = trimesh.creation.icosphere(subdivisions=5, radius=100.0)
    rough = noisy(ball, noise_mm)
    done = smoothed(Triangles(rough, ball.faces), how)
    radius = np.linalg.norm(done.triangles.vertices, axis=1)
    assert radius.mean() == pytest.approx(np.linalg.norm(rough, axis=1).mean(), abs=0.02)
    assert radius.std() * factor < np.linalg.norm(rough, axis=1).std()
    assert done.triangles.volumes().sum() == pytest.approx(ball.volume, rel=1e-3)
    # what is told is what happened
    moved = np.linalg.norm(done.triangles.vertices - rough, axis=1)
    before = trimesh.Trimesh(rough, ball.faces, process=False).volume
    after = trimesh.Trimesh(done.triangles.vertices, ball.faces, process=False).volume
    assert done.rms == pytest.approx(np.sqrt((moved**2).mean()))
    assert done.greatest == moved.max()
    assert done.volume_change == pytest.approx(after / before - 1, abs=1e-9)


@pytest.mark.parametrize("how", ["light", "strong"])
def test_a_smooth_ball_is_left_as_it_is(how: Smoothing) -> None:
    # nothing to take off: no shrinking, and no point moves by more than a 2000th of the radius
    ball = trimesh.creation.icosphere(subdivisions=5, radius=100.0)
    done = smoothed(Triangles(ball.vertices, ball.faces), how)
    assert done.greatest < 0.05
    assert abs(done.volume_change) < 1e-4


@pytest.mark.parametrize(("how", "factor"), HOW)
def test_a_noisy_cube_keeps_its_edges(how: Smoothing, factor: float) -> None:
    # distance to the cube of 100 mm in closed form: the noise falls over the whole, and at the edges the points stay
    # within 3 times the noise; averaging points would round an edge off by half a cell, 1 mm
    cube = trimesh.creation.box((100.0, 100.0, 100.0)).subdivide_to_size(3.0)
    rough = noisy(cube, 0.1)

    def off(points: NDArray[np.float64]) -> NDArray[np.float64]:
        past = np.abs(points) - 50.0
        return np.linalg.norm(np.maximum(past, 0.0), axis=1) + np.minimum(past.max(axis=1), 0.0)

    done = smoothed(Triangles(rough, cube.faces), how)
    assert off(done.triangles.vertices).std() * factor < off(rough).std()
    edge = (np.abs(cube.vertices) > 49.999).sum(axis=1) >= 2
    assert edge.sum() > 300
    assert np.abs(off(done.triangles.vertices)[edge]).max() < 0.3
    assert done.triangles.volumes().sum() == pytest.approx(1e6, rel=1e-3)


def test_a_sharp_cube_is_left_exactly() -> None:
    # every normal agrees with its side's, so nothing moves
    cube = trimesh.creation.box((100.0, 100.0, 100.0)).subdivide_to_size(8.0)
    assert smoothed(Triangles(cube.vertices, cube.faces), "strong").greatest < 1e-9


def test_open_rims_stay_where_they_are() -> None:
    # a rim drawn in would open the hole wider
    ball = trimesh.creation.icosphere(subdivisions=4, radius=100.0)
    half = trimesh.Trimesh(noisy(ball, 0.5), ball.faces[ball.triangles_center[:, 2] > 0])
    rim = np.unique(half.edges_sorted[trimesh.grouping.group_rows(half.edges_sorted, require_count=1)])
    assert len(rim) > 20
    done = smoothed(Triangles(half.vertices, half.faces), "strong")
    np.testing.assert_array_equal(done.triangles.vertices[rim], half.vertices[rim])
    assert done.rms > 0.1


def test_smoothing_is_told_and_counted(bust: trimesh.Trimesh, built: Callable[..., Model]) -> None:
    # the notice and the model's facts state how far; the model stands at its height all the same
    rough = noisy(bust, 0.2)
    model = built(ply(rough, bust.faces), smooth="light", height_mm=290.0)
    assert told(model)[-1].startswith("smoothed (light): the surface moved by ")
    assert 0.1 < model.facts.deviation_mm < 4.0
    assert model.facts.height_mm == pytest.approx(290.0)
    assert not any(text.startswith("smoothed") for text in told(built(ply(rough, bust.faces))))
