"""Shading normals: smooth where the form turns, broken where it folds."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import example, given, settings
from hypothesis import strategies as st

from builder.model.normals import shaded
from builder.model.triangles import Triangles


def of(mesh: trimesh.Trimesh) -> Triangles:
    return Triangles(mesh.vertices, mesh.faces)


def test_a_cube_has_a_flat_normal_on_each_side() -> None:
    # creases of 90 degrees: each corner splits into three vertices, each with the normal of its own side exactly
    cube = of(trimesh.creation.box((2, 3, 4)))
    surface = shaded(cube, 40.0)
    assert len(surface.vertices) == 24
    assert np.bincount(surface.point).tolist() == [3] * 8
    cross = np.cross(*(surface.vertices[surface.faces[:, k]] - surface.vertices[surface.faces[:, 0]] for k in (1, 2)))
    flat = cross / np.linalg.norm(cross, axis=1, keepdims=True)
    for k in range(3):
        np.testing.assert_allclose(surface.normals[surface.faces[:, k]], flat, atol=1e-15)


def test_a_cube_below_its_crease_is_smooth_and_even() -> None:
    # weighted by angle, the diagonals that cut its sides do not show: corner normals are the cube's diagonals
    cube = of(trimesh.creation.box((2, 2, 2)))
    surface = shaded(cube, 91.0)
    assert len(surface.vertices) == 8
    np.testing.assert_allclose(surface.normals, surface.vertices / np.sqrt(3.0), atol=1e-15)


def test_a_sphere_is_smooth() -> None:
    # no split, and every normal within half a degree of the radius
    ball = of(trimesh.creation.icosphere(subdivisions=4))
    surface = shaded(ball, 40.0)
    assert len(surface.vertices) == len(ball.vertices)
    assert np.einsum("ij,ij->i", surface.normals, surface.vertices).min() > np.cos(np.radians(0.5))


def test_a_cylinder_is_smooth_round_and_sharp_at_its_rims() -> None:
    # 48 sides bend by 7.5 degrees and are smoothed; the rims bend by 90 and are not
    cylinder = of(trimesh.creation.cylinder(10.0, 30.0, sections=48))
    surface = shaded(cylinder, 40.0)
    level = np.abs(surface.normals[:, 2])
    assert set(level.round(12)) == {0.0, 1.0}
    side = level < 0.5
    radial = surface.vertices[side, :2] / 10.0
    np.testing.assert_allclose(surface.normals[side, :2], radial, atol=1e-6)


def test_a_sliver_does_not_smooth_the_crease_it_lies_in() -> None:
    # a cube with an extra point on one edge and a face without area there: still six directions, none missing
    box = trimesh.creation.box((2, 2, 2))
    a, b = next(
        edge for edge, angle in zip(box.face_adjacency_edges, box.face_adjacency_angles, strict=True) if angle > 1
    )
    f = next(i for i, face in enumerate(box.faces) if {a, b} <= set(face.tolist()))
    face = box.faces[f].tolist()
    k = next(k for k in range(3) if {face[k], face[(k + 1) % 3]} == {a, b})
    start, end, tip = face[k], face[(k + 1) % 3], face[(k + 2) % 3]
    middle = len(box.vertices)
    vertices = np.concatenate([box.vertices, [(box.vertices[start] + box.vertices[end]) / 2]])
    faces = [row for i, row in enumerate(box.faces.tolist()) if i != f]
    faces += [[start, middle, tip], [middle, end, tip], [start, end, middle]]
    surface = shaded(Triangles(vertices, faces), 40.0)
    assert len(np.unique(surface.normals.round(12), axis=0)) == 6
    assert np.isfinite(surface.normals).all()


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(5.0, 120.0))
@example(13333, 62.0)  # a chain of bends, each under the crease, that together turn further than a right angle
def test_normals_are_unit_turn_with_the_form_and_flip_with_it(seed: int, crease: float) -> None:
    # any convex form, any crease: unit normals on the outer side of every face, the same after turning the form, and
    # opposite after turning its faces over
    generator = np.random.default_rng(seed)
    hull = of(trimesh.convex.convex_hull(generator.normal(size=(20, 3))))
    surface = shaded(hull, crease)
    np.testing.assert_allclose(np.linalg.norm(surface.normals, axis=1), 1.0, atol=1e-12)
    cross = np.cross(*(surface.vertices[surface.faces[:, k]] - surface.vertices[surface.faces[:, 0]] for k in (1, 2)))
    assert all((np.einsum("ij,ij->i", cross, surface.normals[surface.faces[:, k]]) > 0).all() for k in range(3))
    np.testing.assert_array_equal(surface.vertices[surface.faces], hull.vertices[hull.faces])
    turn = trimesh.transformations.random_rotation_matrix(generator.random(3))[:3, :3]
    turned = shaded(Triangles(hull.vertices @ turn.T, hull.faces), crease)
    np.testing.assert_allclose(turned.normals, surface.normals @ turn.T, atol=1e-9)
    flipped = shaded(Triangles(hull.vertices, hull.faces[:, ::-1]), crease)
    there, back = surface.normals[surface.faces], flipped.normals[flipped.faces[:, ::-1]]
    np.testing.assert_allclose(back, -there, atol=1e-9)


@pytest.mark.parametrize("crease", [0.0, 180.0])
def test_the_ends_of_the_crease_are_flat_and_smooth(crease: float) -> None:
    # 0: every bent edge is sharp; 180: none is
    ball = of(trimesh.creation.icosphere(subdivisions=1))
    assert len(shaded(ball, crease).vertices) == (3 * 80 if crease == 0.0 else 42)
