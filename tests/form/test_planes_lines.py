"""The edges of planes as the eye sees them, counted on solids."""

from __future__ import annotations

import numpy as np
import pytest

from builder.camera.projection import project
from builder.form.looked import look_at
from builder.form.planes_lines import planes_drawing
from tests.planes.known_planes import box_planes, planes_scene
from tests.plates.known_light import eye_at, look

CUBE = ((-50, -50, 0), (50, 50, 100))


def drawn(*boxes, bearing=30.0, level=25.0):
    broken = planes_scene(box_planes(*boxes))
    eye = eye_at(broken.model.middle_mm, bearing, level, 600.0, 110.0, (480, 600))
    return planes_drawing(look_at(broken.model, look(broken.model, eye)), broken.planes), eye


@pytest.mark.parametrize(("bearing", "level", "edges", "corners"), [(30, 25, 9, 7), (-50, 40, 9, 7), (0, 0, 4, 4)])
def test_a_cube_shows_nine_edges_and_seven_corners(bearing, level, edges, corners):
    """From a general view nine of its twelve edges and seven of its eight corners, straight on four and four; each
    end lies where a corner of the cube is seen."""
    drawing, eye = drawn(CUBE, bearing=bearing, level=level)
    assert len(drawing.strokes) == edges
    ends = np.array([stroke.points[k] for stroke in drawing.strokes for k in (0, -1)])
    assert len(np.unique(ends.round(2), axis=0)) == corners
    cube = project(eye, np.array([[x, y, z] for x in (-50, 50) for y in (-50, 50) for z in (0, 100)], float))[0]
    off = np.linalg.norm(ends[:, None] - cube[None], axis=2).min(axis=1)
    assert off.max() < 1e-6
    assert all(len(stroke.points) == 2 for stroke in drawing.strokes)


def test_the_silhouette_of_a_cube_is_a_hexagon():
    """Six of the nine belong to the silhouette: the convex hull of the corners seen."""
    drawing, _ = drawn(CUBE)
    kinds = [stroke.kind for stroke in drawing.strokes]
    assert kinds.count("silhouette") == 6 and kinds.count("plane-edge") == 3


def test_what_stands_behind_is_hidden():
    """A cube right behind a larger one shows no edge; beside it, all nine."""
    near, behind = ((-50, -50, 0), (50, 50, 100)), ((-20, 60, 10), (20, 70, 50))
    alone, _ = drawn(near, bearing=0, level=8)
    both, _ = drawn(near, behind, bearing=0, level=8)
    assert len(both.strokes) == len(alone.strokes) == 7  # front and top: seven edges
    beside, _ = drawn(near, ((80, -20, 0), (100, 0, 20)), bearing=30, level=25)
    assert len(beside.strokes) == 18
