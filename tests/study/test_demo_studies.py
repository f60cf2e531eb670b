from pathlib import Path

import numpy as np
import pytest
import trimesh
from scipy.spatial import cKDTree

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


@pytest.mark.parametrize("name", STUDIES)
def test_landmarks_lie_on_the_mesh(name):
    # in the model frame: scaled to its height, base at z = 0, middle of its bounding box over the origin
    study = STUDIES[name]
    mesh = trimesh.load(study.mesh.path, process=False)
    assert (study.mesh.up, study.mesh.front, study.mesh.unit) == ("+z", "-y", "mm")
    low, high = mesh.bounds
    scale = study.mesh.height_mm / (high[2] - low[2]) if study.mesh.height_mm else 1.0
    points = (mesh.vertices - [*(low + high)[:2] / 2, low[2]]) * scale
    triangles = points[mesh.faces]
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
