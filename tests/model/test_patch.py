"""Patches over holes, held against the surface that was there."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from builder.model.holes import closed
from builder.model.patch import patch
from builder.model.triangles import Triangles, edges_of


@pytest.mark.parametrize(("across_mm", "off_mm"), [(25.0, 0.05), (50.0, 0.1), (100.0, 0.75), (140.0, 3.0)])
def test_a_cap_cut_off_a_ball_grows_back(across_mm: float, off_mm: float) -> None:
    # the sphere is the closed form: R = 100 mm. A thin plate clamped to the sphere's slope at a rim of radius a rises
    # a^2 / (2 sqrt(R^2 - a^2)), the cap R - sqrt(R^2 - a^2): they part by a^4 / 8 R^3 at first order
    ball = trimesh.creation.icosphere(subdivisions=5, radius=100.0)
    half = across_mm / 2
    keep = ball.triangles_center[:, 0] < np.sqrt(100.0**2 - half**2)
    whole, left, notices = closed(Triangles(ball.vertices, ball.faces[keep]), "ball", 1000.0)
    assert left == 0 and edges_of(whole).closed
    assert notices[0].text.startswith("one hole closed smoothly, ")
    radius = np.linalg.norm(whole.vertices[len(ball.vertices) :], axis=1)
    assert len(radius) > 10
    assert np.abs(radius - 100.0).max() < off_mm
    # a flat lid would be off by the height of the cap, 15 times as much and more
    assert off_mm * 9 < 100.0 - np.sqrt(100.0**2 - half**2) or across_mm == 25.0
    # as fine as what was taken out, wound outward, and with no face folded over
    new = whole.vertices[whole.faces[keep.sum() :]]
    cross = np.cross(new[:, 1] - new[:, 0], new[:, 2] - new[:, 0])
    assert (np.einsum("ij,ij->i", cross, new.mean(axis=1)) > 0).all()
    assert 0.5 < len(new) / (~keep).sum() < 2.0


def test_a_hole_in_a_noisy_ball_stays_within_its_noise() -> None:
    # 0.1 mm of noise on every point: the patch must not blow it up
    ball = trimesh.creation.icosphere(subdivisions=5, radius=100.0)
    noise = np.random.default_rng(3).normal(0.0, 1e-3, (len(ball.vertices), 1))
    keep = ball.triangles_center[:, 0] < np.sqrt(100.0**2 - 25.0**2)
    whole, _, _ = closed(Triangles(ball.vertices * (1 + noise), ball.faces[keep]), "ball", 1000.0)
    assert np.abs(np.linalg.norm(whole.vertices[len(ball.vertices) :], axis=1) - 100.0).max() < 0.4


def test_a_hole_in_a_plane_is_closed_in_it() -> None:
    # a plate with a ragged hole in its top, tilted: nothing of the patch leaves the plane
    plate = trimesh.creation.box((100.0, 100.0, 10.0)).subdivide_to_size(4.0)
    middles = plate.triangles_center
    gone = (middles[:, 2] > 4.99) & (np.linalg.norm(middles[:, :2] - (5.0, -8.0), axis=1) < 25.0)
    turn = trimesh.transformations.rotation_matrix(0.7, (1.0, 2.0, 0.5))[:3, :3]
    whole, left, _ = closed(Triangles(plate.vertices @ turn.T, plate.faces[~gone]), "plate", 1000.0)
    assert left == 0 and edges_of(whole).closed
    new = whole.vertices[len(plate.vertices) :]
    assert len(new) > 20
    np.testing.assert_allclose(new @ turn[:, 2], 5.0, atol=1e-9)
    assert whole.volumes().sum() == pytest.approx(100.0 * 100.0 * 10.0, rel=1e-9)


def test_a_patch_bends_on_along_a_tube() -> None:
    # a window 30 mm wide in a tube of radius 50: it stays straight along the tube and round across it
    tube = trimesh.creation.cylinder(50.0, 200.0, sections=96).subdivide_to_size(6.0)
    side = np.linalg.norm(tube.vertices[:, :2], axis=1) > 1.0
    tube.vertices[side, :2] *= 50.0 / np.maximum(np.linalg.norm(tube.vertices[side, :2], axis=1), 1.0)[:, None]
    middles = tube.triangles_center
    gone = (middles[:, 0] > 0) & (np.abs(middles[:, 1]) < 15.0) & (np.abs(middles[:, 2]) < 15.0)
    walls = np.abs(np.linalg.norm(middles[:, :2], axis=1) - 50.0) < 1.0
    whole, _, _ = closed(Triangles(tube.vertices, tube.faces[~gone | ~walls]), "tube", 1000.0)
    new = whole.vertices[len(tube.vertices) :]
    assert len(new) > 10
    # a flat lid would be 50 - sqrt(50^2 - 15^2) = 2.3 mm off
    assert np.abs(np.linalg.norm(new[:, :2], axis=1) - 50.0).max() < 0.25


def test_a_rim_that_crosses_itself_gets_no_patch() -> None:
    # a figure of eight has no inside; the caller closes it otherwise
    angle = np.linspace(0, 2 * np.pi, 24, endpoint=False) + 0.05
    eight = np.stack([np.sin(angle), 0.4 * np.sin(2 * angle), np.zeros(24)], axis=1)
    assert patch(eight, np.zeros((0, 3)), np.zeros((0, 3), np.int64)) is None
