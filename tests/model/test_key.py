"""What a model is kept under in the store."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import trimesh

from builder.jobs.models import ModelJob
from builder.store import Store
from builder.study.description import MeshSource, Study

OTHER: dict[str, Any] = {
    "unit": "cm",
    "up": "+x",
    "front": "+y",
    "height_mm": 250.0,
    "crease_deg": 30.0,
    "turn_deg": 12.0,
    "cut_below_mm": 5.0,
    "close_holes_mm": 40.0,
    "smooth": "light",
}


def test_every_word_on_the_mesh_is_tried() -> None:
    assert {"path", *OTHER} == {field.name for field in dataclasses.fields(MeshSource)}


@pytest.mark.parametrize("field", OTHER)
def test_another_word_on_the_mesh_is_another_model(
    bust: trimesh.Trimesh, folder: Path, study_of: Callable[..., Study], field: str
) -> None:
    """A model kept from before is never shown for a mesh that is now read, cut, closed or smoothed otherwise."""
    bust.export(folder / "egg.ply")
    study = study_of(folder / "egg.ply")
    other = dataclasses.replace(study, mesh=dataclasses.replace(study.mesh, **{field: OTHER[field]}))
    store = Store(folder / "store")
    assert ModelJob(study, store).key() != ModelJob(other, store).key()
