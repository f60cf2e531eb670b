"""Scans as they come: each kind of damage ends in the form itself, or is told."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from builder.errors import ModelError
from builder.model import holes
from builder.model.model import Model
from builder.model.triangles import Triangles, edges_of

Built = Callable[..., Model]


def ply(vertices: NDArray[np.float64], faces: NDArray[np.int64]) -> bytes:
    """A PLY file in double precision, so that only the damage changes anything."""
    rows = np.zeros(len(faces), [("n", "u1"), ("corners", "<i4", 3)])
    rows["n"], rows["corners"] = 3, faces
    head = (
        f"ply\nformat binary_little_endian 1.0\nelement vertex {len(vertices)}\nproperty double x\nproperty double y\n"
        f"property double z\nelement face {len(faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    return head.encode() + vertices.astype("<f8").tobytes() + rows.tobytes()


def told(model: Model) -> list[str]:
    return [notice.text for notice in model.notices]


def joined(*meshes: trimesh.Trimesh) -> bytes:
    vertices = np.concatenate([mesh.vertices for mesh in meshes])
    starts = np.cumsum([0] + [len(mesh.vertices) for mesh in meshes])
    return ply(vertices, np.concatenate([mesh.faces + start for mesh, start in zip(meshes, starts[:-1], strict=True)]))


def test_the_whole_form_comes_through_untouched(bust: trimesh.Trimesh, built: Built) -> None:
    # nothing to mend: nothing told, nothing moved
    model = built(ply(bust.vertices, bust.faces))
    assert model.notices == ()
    assert model.facts.volume_mm3 == pytest.approx(bust.volume, rel=1e-12)
    assert model.facts.deviation_mm == 0.0
    assert (model.facts.width_mm, model.facts.depth_mm, model.facts.height_mm) == pytest.approx(tuple(bust.extents))


@pytest.mark.parametrize("jitter_mm", [0.0, 1e-4, 1e-3])
def test_loose_triangles_are_welded(bust: trimesh.Trimesh, built: Built, jitter_mm: float) -> None:
    # every face with three points of its own, each a little off: one closed body again, volume within the jitter
    loose = bust.vertices[bust.faces].reshape(-1, 3)
    loose = loose + np.random.default_rng(1).uniform(-jitter_mm, jitter_mm, loose.shape)
    model = built(ply(loose, np.arange(len(loose)).reshape(-1, 3)))
    assert model.facts.closed
    assert model.facts.faces == len(bust.faces)
    assert model.facts.volume_mm3 == pytest.approx(bust.volume, abs=bust.area * (jitter_mm + 1e-9))


@pytest.mark.parametrize("way", ["a third turned", "inside out", "mirrored"])
def test_faces_are_turned_outward(bust: trimesh.Trimesh, built: Built, way: str) -> None:
    # a mesh whose edges all pair up can still be inside out, in part or whole
    vertices, faces = bust.vertices.copy(), bust.faces.copy()
    if way == "mirrored":
        vertices[:, 0] *= -1
    turned = (
        np.random.default_rng(2).random(len(faces)) < 1 / 3 if way == "a third turned" else np.ones(len(faces), bool)
    )
    if way != "mirrored":
        faces[turned] = faces[turned][:, ::-1]
    model = built(ply(vertices, faces))
    assert model.facts.volume_mm3 == pytest.approx(bust.volume, rel=1e-12)
    assert told(model) == [f"{turned.sum():,} faces of 5,120 turned over: inside out"]


@pytest.mark.parametrize("bad", [np.nan, np.inf, -np.inf])
def test_points_without_a_place_go_and_their_hole_is_closed(bust: trimesh.Trimesh, built: Built, bad: float) -> None:
    # one point lost, with the faces round it: the lid over the gap cuts off less than one face's worth of height
    vertices = bust.vertices.copy()
    vertices[100] = (vertices[100, 0], bad, 0.0)
    around = int((bust.faces == 100).any(axis=1).sum())
    model = built(ply(vertices, bust.faces))
    assert model.facts.closed
    assert model.facts.holes_left == 0
    assert told(model)[0] == f"one point without a finite place left out, with {around} faces"
    assert told(model)[1].startswith("one hole closed smoothly, ")
    assert model.facts.volume_mm3 == pytest.approx(bust.volume, rel=2e-4)


def test_a_point_a_kilometre_off_goes(bust: trimesh.Trimesh, built: Built) -> None:
    # an error of measurement must not make the model a kilometre wide
    vertices = bust.vertices.copy()
    vertices[100] = (1e6, 0.0, 0.0)
    model = built(ply(vertices, bust.faces))
    assert model.size_mm == pytest.approx(bust.extents.max())
    assert told(model)[0] == "one point far off the rest left out, with the faces there"
    assert model.facts.closed


def test_holes_are_closed_and_told(bust: trimesh.Trimesh, built: Built) -> None:
    # eight holes of all faces within 6 mm of a point; the patches bend on, so that next to nothing is lost
    middles = bust.triangles_center
    centres = middles[100::640]
    gone = (np.linalg.norm(middles[:, None] - centres[None], axis=2) < 6.0).any(axis=1)
    model = built(ply(bust.vertices, bust.faces[~gone]))
    assert model.facts.closed
    assert model.facts.holes_left == 0
    assert any(text.startswith("8 holes closed smoothly, the largest of them ") for text in told(model))
    assert model.facts.volume_mm3 == pytest.approx(bust.volume, rel=5e-3)


def test_a_hollow_underside_is_closed_flat(bust: trimesh.Trimesh, built: Built) -> None:
    # the base cut away leaves a rim round the foot: closing it gives the volume of the form back
    flat = (bust.vertices[bust.faces][:, :, 2] <= 1e-9).all(axis=1)
    model = built(ply(bust.vertices, bust.faces[~flat][:, ::-1]))
    assert model.facts.closed
    assert [text for text in told(model) if text.startswith("one hole in the underside closed flat, ")] == [
        told(model)[-1]
    ]
    assert model.facts.volume_mm3 == pytest.approx(bust.volume, rel=1e-9)


def test_a_large_hole_elsewhere_is_left_open_and_told(bust: trimesh.Trimesh, built: Built) -> None:
    # the crown cut off: closing that would be a guess; there is no volume to state, yet outside stays outside
    gone = bust.triangles_center[:, 2] > 230.0
    model = built(ply(bust.vertices, bust.faces[~gone][:, ::-1]))
    assert not model.facts.closed
    assert model.facts.volume_mm3 is None
    assert model.facts.holes_left == 1
    assert told(model)[-1].endswith(
        "mm round is left open; `close holes` in study.yml says up to what size they are closed"
    )
    scene = model.scene
    corners = scene.vertices[scene.faces[: model.body_faces]]
    outward = np.einsum(
        "ij,ij->i",
        np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]),
        corners.mean(axis=1) - (0.0, 0.0, 110.0),
    )
    assert (outward > 0).mean() > 0.99


def test_fins_and_stray_faces_are_taken_off(bust: trimesh.Trimesh, built: Built) -> None:
    # flaps of one and of two faces on the surface, and a face across the inside
    tips = bust.vertices[bust.faces[10:60:5]].mean(axis=1) * (1.2, 1.2, 1.0)
    count = len(bust.vertices)
    flaps = [(bust.faces[10 + 5 * k][0], bust.faces[10 + 5 * k][1], count + k) for k in range(len(tips))]
    second = [(flaps[0][1], count + 1, count + 0)]
    across = [(0, 700, 1400)]
    faces = np.concatenate([bust.faces, flaps, second, across])
    model = built(ply(np.concatenate([bust.vertices, tips]), faces))
    assert model.facts.closed
    assert model.facts.faces == len(bust.faces)
    assert model.facts.volume_mm3 == pytest.approx(bust.volume, rel=1e-12)


def test_bodies_that_meet_along_an_edge_both_stay(built: Built) -> None:
    # four faces meet at that edge, an even number: neither cube is a fin of the other
    one = trimesh.creation.box((40.0, 40.0, 40.0))
    other = one.copy().apply_translation((40.0, 0.0, 40.0))
    model = built(joined(one, other))
    assert model.facts.faces == 24
    assert model.facts.closed
    assert model.facts.volume_mm3 == pytest.approx(2 * 40.0**3)


@pytest.mark.parametrize("gone", [(0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)])
def test_a_lid_never_runs_along_an_edge_that_is_there(gone: tuple[int, int], monkeypatch: pytest.MonkeyPatch) -> None:
    # two faces off a tetrahedron leave a hole of four points; one way across it is the edge on the far side
    monkeypatch.setattr(holes, "SMALL", 10.0)
    points = np.array([[0.0, 0.0, 0.0], [9.0, 0.0, 0.0], [0.0, 9.0, 0.0], [0.0, 0.0, 9.0]])
    faces = np.delete(np.array([(0, 2, 1), (0, 1, 3), (1, 2, 3), (0, 3, 2)]), gone, axis=0)
    whole, left, _ = holes.closed(Triangles(points, faces), "egg")
    assert left == 0
    assert (edges_of(whole).count == 2).all()
    assert edges_of(whole).closed


def test_faces_that_stand_twice_are_counted_once(bust: trimesh.Trimesh, built: Built) -> None:
    # some as they are, some turned over, some starting at another corner
    twice = np.concatenate([bust.faces[:200], bust.faces[300:350, ::-1], np.roll(bust.faces[500:600], 1, axis=1)])
    model = built(ply(bust.vertices, np.concatenate([bust.faces, twice])))
    assert model.facts.volume_mm3 == pytest.approx(bust.volume, rel=1e-12)
    assert told(model) == ["350 faces that stood there twice left out"]


def test_faces_without_area_do_no_harm(bust: trimesh.Trimesh, built: Built) -> None:
    # shrunk to a point, to an edge, and to a line through three points
    line = np.concatenate(
        [bust.vertices, (bust.vertices[bust.edges_unique[:40, 0]] + bust.vertices[bust.edges_unique[:40, 1]]) / 2]
    )
    middle = np.arange(40) + len(bust.vertices)
    flat = np.stack([bust.edges_unique[:40, 0], middle, bust.edges_unique[:40, 1]], axis=1)
    points = np.stack([np.arange(30)] * 3, axis=1)
    edges = np.stack([bust.edges_unique[:30, 0], bust.edges_unique[:30, 1], bust.edges_unique[:30, 1]], axis=1)
    model = built(ply(line, np.concatenate([bust.faces, flat, points, edges])))
    assert model.facts.closed
    assert model.facts.volume_mm3 == pytest.approx(bust.volume, rel=1e-12)
    assert np.isfinite(model.scene.normals).all()


def test_points_of_no_face_are_left_out(bust: trimesh.Trimesh, built: Built) -> None:
    # stray points must not widen the model
    stray = np.concatenate([[[5000.0, 0.0, 0.0]], bust.vertices, [[0.0, 0.0, -900.0]]])
    model = built(ply(stray, bust.faces + 1))
    assert told(model) == ["2 points of no face left out"]
    assert model.facts.height_mm == pytest.approx(bust.extents[2])


def test_crumbs_and_a_turntable_are_left_out(bust: trimesh.Trimesh, built: Built) -> None:
    # the turntable is wider than the form and holds more area and more matter, and is still not the sculpture
    generator = np.random.default_rng(4)
    crumbs = [
        trimesh.creation.icosphere(subdivisions=1, radius=1.5).apply_translation(generator.uniform(-200, 200, 3))
        for _ in range(50)
    ]
    table = trimesh.creation.cylinder(225.0, 60.0, sections=64).apply_translation((0.0, 0.0, -90.0))
    assert table.volume > bust.volume and table.area > bust.area
    model = built(joined(*crumbs, table, bust))
    assert model.facts.volume_mm3 == pytest.approx(bust.volume, rel=1e-9)
    assert model.facts.height_mm == pytest.approx(bust.extents[2])
    assert told(model)[0].startswith("51 loose pieces with ")
    assert told(model)[1] == "one piece left out is large: 450 × 450 × 60 mm, 256 faces"


def test_pieces_that_touch_the_sculpture_stay(bust: trimesh.Trimesh, built: Built) -> None:
    # eyeballs modelled on their own sit in the form; they are part of it, and the volume of the two is not stated
    eye = trimesh.creation.icosphere(subdivisions=3, radius=14.0)
    eye.apply_translation(bust.vertices[bust.vertices[:, 1].argmin()])
    model = built(joined(bust, eye))
    assert told(model) == ["2 bodies that touch are kept together as the sculpture"]
    assert model.facts.faces == len(bust.faces) + len(eye.faces)
    assert model.facts.closed
    assert model.facts.volume_mm3 is None


def test_a_mesh_that_does_not_hold_together_is_refused(bust: trimesh.Trimesh, built: Built) -> None:
    # faces shrunk apart from one another share nothing
    corners = bust.vertices[bust.faces]
    middle = corners.mean(axis=1, keepdims=True)
    apart = (middle + 0.8 * (corners - middle)).reshape(-1, 3)
    with pytest.raises(ModelError) as refused:
        built(ply(apart, np.arange(len(apart)).reshape(-1, 3)))
    assert str(refused.value) == (
        "models/egg/egg.ply: does not hold together: its 5,120 faces form 5,120 separate pieces; "
        "join the points that lie on one another and export it again."
    )


def test_a_flat_sheet_is_refused(built: Built) -> None:
    # six squares in one plane have no depth to draw
    grid = np.array([[x, y, 0.0] for y in range(3) for x in range(4)]) * 50.0
    quads = [(x + 4 * y, x + 1 + 4 * y, x + 5 + 4 * y, x + 4 + 4 * y) for y in range(2) for x in range(3)]
    faces = np.array([t for a, b, c, d in quads for t in ((a, b, c), (a, c, d))])
    with pytest.raises(ModelError) as refused:
        built(ply(grid, faces))
    assert str(refused.value) == (
        "models/egg/egg.ply: is flat: it has no depth to draw; export the whole surface of the model."
    )


def test_a_one_sided_surface_is_told(built: Built) -> None:
    # a band with a half turn has no outside; it still makes a model, with a word about it
    turn = np.linspace(0, 2 * np.pi, 80, endpoint=False)
    width = np.linspace(-30, 30, 4)
    u, v = np.meshgrid(turn, width, indexing="ij")
    radius = 90 + v * np.cos(u / 2)
    points = np.stack([radius * np.cos(u), radius * np.sin(u), v * np.sin(u / 2)], axis=2).reshape(-1, 3)
    faces = []
    for i in range(80):
        for k in range(3):
            a, b = 4 * i + k, 4 * i + k + 1
            c, d = (4 * (i + 1) + k + 1, 4 * (i + 1) + k) if i < 79 else (3 - (k + 1), 3 - k)
            faces += [(a, b, c), (a, c, d)]
    model = built(ply(points, np.array(faces)))
    assert not model.facts.closed
    assert any(text.startswith("the surface is one-sided: ") for text in told(model))


@pytest.mark.parametrize("scale", [1e-6, 1e-3, 1e3])
def test_mending_does_not_depend_on_the_unit(bust: trimesh.Trimesh, built: Built, scale: float) -> None:
    # tolerances are shares of the size: a bust of a micron comes out like one of a kilometre
    loose = bust.vertices[bust.faces].reshape(-1, 3) * scale
    model = built(ply(loose, np.arange(len(loose)).reshape(-1, 3)), height_mm=300.0)
    assert model.facts.faces == len(bust.faces)
    assert model.facts.volume_mm3 == pytest.approx(bust.volume * (300.0 / bust.extents[2]) ** 3, rel=1e-9)


def test_a_mesh_far_from_its_origin_keeps_its_shape(bust: trimesh.Trimesh, built: Built) -> None:
    # survey coordinates; in double precision nothing is lost, in single a hundredth of a millimetre
    model = built(ply(bust.vertices + np.array([4e5, -5e6, 90.0]), bust.faces))
    assert model.facts.volume_mm3 == pytest.approx(bust.volume, rel=1e-7)
