"""Perspective: what is seen, against what geometry and the workshop books say."""

import numpy as np
import pytest
import trimesh

from builder.camera.drawn import fronts
from builder.camera.look import open_camera
from builder.camera.projection import project
from builder.camera.sight import Eye
from builder.model.model import Model, ModelFacts, Surface

METHODS = ["auto", "rays"]  # auto draws where OpenGL is to be had


def model_of(*solids):
    """A Model of solids alone: no plinth, no room. Each solid keeps its faces together, in the order given."""
    solid = trimesh.util.concatenate(solids)
    width, depth, height = solid.extents
    count = len(solid.faces)
    facts = ModelFacts(width, depth, height, count, count, solid.area, None, True, 0, 0.0)
    normals = np.tile([0.0, 0.0, 1.0], (len(solid.vertices), 1))
    scene = Surface(solid.vertices, solid.faces, normals, np.zeros(count))
    return Model("solid", scene, count, len(solid.vertices), -1e6, facts, ())


def level_eye(position, focal_px, size=(400, 400)):
    """An eye looking along +y, level, with the picture plane ``focal_px`` away in pixels."""
    matrix = np.eye(4)
    matrix[:3, 0], matrix[:3, 1], matrix[:3, 2], matrix[:3, 3] = (1, 0, 0), (0, 0, 1), (0, -1, 0), position
    return Eye(1, matrix[:3, 3], matrix, size[0] / 2 / focal_px, size[1] / 2 / focal_px, *size, 1000.0)


def on_plane(eye, points):
    """Places on the picture plane at distance 1, x right and y up from its centre."""
    places, _ = project(eye, np.atleast_2d(np.asarray(points, float)))
    return (places / [eye.width_px, eye.height_px] * 2 - 1) * [eye.tan_x, -eye.tan_y]


def look(solids, eye, method):
    with open_camera(model_of(*solids), method) as camera:
        return camera.look(eye)


def box_px(seen):
    """Left, right, top and bottom edge of a (h, w) sample mask, px."""
    rows, columns = np.flatnonzero(seen.any(axis=1)) / 2, np.flatnonzero(seen.any(axis=0)) / 2
    return columns[0], columns[-1] + 0.5, rows[0], rows[-1] + 0.5


def sphere(radius=100.0, centre=(0.0, 0.0, 0.0)):
    return trimesh.creation.icosphere(subdivisions=6, radius=radius).apply_translation(centre)


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize(("radii", "angle_deg"), [(2, 30.0), (3, 19.471), (5, 11.537), (6, 9.594)])
def test_a_sphere_is_seen_under_the_angle_whose_sine_is_radius_over_distance(method, radii, angle_deg):
    # asin(R / d): the tangent from the eye (Euclid, Elements III.18: it is square to the radius).
    focal = 150 / np.tan(np.radians(angle_deg))
    eye = level_eye((0, -100.0 * radii, 0), focal)
    left, right, top, bottom = box_px(look([sphere()], eye, method).face >= 0)
    np.testing.assert_allclose([200 - left, right - 200, 200 - top, bottom - 200], 150, atol=1)
    contour = [100 * np.cos(np.radians(angle_deg)), -100 * np.sin(np.radians(angle_deg)), 0]
    np.testing.assert_allclose(on_plane(eye, contour)[0, 0], np.tan(np.radians(angle_deg)), atol=2e-5)


@pytest.mark.parametrize(("radii", "radius", "share"), [(3, 0.94281, 0.33333), (6, 0.98601, 0.41667)])
def test_the_contour_of_a_sphere_is_a_circle_nearer_than_its_middle(radii, radius, share):
    # Contour circle R sqrt(1 - R^2/d^2); visible share of the surface (1 - R/d)/2: Archimedes, On the Sphere and
    # Cylinder I.42, a cap's area is 2 pi R times its height.
    ball = sphere(1.0)
    scene = model_of(ball).scene
    eye = level_eye((0, -radii, 0), 500)
    seen = fronts(scene, np.arange(len(scene.faces)), eye)
    assert ball.area_faces[seen].sum() / ball.area == pytest.approx(share, abs=5e-4)
    edges = ball.face_adjacency_edges[seen[ball.face_adjacency[:, 0]] != seen[ball.face_adjacency[:, 1]]]
    contour = ball.vertices[np.unique(edges)]
    # an edge of the mesh is 0.02 R long, so a vertex of the contour may lie 0.02 R off along the surface
    np.testing.assert_allclose(np.hypot(contour[:, 0], contour[:, 2]).mean(), radius, atol=3e-3)
    # the contour's points are where the line of sight touches the sphere
    exact = np.array([radius, -1 / radii, 0])
    assert exact @ (exact - eye.position) == pytest.approx(0, abs=1e-4)
    assert on_plane(eye, exact)[0, 0] == pytest.approx(np.tan(np.arcsin(1 / radii)), abs=1e-5)


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize(("off_deg", "radius_deg", "stretch"), [(30, 10, 1.16073), (20, 10, 1.06638)])
def test_a_sphere_beside_the_line_of_sight_is_seen_as_an_ellipse(method, off_deg, radius_deg, stretch):
    # Pinhole model: half-length [tan(t + a) - tan(t - a)] / 2 along the line from the centre; the cone's section across
    # it gives sin a / sqrt(cos^2 a - sin^2 t); their ratio tends to 1 / cos t.
    t, a = np.radians([off_deg, radius_deg])
    eye = level_eye((0, 0, 0), 300, (600, 400))
    ball = sphere(100.0, np.array([np.sin(t), np.cos(t), 0]) * 100 / np.sin(a))
    left, right, top, bottom = box_px(look([ball], eye, method).face >= 0)
    long = (np.tan(t + a) - np.tan(t - a)) / 2
    across = np.sin(a) / np.sqrt(np.cos(a) ** 2 - np.sin(t) ** 2)
    assert long / across == pytest.approx(stretch, abs=1e-5)
    np.testing.assert_allclose([left - 300, right - 300], [300 * np.tan(t - a), 300 * np.tan(t + a)], atol=1)
    assert (right - left) / 2 == pytest.approx(300 * long, abs=1)
    np.testing.assert_allclose([200 - top, bottom - 200], 300 * across, atol=1)


def test_the_image_of_a_circle_has_another_centre_than_the_circle():
    # Pinhole model: a circle of radius 1 on the ground, 5 away, from a height of 1.5.
    eye = level_eye((0, -5, 1.5), 500)
    near, far, middle = on_plane(eye, [(0, -1, 0), (0, 1, 0), (0, 0, 0)])[:, 1]
    np.testing.assert_allclose([near, far, (near + far) / 2, middle], [-0.375, -0.25, -0.3125, -0.300], atol=1e-6)
    turn = np.linspace(0, 2 * np.pi, 100_001)
    ring = on_plane(eye, np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=1))
    assert ring[:, 0].max() == pytest.approx(0.204124, abs=1e-6)


@pytest.mark.parametrize("method", METHODS)
def test_a_round_slab_shows_that_ellipse(method):
    # The same circle as the top of a slab, from rendered ids.
    slab = trimesh.creation.cylinder(radius=100.0, height=2.0, sections=720).apply_translation((0, 0, -1.0))
    eye = level_eye((0, -500, 150), 800, (400, 640))
    sight = look([slab], eye, method)
    top_faces = np.flatnonzero(slab.face_normals[:, 2] > 0.5)
    left, right, top, bottom = box_px(np.isin(sight.face, top_faces))
    np.testing.assert_allclose([200 - left, right - 200], 800 * 0.204124, atol=1)
    np.testing.assert_allclose([320 - top, 320 - bottom], [-800 * 0.25, -800 * 0.375], atol=1)


@pytest.mark.parametrize(
    ("sizes", "spans_deg", "ratio"), [(3, 18.925, 1.400), (1, 53.13, 3.0), (2, 28.07, 1.667), (5, 11.42, 1.222)]
)
def test_three_sizes_away_a_form_is_seen_under_nineteen_degrees(sizes, spans_deg, ratio):
    # Leonardo, A Treatise on Painting, tr. Rigaud, ch. XIX: stand off three times the size of the thing. A height
    # at its own distance spans 2 atan(1/2n); front and back of a body as deep as high are as (n + 1/2) : (n - 1/2).
    eye = level_eye((0, -300.0 * sizes, 0), 500)
    low, high = on_plane(eye, [(0, 0, -150), (0, 0, 150)])[:, 1]
    assert np.degrees(np.arctan(high) - np.arctan(low)) == pytest.approx(spans_deg, abs=0.01)
    front, back = on_plane(eye, [(0, -150, 150), (0, 150, 150)])[:, 1]
    assert front / back == pytest.approx(ratio, abs=5e-4)


@pytest.mark.parametrize("method", METHODS)
def test_posts_front_and_back_three_sizes_away_differ_by_two_fifths(method):
    # The same rule on rendered ids: two posts 300 high whose fronts are 300 apart, seen from three times that.
    posts = [
        trimesh.creation.box((20, 2, 300)).apply_translation((x, y + 1.0, 0)) for x, y in ((-80, -150.0), (80, 150.0))
    ]
    eye = level_eye((0, -900, 0), 900)
    face = look(posts, eye, method).face
    heights = []
    for x, seen in enumerate((np.s_[:12], np.s_[12:])):
        _, _, top, bottom = box_px(np.isin(face, np.arange(24)[seen]))
        heights.append(bottom - top)
        assert bottom - top == pytest.approx(900 * 300 / (750, 1050)[x], abs=1)
    assert heights[0] / heights[1] == pytest.approx(1.400, abs=1.4 * (1 / heights[0] + 1 / heights[1]))


@pytest.mark.parametrize("alpha_deg", [15.0, 30.0, 45.0, 70.0])
def test_square_corners_vanish_at_two_points_whose_distances_multiply_to_one(alpha_deg):
    # Pinhole model: level lines at alpha and at 90 - alpha to the line of sight vanish at tan alpha and tan(90 - alpha)
    # either side of the centre, on the horizon; the product is the square of the picture's distance, here 1.
    eye = level_eye((0, -5, 1.5), 500)
    a = np.radians(alpha_deg)
    far = 1e10 * np.array([(np.sin(a), np.cos(a), 0), (-np.cos(a), np.sin(a), 0)])
    (right, horizon), (left, same) = on_plane(eye, far)
    assert right == pytest.approx(np.tan(a), abs=1e-8)
    assert -left == pytest.approx(np.tan(np.pi / 2 - a), abs=1e-8)
    assert -left * right == pytest.approx(1, abs=1e-8)
    np.testing.assert_allclose([horizon, same], 0, atol=1e-8)


@pytest.mark.parametrize("method", METHODS)
def test_the_edges_of_a_block_run_to_their_vanishing_points(method):
    # The same on rendered ids: the upper edges of a turned block seen from below its top, each a line from the near
    # corner to its vanishing point on the horizon.
    a = np.radians(35.0)
    turn = trimesh.transformations.rotation_matrix(-a, (0, 0, 1))
    eye = level_eye((0, -1000, 0), 500, (600, 400))
    seen = look([trimesh.creation.box((300, 300, 300)).apply_transform(turn)], eye, method).face >= 0
    corners = np.array([(x, y, 150.0) for x in (-150, 150) for y in (-150, 150)]) @ turn[:3, :3].T
    near = corners[np.argmin(corners[:, 1])]
    (near_x, near_y), _ = project(eye, near[None])[0][0], None
    ends = {
        side: project(eye, corners[[pick(corners[:, 0])]])[0][0, 0]
        for side, pick in (("l", np.argmin), ("r", np.argmax))
    }
    vanish = {"r": 300 + 500 * np.tan(a), "l": 300 - 500 * np.tan(np.pi / 2 - a)}
    for side, sign in (("l", -1), ("r", 1)):
        columns = np.arange(*sorted((round(2 * near_x) + 2 * sign, round(2 * ends[side]) - 2 * sign)))
        assert len(columns) > 100
        top = seen[:, columns].argmax(axis=0) / 2
        share = (columns / 2 + 0.25 - near_x) / (vanish[side] - near_x)
        np.testing.assert_allclose(top, near_y + share * (200 - near_y), atol=1)


def test_a_tiled_floor_rises_as_alberti_drew_it():
    # Alberti, De pictura, book I (1435): lines k tiles behind the picture stand at h k / (d + k), and the diagonals of
    # the tiles run to one point on the horizon, as far from the centre as the eye from the picture.
    height, distance = 1.5, 3.0
    eye = level_eye((0, -distance, height), 500)
    rows = on_plane(eye, [(0.5, k, 0) for k in (1, 2, 3, 4)])[:, 1] * distance + height
    np.testing.assert_allclose(rows, [0.375, 0.6, 0.75, 0.8571], atol=1e-4)
    for x in (-2, -1, 0, 1):
        (x0, y0), (x1, y1) = on_plane(eye, [(x, 0, 0), (x + 3, 3, 0)]) * distance
        assert x0 + (x1 - x0) * (0 - y0) / (y1 - y0) == pytest.approx(distance, abs=1e-9)


@pytest.mark.parametrize("level_deg", [10, 30, 45])
def test_from_far_away_a_circle_is_as_flat_as_the_sine_of_the_eye_level(level_deg):
    # Descriptive geometry: in parallel projection minor : major = sin e; from 1e6 radii away a pinhole is as good.
    e = np.radians(level_deg)
    matrix = np.eye(4)
    back = np.array([0, -np.cos(e), np.sin(e)])
    matrix[:3, 1], matrix[:3, 2], matrix[:3, 3] = np.cross(back, (1, 0, 0)), back, 1e6 * back
    eye = Eye(1, matrix[:3, 3], matrix, 2e-6, 2e-6, 400, 400, 1e6)
    turn = np.linspace(0, 2 * np.pi, 3601)
    ring = on_plane(eye, np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=1))
    assert np.ptp(ring[:, 1]) / np.ptp(ring[:, 0]) == pytest.approx(np.sin(e), abs=1e-5)
