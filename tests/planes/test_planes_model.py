"""A planes model stands where the sculpture stands, flat and fine enough for light."""

from __future__ import annotations

import numpy as np

from builder.model.model import Part
from builder.model.triangles import Triangles
from builder.planes.planes_model import BODY_CELL, BODY_MOST_FACES, COARSER
from tests.planes.known_planes import UNDER, box_planes, planes_scene
from tests.scenes import sheet


def test_a_cube_keeps_its_form_and_each_face_its_plane():
    """Area and volume are the cube's; every face has its plane's normal, in shading and in fact, and lies in it."""
    planes = box_planes(((-50, -50, 0), (50, 50, 100)))
    broken = planes_scene(planes, sheet(1000, 1000, 0.0, 20))
    scene, count = broken.model.scene, broken.model.body_faces
    faces = scene.faces[:count]
    body = Triangles(scene.vertices, faces)
    assert np.isclose(body.areas().sum(), 6 * 100**2) and np.isclose(body.volumes().sum(), 100**3)
    own = planes.normals[broken.plane_of_face]
    assert np.array_equal(scene.normals[faces], np.repeat(own[:, None], 3, axis=1))
    assert np.allclose(body.crosses() / np.linalg.norm(body.crosses(), axis=1)[:, None], own)
    off = np.einsum("fkj,fj->fk", scene.vertices[faces] - planes.centres[broken.plane_of_face][:, None], own)
    assert np.abs(off).max() < 1e-9
    areas = np.bincount(broken.plane_of_face, body.areas())
    assert np.allclose(areas, planes.areas_mm2)


def test_faces_are_fine_where_they_are_seen_and_few():
    """No edge is longer than a cell but on the base, which nobody sees; the cells of a cube, which is all surface, are
    coarser than those of a slim body."""
    for half, coarser in ((10, 1.0), (50, COARSER**4)):
        broken = planes_scene(box_planes(((-half, -half, 0), (half, half, 100))))
        assert 5000 < broken.model.body_faces <= BODY_MOST_FACES
        seen, unseen = longest_edges(broken)
        assert seen <= 100 * BODY_CELL * coarser * (1 + 1e-9) < unseen


def longest_edges(broken) -> tuple[float, float]:
    """The longest edge of faces that are seen, and of those of the base."""
    corners = broken.model.scene.vertices[broken.model.scene.faces[: broken.model.body_faces]]
    longest = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max(axis=1)
    seen = broken.plane_of_face != UNDER
    return float(longest[seen].max()), float(longest[~seen].max())


def test_the_room_stays_and_the_foot_stands_on_it():
    """Ground and backdrop are the same to the bit; what hung a little lower or higher now stands on the plinth."""
    planes = box_planes(((-50, -50, 0.4), (50, 50, 100)))
    broken = planes_scene(planes, sheet(1000, 1000, 0.0, 20))
    model = broken.model
    rest = model.scene.parts[model.body_faces :]
    assert set(rest.tolist()) == {Part.GROUND} and len(rest) == 800
    assert np.array_equal(model.scene.vertices[model.body_vertices :], sheet(1000, 1000, 0.0, 20).vertices)
    assert model.scene.vertices[: model.body_vertices, 2].min() == 0.0
