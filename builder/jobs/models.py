"""Preparing a study's model."""

from __future__ import annotations

import dataclasses
import json
from dataclasses import dataclass
from pathlib import Path

from scipy.spatial import ConvexHull

from builder.code import code_digest, library_versions
from builder.errors import Notice
from builder.model.files import save_model
from builder.model.load import mesh_files
from builder.model.model import ModelFacts
from builder.model.prepare import prepare, reach
from builder.store import Entry, Store, file_digest, key_of
from builder.study.description import Study

_LOFTING = ("scikit-image", "shapely", "svgelements")


@dataclass(frozen=True, slots=True)
class ModelDone:
    """A prepared model in the store."""

    key: str
    facts: ModelFacts
    ground_mm: float
    footprint_mm: tuple[tuple[float, float], ...]
    notices: tuple[Notice, ...]


@dataclass(frozen=True, slots=True)
class ModelJob:
    """Prepare a study's model."""

    study: Study
    store: Store

    def key(self) -> str:
        """Everything the model depends on: the mesh's bytes, how to read it, its stand and how far the room reaches."""
        mesh = self.study.mesh
        return key_of(
            "model",
            {
                "name": self.study.name,
                "mesh": [file_digest(path) for path in mesh_files(mesh.path)] if self.study.contours is None else [],
                "contours": _contours(self.study),
                "suffix": mesh.path.suffix.lower(),
                "read": {
                    field.name: getattr(mesh, field.name) for field in dataclasses.fields(mesh) if field.name != "path"
                },
                "stand": dataclasses.asdict(self.study.stand),
                "reach": [(length.value, length.in_sizes) for length in reach(self.study)],
                "code": code_digest("builder.model.prepare"),
                "libraries": library_versions("numpy", "scipy", "trimesh", "fast-simplification", "mapbox-earcut"),
                "lofting": library_versions(*_LOFTING),
            },
        )

    def find(self) -> ModelDone | None:
        """The model as kept in the store, if it is there."""
        key = self.key()
        entry = self.store.find("model", key)
        return None if entry is None else _model_done(key, entry)

    def run(self) -> ModelDone:
        """Find or make it; ModelError if the mesh cannot be used."""
        found = self.find()
        if found is not None:
            return found
        model = prepare(self.study)
        key = self.key()

        def write(folder: Path) -> None:
            save_model(model, folder)
            body = model.scene.vertices[: model.body_vertices, :2]
            outline = body[ConvexHull(body).vertices].round(2).tolist()
            (folder / "footprint.json").write_text(json.dumps(outline), encoding="utf-8")

        return _model_done(key, self.store.put("model", key, write))


def _contours(study: Study) -> list[object]:
    """All that contours given in place of a mesh say, and the bytes of their drawing."""
    source = study.contours
    if source is None:
        return []
    rows = [(row.number, row.height_mm, row.rings) for row in source.rows]
    drawing = file_digest(source.svg) if source.svg is not None and source.svg.is_file() else ""
    return [source.kind, source.back_mm, source.profile, source.profile_x_mm, source.heights_mm, rows, drawing]


def _model_done(key: str, entry: Entry) -> ModelDone:
    plain = json.loads(entry.path("model.json").read_text(encoding="utf-8"))
    outline = json.loads(entry.path("footprint.json").read_text(encoding="utf-8"))
    return ModelDone(
        key=key,
        facts=ModelFacts(**plain["facts"]),
        ground_mm=plain["ground_mm"],
        footprint_mm=tuple((x, y) for x, y in outline),
        notices=tuple(Notice(**notice) for notice in plain["notices"]),
    )
