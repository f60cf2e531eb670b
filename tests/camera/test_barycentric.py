"""Weights of the vertices under each sample."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.camera.barycentric import weights
from builder.camera.projection import project
from builder.camera.sight import Eye
from builder.model.model import Surface


def eye(size=(20, 16), position=(0.0, 0.0, 500.0)):
    # looks along -z
    matrix = np.eye(4)
    matrix[:3, 3] = position
    return Eye(1, matrix[:3, 3], matrix, 0.25, 0.2, *size, 500.0)


def surface(points):
    points = np.asarray(points, float)
    faces = np.arange(len(points)).reshape(-1, 3)
    return Surface(points, faces, np.tile([0.0, 0, 1], (len(points), 1)), np.zeros(len(faces)))


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(-300, 300), min_size=3, max_size=3), st.floats(0, 6.28))
def test_the_weighted_point_is_seen_at_its_sample(depths, turn):
    # Whatever the slant of a triangle wider than the picture, its point at (u, v) must project to the sample's centre.
    sides = turn + np.array([0, 2.1, 4.2])
    points = np.stack([3000 * np.cos(sides), 3000 * np.sin(sides), np.array(depths)], axis=1)
    looker = eye()
    face = np.zeros((32, 40), np.int32)
    u, v = weights(looker, surface(points), face)
    p, q, r = points
    met = p + u.reshape(-1, 1).astype(float) * (q - p) + v.reshape(-1, 1).astype(float) * (r - p)
    place, _ = project(looker, met)
    x, y = np.meshgrid(np.arange(40) / 2 + 0.25, np.arange(32) / 2 + 0.25)
    # u and v are single precision: 6e-8 of 6 m, at 12.5 mm a pixel
    np.testing.assert_allclose(place, np.stack([x.ravel(), y.ravel()], axis=1), atol=5e-4)


def test_weights_are_true_in_perspective_not_in_the_picture():
    # Half way along an edge in the picture is not half way in space: with depths 400 and 800 mm it is at a third.
    looker = eye(size=(1, 1))  # its four samples: x and y at +-half the half-width
    left, right = -0.25 * 1.0, 0.25 * 1.0  # a vertex at either side of the picture, at tangents of +-0.25
    points = [(left * 400, -0.1 * 400, 100.0), (right * 800, -0.1 * 800, -300.0), (0.0, 1000.0, -100.0)]
    u, v = weights(looker, surface(points), np.zeros((2, 2), np.int32))
    # lower row: y tangent -0.1, on the edge from the first to the second; tangents -0.125 and 0.125
    for column, tangent in enumerate((-0.125, 0.125)):
        share = (tangent - left) / (right - left)
        np.testing.assert_allclose(u[1, column], share * 400 / ((1 - share) * 800 + share * 400), rtol=1e-6)
        assert v[1, column] < 1e-6


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_weights_stay_inside_the_triangle_even_where_the_ray_misses_it(seed):
    # A rasteriser may give a sample to a triangle that its ray passes by a hair, or see it from its edge.
    random = np.random.default_rng(seed)
    points = random.uniform(-60, 60, (30, 3))
    points[3:6, 2], points[3:6, 0] = [-50, 0, 50], 0.0  # in a plane through the eye
    face = random.integers(-1, 10, (32, 40)).astype(np.int32)
    u, v = weights(eye(), surface(points), face)
    assert u.dtype == v.dtype == np.float32
    assert (u >= 0).all() and (v >= 0).all() and (u + v <= 1).all()
    assert (u[face < 0] == 0).all() and (v[face < 0] == 0).all()


def test_a_ray_past_an_edge_lands_on_that_edge():
    # Both samples of a row below the triangle's lower edge get v = 0, the weight of the vertex opposite.
    u, v = weights(eye(size=(1, 1)), surface([(-100, 0, 0), (100, 0, 0), (0, 50, 0)]), np.zeros((2, 2), np.int32))
    assert (v[1] == 0).all() and (v[0] > 0).all()
    assert (u[1] > 0).all() and (u[1] < 1).all()
