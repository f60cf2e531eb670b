"""The closest place of a surface, against closed forms."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from builder.model.closest import closest_of, closest_within
from tests.scenes import box

coordinate = st.floats(-200, 200, allow_nan=False)


@given(st.tuples(coordinate, coordinate, coordinate))
def test_closest_place_of_a_box(point: tuple[float, float, float]) -> None:
    """Outside a box it is the point brought within the box's bounds; inside, the nearest side is as far as it is."""
    piece = box(80, 60, 100)
    low, high = np.array([-40.0, -30.0, 0.0]), np.array([40.0, 30.0, 100.0])
    place, face = closest_within(np.array([point]), piece.vertices, piece.faces.astype(np.int32), 1e4)
    again, _ = closest_of(np.array([point]), piece.vertices[piece.faces], np.arange(len(piece.faces))[None])
    assert np.allclose(place, again)
    at = np.array(point)
    inside = bool(((at > low) & (at < high)).all())
    apart = np.linalg.norm(place[0] - at)
    if inside:
        assert np.isclose(apart, np.minimum(at - low, high - at).min())
    else:
        # squares of distances tie by rounding where places of two triangles lie sqrt(2 eps) distances apart
        tie = float(np.sqrt(2 * np.finfo(np.float64).eps) * apart)
        assert np.allclose(place[0], np.clip(at, low, high), atol=1e-8 + 2 * tie)
    corners = piece.vertices[piece.faces[face[0]]]
    normal = np.cross(corners[1] - corners[0], corners[2] - corners[0])
    assert abs((place[0] - corners[0]) @ normal) < 1e-6 * np.linalg.norm(normal)


def test_beyond_reach_is_left_where_it_is() -> None:
    """A point with nothing within reach stays, on no triangle; a reach that just touches finds it."""
    piece = box(80, 60, 100)
    point = np.array([[50.0, 0.0, 50.0]])
    faces = piece.faces.astype(np.int32)
    place, face = closest_within(point, piece.vertices, faces, 9.99)
    assert face[0] == -1 and (place == point).all()
    place, face = closest_within(point, piece.vertices, faces, 10.0)
    assert face[0] >= 0 and np.allclose(place, [[40.0, 0.0, 50.0]])
