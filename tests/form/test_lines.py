"""The line drawing, on solids whose lines are known."""

from __future__ import annotations

import numpy as np
import trimesh
from scipy.optimize import brentq
from scipy.spatial import cKDTree

from builder.arrays import Floats
from builder.camera.projection import project
from builder.form.breaks import Break, find_breaks
from builder.form.chains import find_chains
from builder.form.curvature import curvature_of
from builder.form.lines import WEIGHTS, line_drawing
from builder.form.looked import Looked, look_at
from builder.form.ridges import find_ridges
from builder.form.stroke import Stroke
from builder.form.stroke_svg import drawing_svg
from builder.model.model import Part
from builder.model.normals import shaded
from builder.model.triangles import Triangles
from tests.plates.known_light import eye_at, look
from tests.scenes import Piece, ball, box, scene_model, sheet, smooth


def seen(*pieces: Piece, bearing: float = 30.0, level: float = 20.0, distance: float = 600.0) -> Looked:
    model = scene_model(*pieces)
    return look_at(model, look(model, eye_at(np.zeros(3), bearing, level, distance, 150.0, (400, 400))))


def dense(points: Floats, closed: bool) -> Floats:
    """Points along a line a quarter of a pixel apart."""
    points = np.vstack([points, points[:1]]) if closed else points
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))
    at = np.linspace(0, along[-1], max(2, int(along[-1] * 4)))
    return np.stack([np.interp(at, along, points[:, k]) for k in (0, 1)], axis=1)


def all_points(strokes: tuple[Stroke, ...] | list[Stroke]) -> Floats:
    return np.concatenate([dense(stroke.points, stroke.closed) for stroke in strokes])


def creased(mesh: trimesh.Trimesh) -> Piece:
    """A mesh with normals that break where it bends by more than 40 degrees."""
    skin = shaded(Triangles(np.array(mesh.vertices), np.array(mesh.faces)), 40.0)
    return Piece(Part.MODEL, skin.vertices, skin.faces, skin.normals)


def test_a_cube_has_its_nine_visible_edges() -> None:
    """From in front of a corner nine of twelve edges are seen: six round it, three that meet in the middle."""
    looked = seen(box(120, 120, 120, Part.MODEL, cells=4).moved(0, 0, -60))
    strokes = line_drawing(looked).strokes
    corners = np.array([[x, y, z] for x in (-60.0, 60.0) for y in (-60.0, 60.0) for z in (-60.0, 60.0)])
    eye = looked.eye
    hidden = np.argmax(np.linalg.norm(corners - eye.position, axis=1))
    nearest = np.argmin(np.linalg.norm(corners - eye.position, axis=1))
    pairs = [(i, j) for i in range(8) for j in range(i) if (corners[i] != corners[j]).sum() == 1]
    edges = [(i, j) for i, j in pairs if hidden not in (i, j)]
    places = project(eye, corners)[0]
    lines = {pair: dense(places[list(pair)], False) for pair in edges}
    assert len(edges) == 9
    drawn = all_points(strokes)
    assert cKDTree(np.concatenate(list(lines.values()))).query(drawn)[0].max() < 1.0
    for line in lines.values():
        assert cKDTree(drawn).query(line)[0].max() < 1.0
    assert sorted(stroke.kind for stroke in strokes if stroke.kind != "crease") == ["silhouette"]
    inner = all_points([stroke for stroke in strokes if stroke.kind == "crease"])
    middle = np.concatenate([line for pair, line in lines.items() if nearest in pair])
    assert cKDTree(middle).query(inner)[0].max() < 1.0


def test_a_cylinder_has_its_silhouette_and_its_rim() -> None:
    """Seen from above, the near half of the top's edge is the only line inside: an ellipse as the eye sees a circle."""
    mesh = trimesh.creation.cylinder(radius=60.0, height=140.0, sections=128)
    looked = seen(creased(mesh), level=25.0)
    strokes = line_drawing(looked).strokes
    assert {stroke.kind for stroke in strokes} == {"silhouette", "crease"}
    turn = np.linspace(0, 2 * np.pi, 4000)
    rim = project(looked.eye, np.stack([60 * np.cos(turn), 60 * np.sin(turn), np.full_like(turn, 70.0)], axis=1))[0]
    inner = all_points([stroke for stroke in strokes if stroke.kind == "crease"])
    assert cKDTree(rim).query(inner)[0].max() < 1.0
    assert (
        np.ptp(inner[:, 0]) > 0.95 * np.ptp(rim[:, 0])
        and len(inner) / 4 > 0.45 * np.hypot(*np.diff(rim, axis=0).T).sum()
    )


def test_a_ball_has_nothing_inside_and_hides_what_lies_behind() -> None:
    """A ball bends alike everywhere, so that no place is a ridge; a box behind it is not drawn."""
    alone = line_drawing(seen(ball(100.0, 6)))
    assert [stroke.kind for stroke in alone.strokes] == ["silhouette"]
    before = line_drawing(
        seen(ball(100.0, 6), box(40, 40, 40, Part.MODEL).moved(0, 0, -20).moved(0, 150, 0), bearing=0.0, level=0.0)
    )
    assert [stroke.kind for stroke in before.strokes] == ["silhouette"]


def groove(deep: float, wide: float) -> Piece:
    """A level field, 200 x 200 mm, with a trough of Gaussian section along y."""
    flat = sheet(200.0, 200.0, 0.0, 160, Part.MODEL)
    height = -deep * np.exp(-np.square(flat.vertices[:, 0] / wide) / 2)
    return smooth(Part.MODEL, np.column_stack([flat.vertices[:, :2], height]), flat.faces)


def test_a_trough_has_a_hollow_in_the_middle_and_a_ridge_on_either_side() -> None:
    """Looking straight down from afar, lines lie where the slope's angle changes fastest.

    For z = -h exp(-x^2 / 2 s^2) the normal's angle is atan z', and a step across the line of sight is one along x: the
    bend is z'' / (1 + z'^2). Its size is greatest at x = 0, by symmetry, and where its derivative is zero beyond the
    turning point: z''' (1 + z'^2) = 2 z' z''^2.
    """
    deep, wide = 10.0, 14.0
    looked = seen(groove(deep, wide), bearing=0.0, level=90.0, distance=40_000.0)

    def condition(x: float) -> float:
        bell = deep * np.exp(-((x / wide) ** 2) / 2)
        one, two = bell * x / wide**2, bell * (1 - (x / wide) ** 2) / wide**2
        three = bell * (x / wide**4) * ((x / wide) ** 2 - 3)
        return float(three * (1 + one**2) - 2 * one * two**2)

    side = brentq(condition, 1.3 * wide, 2.5 * wide)
    found = find_ridges(looked, curvature_of(looked.model), find_breaks(looked), 2.0 / 200.0)
    scale = 200 / 150.0
    for lines, expected in zip(found, ([0.0], [-side, side]), strict=True):
        chains = [chain for chain in find_chains(lines, Break.BEND) if np.ptp(chain.points[:, 1]) > 150]
        places = sorted(float(np.median(chain.points[:, 0] - 200.0) / scale) for chain in chains)
        np.testing.assert_allclose(places, expected, atol=0.5)
        for chain in chains:
            x = chain.points[:, 0][np.abs(chain.points[:, 1] - 200) < 110]
            assert np.ptp(x) < 1.0 and len(x) >= 219
    sharpest = max(float(np.median(chain.jump)) for chain in find_chains(found[0], Break.BEND))
    assert abs(sharpest / (deep / wide**2) - 1) < 0.06  # h / s^2 in the middle, a little evened


def test_weights_grow_with_nearness_and_silhouettes_are_heaviest() -> None:
    """All within 0.6 and 2; of two like cubes the nearer has the heavier creases."""
    near = box(60, 60, 60, Part.MODEL).moved(-60, -60, -30)
    far = box(60, 60, 60, Part.MODEL).moved(60, 60, -30)
    strokes = line_drawing(seen(near, far, bearing=0.0, level=30.0)).strokes
    assert all(0.6 <= stroke.weight <= 2.0 for stroke in strokes)
    assert (
        {stroke.weight for stroke in strokes if stroke.kind == "silhouette"}
        == {2.0}
        == {max(map(max, WEIGHTS.values()))}
    )
    left = [s.weight for s in strokes if s.kind == "crease" and s.points[:, 0].mean() < 200]
    right = [s.weight for s in strokes if s.kind == "crease" and s.points[:, 0].mean() > 200]
    assert left and right and min(left) > max(right)


def test_a_plinth_is_drawn_with_the_thinnest_line() -> None:
    """The slab's edges have a kind of their own, and the sculpture's silhouette stays its own ring."""
    looked = seen(ball(50.0, 5).moved(0, 0, 50), box(160, 160, 20).moved(0, 0, -20))
    strokes = line_drawing(looked).strokes
    assert {stroke.kind for stroke in strokes} == {"silhouette", "stand"}
    assert max(stroke.weight for stroke in strokes if stroke.kind == "stand") <= 0.8


def test_the_same_view_gives_the_same_bytes() -> None:
    """Drawn twice from freshly made models, the file is the same."""
    one, two = (drawing_svg(line_drawing(seen(ball(80.0, 5), box(60, 60, 60, Part.MODEL)))) for _ in range(2))
    assert one == two
