"""Distances to triangles against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from builder.model.boxes import boxed
from builder.model.spread import spread


def test_distance_from_a_box_is_the_length_of_what_lies_outside() -> None:
    box = trimesh.creation.box((2.0, 2.0, 2.0))
    points = np.random.default_rng(1).uniform(-3, 3, (2000, 3))
    outside = np.linalg.norm(np.maximum(np.abs(points) - 1, 0), axis=1)
    within = (1 - np.abs(points)).min(axis=1)
    foot, _, gap = boxed(np.array(box.vertices), np.array(box.faces, np.int32)).nearest(points)
    assert np.allclose(gap, np.where(outside > 0, outside, within), atol=1e-12)
    assert np.allclose(np.abs(foot).max(axis=1), 1.0)


def test_a_thousand_faces_are_searched_as_if_one_by_one() -> None:
    mesh = trimesh.creation.icosphere(subdivisions=3)
    points = np.random.default_rng(2).normal(size=(60, 3))
    _, _, gap = boxed(np.array(mesh.vertices), np.array(mesh.faces, np.int32)).nearest(points)
    corners = np.array(mesh.triangles)
    each = [
        np.linalg.norm(trimesh.triangles.closest_point(corners, np.tile(p, (len(corners), 1))) - p, axis=1).min()
        for p in points
    ]
    assert np.allclose(gap, each, atol=1e-12)


def test_points_are_spread_evenly_over_the_area() -> None:
    # a ball's points have no mean, and a third of their squares along each axis
    mesh = trimesh.creation.icosphere(subdivisions=4)
    points = spread(np.array(mesh.vertices), np.array(mesh.faces, np.int32), 20_000)
    assert np.allclose(points.mean(axis=0), 0.0, atol=2e-3)
    assert np.allclose((points**2).mean(axis=0), 1 / 3, atol=2e-3)


def test_the_farthest_of_many_is_that_of_the_nearest_places() -> None:
    """Leaving a point early never loses the greatest distance."""
    mesh = trimesh.creation.icosphere(subdivisions=3)
    points = np.random.default_rng(3).normal(size=(3000, 3))
    boxes = boxed(np.array(mesh.vertices), np.array(mesh.faces, np.int32))
    assert boxes.farthest(points) == pytest.approx(boxes.nearest(points)[2].max(), abs=1e-12)
