"""From the file's frame to the model's: axes, units, height, place, and what is told of it."""

from __future__ import annotations

import functools
import itertools
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from builder.arrays import digest
from builder.errors import ModelError
from builder.model import working as stage
from builder.model.axes import axis_vector, model_from_file
from builder.model.model import Model, Part
from builder.model.prepare import prepare
from builder.model.reduce import farthest, reduced
from builder.model.triangles import Triangles, edges_of
from builder.study.description import MeshSource, Study

Built = Callable[..., Model]
StudyOf = Callable[..., Study]
AXES = ("+x", "-x", "+y", "-y", "+z", "-z")


@pytest.mark.parametrize(("up", "front"), list(itertools.product(AXES, AXES)))
def test_up_and_front_turn_the_file_without_mirroring_it(up: str, front: str) -> None:
    # up becomes +z, front becomes -y, and left stays left; up and front along one axis are refused
    source = MeshSource(Path("egg.ply"), "mm", up, front, None)  # type: ignore[arg-type]
    if up[1] == front[1]:
        with pytest.raises(
            ModelError, match=rf"egg: cannot have up along \{up} and front along \{front}: they are one"
        ):
            model_from_file(source, "egg")
        return
    turn = model_from_file(source, "egg")
    np.testing.assert_array_equal(turn @ axis_vector(up), [0, 0, 1])  # type: ignore[arg-type]
    np.testing.assert_array_equal(turn @ axis_vector(front), [0, -1, 0])  # type: ignore[arg-type]
    assert np.linalg.det(turn) == 1.0


@given(st.floats(-180, 180))
def test_turn_brings_the_true_front_to_bearing_nought(bearing_deg: float) -> None:
    # what lay at that bearing, (sin b, -cos b) seen from above, comes to the front; up stays up; nothing is mirrored
    source = MeshSource(Path("egg.ply"), "mm", "+z", "-y", None, turn_deg=bearing_deg)
    turn = model_from_file(source, "egg")
    b = np.radians(bearing_deg)
    np.testing.assert_allclose(turn @ [np.sin(b), -np.cos(b), 0.0], [0, -1, 0], atol=1e-12)
    np.testing.assert_array_equal(turn @ [0, 0, 1], [0, 0, 1])
    assert np.linalg.det(turn) == pytest.approx(1.0)


def test_a_file_in_other_axes_and_inches_is_the_same_model(bust: trimesh.Trimesh, built: Built) -> None:
    # y up, fronting +z, in inches: turned and measured alike
    straight = built(bust.export(file_type="ply"))
    turned = trimesh.Trimesh(bust.vertices[:, [0, 2, 1]] * (1, 1, -1) / 25.4, bust.faces, process=False)
    other = built(turned.export(file_type="ply"), "inch.ply", unit="in", up="+y", front="+z")
    assert other.body_vertices == straight.body_vertices
    np.testing.assert_allclose(
        other.scene.vertices[: other.body_vertices], straight.scene.vertices[: other.body_vertices], atol=1e-4
    )


def test_the_model_stands_centred_on_its_plinth_at_its_true_height(bust: trimesh.Trimesh, built: Built) -> None:
    # wherever the file has it: lowest point at z = 0, bounding box centred, as tall as the study says
    moved = bust.copy().apply_translation((70.0, -30.0, 500.0))
    model = built(moved.export(file_type="stl"), "egg.stl", height_mm=420.0)
    body = model.scene.vertices[: model.body_vertices]
    np.testing.assert_allclose(body.min(axis=0) + body.max(axis=0), [0.0, 0.0, 420.0], atol=1e-9)
    assert body[:, 2].min() == 0.0
    assert model.facts.height_mm == pytest.approx(420.0, abs=1e-9)
    assert model.facts.volume_mm3 == pytest.approx(bust.volume * (420.0 / bust.extents[2]) ** 3, rel=1e-5)
    np.testing.assert_allclose(model.middle_mm, [0.0, 0.0, 210.0], atol=1e-9)


def test_the_sculpture_comes_first_in_the_scene(bust: trimesh.Trimesh, built: Built) -> None:
    # body, plinth, ground, backdrop; the body's faces use the body's vertices only; every normal is a unit one
    model = built(bust.export(file_type="ply"))
    scene = model.scene
    assert (np.diff(scene.parts.astype(int)) >= 0).all()
    assert (scene.parts[: model.body_faces] == Part.MODEL).all()
    assert (scene.parts[model.body_faces :] != Part.MODEL).all()
    assert scene.faces[: model.body_faces].max() == model.body_vertices - 1
    assert scene.faces[model.body_faces :].min() == model.body_vertices
    np.testing.assert_allclose(np.linalg.norm(scene.normals, axis=1), 1.0, atol=1e-12)
    assert set(np.unique(scene.faces)) == set(range(len(scene.vertices)))


def test_the_body_is_fine_enough_to_carry_light(built: Built) -> None:
    # a plain cube comes with twelve faces; on the model no edge that is seen is longer than 1/60 of the size
    cube = trimesh.creation.box((100.0, 100.0, 100.0))
    model = built(cube.export(file_type="stl"), "egg.stl")
    assert model.facts.faces == 12
    faces = model.scene.faces[: model.body_faces]
    seen = ~(model.scene.vertices[faces][:, :, 2] == 0.0).all(axis=1)
    edges = edges_of(Triangles(model.scene.vertices, faces[seen])).ends
    assert np.linalg.norm(np.diff(model.scene.vertices[edges], axis=1), axis=2).max() <= 100.0 / 60
    corners = model.scene.vertices[faces]
    assert np.einsum("ij,ij->", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6 == pytest.approx(1e6)


@pytest.mark.parametrize(("unit", "told"), [("cm", 1), ("mm", 0), ("in", 1)])
def test_a_size_that_looks_wrong_is_told(bust: trimesh.Trimesh, built: Built, unit: str, told: int) -> None:
    # 2.87 m in centimetres is still possible for a statue; beyond 3 m or below 10 mm the unit is doubtful
    grown = bust.copy().apply_scale(1.1)
    model = built(grown.export(file_type="ply"), unit=unit)
    expected = [f"the model is {model.size_mm:.3g} mm across, read in {unit}; give its `height` if that is wrong"]
    assert [notice.text for notice in model.notices] == expected[:told]
    assert built(grown.export(file_type="ply"), unit=unit, height_mm=300.0).notices == ()


def test_a_3mf_unit_that_differs_from_the_study_is_told(bust: trimesh.Trimesh, built: Built) -> None:
    # 3MF is the one kind that says its unit; the study's word counts
    model = built(bust.export(file_type="3mf"), "egg.3mf", unit="cm")
    texts = [notice.text for notice in model.notices]
    assert texts == ["the file says that its unit is mm, and the study reads it in cm"]


def test_the_same_file_gives_the_same_bytes(bust: trimesh.Trimesh, folder: Path, study_of: StudyOf) -> None:
    # nothing depends on the run: not on sets, not on chance
    bust.faces[:400] = bust.faces[:400, ::-1]
    bust.export(folder / "egg.obj")
    bust.faces[:400] = bust.faces[:400, ::-1]
    study = study_of(folder / "egg.obj")
    one, other = prepare(study), prepare(study)
    assert one.notices == other.notices
    assert one.facts == other.facts
    scenes = [(m.scene.vertices, m.scene.faces, m.scene.normals, m.scene.parts) for m in (one, other)]
    assert digest(*scenes[0]) == digest(*scenes[1])


def test_a_mesh_beside_the_project_is_named_by_its_file(
    bust: trimesh.Trimesh, tmp_path_factory: pytest.TempPathFactory, study_of: StudyOf
) -> None:
    # messages name the file from the project's folder, or by its name alone where it lies elsewhere
    away = tmp_path_factory.mktemp("scans") / "egg.ply"
    with pytest.raises(ModelError, match=r"^egg\.ply: there is no such file"):
        prepare(study_of(away))


def test_too_many_faces_are_reduced_and_the_change_is_measured(
    bust: trimesh.Trimesh, built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    # still closed and of the same volume; what moved is measured both ways and told
    monkeypatch.setattr(stage, "reduced", functools.partial(reduced, most=2000))
    model = built(bust.export(file_type="ply"))
    assert model.facts.closed
    assert model.facts.faces == pytest.approx(2000, abs=10)
    assert model.facts.faces_in_file == 5120
    assert 0.05 < model.facts.deviation_mm < 3.0
    assert model.facts.volume_mm3 == pytest.approx(bust.volume, rel=0.01)
    text = (
        f"5,120 faces reduced to {model.facts.faces:,}; the surface moved by at most {model.facts.deviation_mm:.2g} mm"
    )
    assert [notice.text for notice in model.notices] == [text]


def test_reducing_a_flat_form_moves_nothing() -> None:
    # a finely cut cube has twelve faces' worth of shape, so the distance both ways is nothing
    cube = trimesh.creation.box((60.0, 60.0, 60.0)).subdivide_to_size(4.0)
    few, moved = reduced(Triangles(cube.vertices, cube.faces), most=600)
    assert len(few.faces) <= 600
    assert edges_of(few).closed
    assert moved < 1e-4


def test_distance_is_that_of_the_farthest_point() -> None:
    # one point drawn out by a known length from a fine ball
    ball = trimesh.creation.icosphere(subdivisions=4, radius=50.0)
    points = ball.vertices.copy()
    points[77] *= 1.25
    assert farthest(points, Triangles(ball.vertices, ball.faces)) == pytest.approx(12.5, abs=1e-9)
