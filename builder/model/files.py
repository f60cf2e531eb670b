"""A model in a file: arrays as npz, facts and notices as JSON beside them."""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path

import numpy as np

from builder.errors import Notice
from builder.model.model import Model, ModelFacts, Surface


def save_model(model: Model, folder: Path) -> None:
    """Write ``model.npz`` and ``model.json`` into ``folder``; the same model gives the same bytes."""
    scene = model.scene
    np.savez(folder / "model.npz", vertices=scene.vertices, faces=scene.faces, normals=scene.normals, parts=scene.parts)
    plain = {
        "name": model.name,
        "body_faces": model.body_faces,
        "body_vertices": model.body_vertices,
        "ground_mm": model.ground_mm,
        "facts": dataclasses.asdict(model.facts),
        "notices": [dataclasses.asdict(notice) for notice in model.notices],
    }
    (folder / "model.json").write_text(json.dumps(plain, sort_keys=True), encoding="utf-8")


def load_model(folder: Path) -> Model:
    """Read what :func:`save_model` wrote."""
    with np.load(folder / "model.npz") as arrays:
        scene = Surface(arrays["vertices"], arrays["faces"], arrays["normals"], arrays["parts"])
    plain = json.loads((folder / "model.json").read_text(encoding="utf-8"))
    return Model(
        name=plain["name"],
        scene=scene,
        body_faces=plain["body_faces"],
        body_vertices=plain["body_vertices"],
        ground_mm=plain["ground_mm"],
        facts=ModelFacts(**plain["facts"]),
        notices=tuple(Notice(**notice) for notice in plain["notices"]),
    )
