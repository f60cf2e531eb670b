"""Cutting faces smaller: the same form, no gaps, nothing longer than allowed."""

from __future__ import annotations

import numpy as np
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.model.normals import Shaded, shaded
from builder.model.tessellate import cut
from builder.model.triangles import Triangles, edges_of


def by_place(surface: Shaded) -> Triangles:
    """The surface with vertices at one place made one: exact equality, so a T-junction stays an open edge."""
    places, place = np.unique(surface.vertices, axis=0, return_inverse=True)
    return Triangles(places, place.ravel()[surface.faces])


def lengths(surface: Triangles | Shaded) -> np.ndarray:
    edges = edges_of(Triangles(surface.vertices, surface.faces)).ends
    return np.linalg.norm(surface.vertices[edges[:, 0]] - surface.vertices[edges[:, 1]], axis=1)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(0.08, 2.0), st.floats(5.0, 120.0))
def test_any_form_stays_closed_and_itself(seed: int, limit: float, crease: float) -> None:
    # closed by exact places across every crease, same volume and area, no edge longer than the limit
    hull = trimesh.convex.convex_hull(np.random.default_rng(seed).normal(size=(15, 3)))
    fine = cut(shaded(Triangles(hull.vertices, hull.faces), crease), limit)
    whole = by_place(fine)
    assert edges_of(whole).closed
    assert lengths(whole).max() <= limit
    np.testing.assert_allclose(whole.volumes().sum(), hull.volume, rtol=1e-9)
    np.testing.assert_allclose(whole.areas().sum(), hull.area, rtol=1e-9)
    np.testing.assert_allclose(np.linalg.norm(fine.normals, axis=1), 1.0, atol=1e-12)


def test_a_fine_mesh_is_left_alone() -> None:
    # nothing is longer than the limit, so not one number changes
    ball = trimesh.creation.icosphere(subdivisions=3)
    surface = shaded(Triangles(ball.vertices, ball.faces), 40.0)
    same = cut(surface, 1.0)
    np.testing.assert_array_equal(same.vertices, surface.vertices)
    np.testing.assert_array_equal(same.faces, surface.faces)
    np.testing.assert_array_equal(same.normals, surface.normals)


def test_flat_sides_keep_their_normals_and_round_ones_their_roundness() -> None:
    # a cube's sides stay exactly flat; a coarse ball's new vertices have normals within a degree of its own radius
    box = trimesh.creation.box((10, 10, 10))
    fine = cut(shaded(Triangles(box.vertices, box.faces), 40.0), 1.0)
    assert set(np.abs(fine.normals).max(axis=1)) == {1.0}
    ball = trimesh.creation.icosphere(subdivisions=2)
    round_ = cut(shaded(Triangles(ball.vertices, ball.faces), 40.0), 0.1)
    radius = round_.vertices / np.linalg.norm(round_.vertices, axis=1, keepdims=True)
    assert len(round_.vertices) > 4 * len(ball.vertices)
    assert np.einsum("ij,ij->i", radius, round_.normals).min() > np.cos(np.radians(1.0))


def test_a_limit_that_varies_leaves_no_gap_where_it_changes() -> None:
    # fine on one side of a plane, coarse on the other
    box = trimesh.creation.box((10, 10, 10))
    fine = cut(shaded(Triangles(box.vertices, box.faces), 40.0), lambda middle: np.where(middle[:, 0] > 1, 0.5, 3.0))
    whole = by_place(fine)
    assert edges_of(whole).closed
    middles = fine.vertices[fine.faces].mean(axis=1)[:, 0]
    assert (middles > 2).sum() > 10 * (middles < 0).sum()


def test_unseen_faces_are_cut_only_where_they_meet_seen_ones() -> None:
    # the bottom of a box costs no more than its rim, and fits the sides without a gap
    box = trimesh.creation.box((10, 10, 10))
    unseen = box.face_normals[:, 2] < -0.5
    fine = cut(shaded(Triangles(box.vertices, box.faces), 40.0), 0.5, unseen)
    assert edges_of(by_place(fine)).closed
    bottom = (fine.vertices[fine.faces][:, :, 2] == -5.0).all(axis=1)
    rim = 4 * 10 / 0.5
    assert bottom.sum() < 2 * 2 * rim
    assert (~bottom).sum() > 5 * 2 * (10 / 0.5) ** 2
