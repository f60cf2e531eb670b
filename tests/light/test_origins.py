from __future__ import annotations

import numpy as np

from builder.light.areas import face_areas
from builder.light.origins import border_patches, shading_normals, smooth_points, vertex_origins
from builder.model.model import Part
from tests.scenes import ball, box, surface, wall


def middles(count: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    third = np.full(count, 1 / 3, np.float32)
    return np.arange(count, dtype=np.int32), third, third


def test_points_of_a_coarse_ball_are_raised_towards_the_sphere() -> None:
    coarse = surface(ball(100, 2))
    points = smooth_points(coarse, *middles(len(coarse.faces)))
    flat = coarse.vertices[coarse.faces].mean(axis=1)
    short_before, short_after = (100 - np.linalg.norm(at, axis=1) for at in (flat, points))
    assert short_before.min() > 1.0
    # the tangent planes of the corners lie just outside the sphere
    assert np.abs(short_after).max() < 1.05 * short_before.max()
    assert (short_after <= 0).all()


def test_points_of_a_hollow_and_of_flat_sides_stay_on_their_triangles() -> None:
    for still in (surface(ball(100, 2).inside_out()), surface(box(10, 20, 30))):
        points = smooth_points(still, *middles(len(still.faces)))
        assert np.abs(points - still.vertices[still.faces].mean(axis=1)).max() < 1e-5


def test_a_corner_of_a_triangle_stays_where_it_is() -> None:
    coarse = surface(ball(100, 1))
    face = np.arange(len(coarse.faces), dtype=np.int32)
    none, whole = np.zeros(len(face), np.float32), np.ones(len(face), np.float32)
    for corner, (u, v) in enumerate([(none, none), (whole, none), (none, whole)]):
        assert np.allclose(smooth_points(coarse, face, u, v), coarse.vertices[coarse.faces[:, corner]], atol=1e-9)


def test_normals_within_the_triangles_of_a_ball_are_those_of_the_sphere() -> None:
    # read between unit normals at the corners and made unit again they point along the radius through the point
    fine = surface(ball(100, 3))
    face = np.arange(len(fine.faces), dtype=np.int32)
    weights = np.random.default_rng(4).dirichlet(np.ones(3), len(face)).astype(np.float32)
    normals = shading_normals(fine, face, weights[:, 1], weights[:, 2])
    flat = np.einsum("ij,ijk->ik", weights, fine.vertices[fine.faces])
    assert np.abs(np.linalg.norm(normals, axis=1) - 1).max() < 1e-12
    assert np.abs(normals - flat / np.linalg.norm(flat, axis=1)[:, None]).max() < 1e-6


def test_only_vertices_on_a_border_move() -> None:
    closed = surface(ball(100, 2))
    assert np.array_equal(vertex_origins(closed), closed.vertices)
    crate = surface(box(10, 10, 10, Part.PLINTH))
    moved = np.linalg.norm(vertex_origins(crate) - crate.vertices, axis=1)
    assert (moved > 0.1).all()
    # on to their own sides: every one stays in the plane of its side
    assert np.abs(np.einsum("ij,ij->i", vertex_origins(crate) - crate.vertices, crate.normals)).max() < 1e-12


def test_border_vertices_of_a_hollow_wall_do_not_move_behind_it() -> None:
    ring = surface(wall(100, 0, 50, sides=24, rows=2))
    out = np.linalg.norm(vertex_origins(ring)[:, :2], axis=1)
    assert out.max() <= 100 + 1e-9


def test_only_border_vertices_have_a_patch_and_it_is_all_their_triangles() -> None:
    closed = surface(ball(100, 2))
    assert not len(border_patches(closed).faces)
    crate = surface(box(10, 20, 30, Part.PLINTH, cells=3))
    patches = border_patches(crate)
    area = face_areas(crate)
    for vertex in range(len(crate.vertices)):
        own = slice(patches.starts[vertex], patches.starts[vertex + 1])
        round_it = np.flatnonzero((crate.faces == vertex).any(axis=1))
        # a side's middle corners, four of sixteen, lie on no border
        if len(round_it) == 6 and not own.stop - own.start:
            continue
        assert np.array_equal(np.sort(patches.faces[own]), round_it)
        shares = np.diff(np.concatenate([[0.0], patches.reach[own]]))
        assert np.allclose(shares, area[patches.faces[own]] / area[round_it].sum())
    inner = np.diff(patches.starts) == 0
    assert inner.sum() == 6 * 4
