"""A real scan, with the faults that a scanner leaves.

The mesh is the Stanford Bunny of the Stanford 3D Scanning Repository (Stanford University Computer Graphics Laboratory;
free for research, to be mirrored and redistributed with acknowledgement), in the copy that the package pymeshfix
carries among its examples. Only the file is read; the package is not imported.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import trimesh

from builder.model.model import Model
from builder.model.prepare import prepare
from builder.study.description import Study


@pytest.fixture(scope="module")
def scan() -> Path:
    spec = importlib.util.find_spec("pymeshfix")
    assert spec is not None and spec.origin is not None
    return Path(spec.origin).parent / "examples" / "StanfordBunny.ply"


def test_a_scan_with_holes_and_fins_becomes_a_closed_model(scan: Path, study_of: Callable[..., Study]) -> None:
    # the file stands upright along z and looks along -x; it is open underneath and has faces sticking out
    raw = trimesh.load_mesh(scan)
    assert not raw.is_watertight
    model: Model = prepare(study_of(scan, up="+z", front="-x", height_mm=187.0))
    facts = model.facts
    assert facts.closed and facts.holes_left == 0
    assert facts.faces_in_file == len(raw.faces) == 99_785
    assert [notice.text.split(" closed ")[0] for notice in model.notices] == [
        "66 faces that stuck out of the surface or lay across it left out",
        "one hole",
        "4 holes in the underside",
    ]
    # the head is in front: up there the model lies towards -y
    body = model.scene.vertices[: model.body_vertices]
    assert body[body[:, 2] > 150.0][:, 1].mean() < -30.0
    scale = 187.0 / raw.extents[2]
    # lids add area, and no rim of this length encloses more than a circle does
    round_mm = float(model.notices[2].text.rsplit(" mm round", 1)[0].rsplit(" ", 1)[1])
    assert raw.area * scale**2 < facts.area_mm2 < raw.area * scale**2 + 4 * round_mm**2 / (4 * np.pi)
    # independent of our own edge tables: every edge of the sculpture has two faces, and it is right side out
    places, place = np.unique(body, axis=0, return_inverse=True)
    whole = trimesh.Trimesh(places, place.ravel()[model.scene.faces[: model.body_faces]], process=False)
    assert whole.is_watertight and whole.is_winding_consistent
    assert whole.volume == pytest.approx(facts.volume_mm3, rel=1e-9)
