import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import trimesh
from scipy.spatial import cKDTree

from builder.sections.given import given
from builder.sections.loft import lofted
from builder.study.read import find_studies

ROOT = Path(__file__).parents[2]
STUDIES = {study.name: study for study in find_studies(ROOT / "models", ROOT)}


def test_the_mask_shows_every_lighting_in_24_views():
    mask = STUDIES["mask"]
    assert [view.number for view in mask.views] == [*range(21, 30), *range(41, 54), 61, 62]
    assert len(mask.lightings) == 6 and len({lighting.name for lighting in mask.lightings}) == 6


def test_the_solids_are_seen_from_all_round():
    solids = STUDIES["solids"]
    assert [view.number for view in solids.views] == [*range(1, 13), 61, 62, 63]
    assert len(solids.lightings) == 4 and any(lighting.fill for lighting in solids.lightings)


@pytest.mark.parametrize("name", [name for name, study in STUDIES.items() if study.contours is None])
def test_landmarks_lie_on_the_mesh(name):
    # in the model frame: scaled to its height, base at z = 0, middle of its bounding box over the origin
    study = STUDIES[name]
    mesh = trimesh.load(study.mesh.path, process=False)
    assert (study.mesh.up, study.mesh.front, study.mesh.unit) == ("+z", "-y", "mm")
    low, high = mesh.bounds
    scale = study.mesh.height_mm / (high[2] - low[2]) if study.mesh.height_mm else 1.0
    points = (mesh.vertices - [*(low + high)[:2] / 2, low[2]]) * scale
    assert_landmarks_are_near(study, points[mesh.faces])


def assert_landmarks_are_near(study, triangles):
    marks = np.array([mark.point_mm for mark in study.landmarks])
    _, near = cKDTree(triangles.mean(axis=1)).query(marks, k=100)  # faces are small, so the closest is among these
    found = trimesh.triangles.closest_point(triangles[near.ravel()], np.repeat(marks, 100, axis=0)).reshape(-1, 100, 3)
    away_mm = np.linalg.norm(found - marks[:, None], axis=2).min(axis=1)
    assert len(study.landmarks) >= 10
    assert away_mm.max() < 0.3, {m.name: round(d, 2) for m, d in zip(study.landmarks, away_mm, strict=True)}


def test_left_and_right_of_the_mask_are_its_own():
    # x points to the model's left
    points = {mark.name: mark.point_mm for mark in STUDIES["mask"].landmarks}
    pairs = [(name, name.replace("left", "right")) for name in points if "left" in name]
    assert len(pairs) >= 4
    assert all(points[left][0] > 0 > points[right][0] for left, right in pairs)


def test_the_nose_is_drawn_by_its_own_script(tmp_path):
    nose = STUDIES["nose"]
    script = ROOT / "models" / "nose" / "make_contours.py"
    subprocess.run([sys.executable, script, "--out", tmp_path], check=True)
    made = {file.name: file.read_bytes() for file in tmp_path.iterdir()}
    assert set(made) == {"contours.svg", "profile.yml", "landmarks.yml"}
    assert made == {name: (script.parent / name).read_bytes() for name in made}
    assert nose.contours.svg == script.parent / "contours.svg"
    assert nose.contours.profile == tuple(tuple(point) for point in json.loads(made["profile.yml"]))
    marks = dict(line.split(": ") for line in made["landmarks.yml"].decode().splitlines())
    assert {mark.name: mark.point_mm for mark in nose.landmarks} == {
        name: tuple(json.loads(point)) for name, point in marks.items()
    }


def test_the_nose_stands_on_its_contours():
    nose = STUDIES["nose"]
    sections = given(nose.contours)
    assert [contour.number for contour in sections.contours] == list(range(1, 17))  # a footprint and 15 above it
    assert all(len(contour.rings) == 1 for contour in sections.contours)
    surface = lofted(sections, 150)  # coarse: it passes through contours and profile all the same
    body = trimesh.Trimesh(surface.vertices, surface.faces, process=False)
    assert body.is_watertight and body.is_winding_consistent and body.body_count == 1
    low, high = body.bounds
    assert_landmarks_are_near(nose, (body.vertices - [*(low + high)[:2] / 2, low[2]])[body.faces])


def test_the_nose_is_seen_from_where_it_is_open_only():
    nose = STUDIES["nose"]
    assert all(abs(view.bearing_deg) <= 90 for view in nose.views)
    assert all(abs(lighting.key.bearing_deg) < 90 for lighting in nose.lightings)
