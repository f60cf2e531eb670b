"""The planes of a view in the store: its plates and facts, level by level."""

from __future__ import annotations

import json
from dataclasses import dataclass

from builder.camera.look import Method
from builder.camera.sight import Eye
from builder.code import code_digest, library_versions
from builder.form.looked import look_at
from builder.jobs import held
from builder.jobs.planes_lights import LevelLit
from builder.jobs.plates import facts_of, keep_plate, made_by, view_key
from builder.plates.planes_shown import show_planes
from builder.plates.planes_view import view_planes
from builder.plates.plate import FactValue, PlanesKind
from builder.plates.registry import KINDS
from builder.store import Entry, Store, key_of
from builder.study.description import Study, View

PLANES_KINDS = tuple(kind for kind in KINDS if isinstance(kind, PlanesKind))


@dataclass(frozen=True, slots=True)
class PlanesPlates:
    """Where the planes plates of a view are kept; there are none of a level that could not be made."""

    study: Study
    store: Store
    view: View
    model_key: str
    levels: tuple[LevelLit, ...]
    camera: Method

    def kinds(self) -> tuple[tuple[PlanesKind, LevelLit], ...]:
        """Every kind whose level is there, with that level."""
        by_number = {each.level.level: each for each in self.levels}
        return tuple((kind, by_number[kind.level]) for kind in PLANES_KINDS if kind.level in by_number)

    def plate_key(self, kind: PlanesKind, level: LevelLit, lighting: str) -> str:
        """Everything a plate of planes depends on. The eye stands where it stands for the model itself."""
        return key_of(
            "plate",
            {
                "model": self.model_key,
                "lit": level.lights[lighting],
                "range": self.study.range,
                "kind": kind.name,
                "made by": made_by(kind),
                "code": [
                    code_digest(f"builder.{name}")
                    for name in ("camera.look", "plates.planes_shown", "plates.planes_view")
                ],
                "libraries": library_versions("numpy", "numba", "embreex", "pyrender-maintained", "pillow"),
                **view_key(self.study, self.view, self.camera),
            },
        )

    def keys(self, lighting: str) -> list[str]:
        """The keys of every plate under a lighting."""
        return [self.plate_key(kind, level, lighting) for kind, level in self.kinds()]

    def find(self, lighting: str) -> dict[str, Entry] | None:
        """The plates under a lighting by kind, if all of them are there."""
        plates = {}
        for kind, level in self.kinds():
            entry = self.store.find("plate", self.plate_key(kind, level, lighting))
            if entry is None:
                return None
            plates[kind.name] = entry
        return plates

    def facts(self, lighting: str) -> dict[str, FactValue]:
        """What was measured while the plates under a lighting were made; they must be there."""
        plates = self.find(lighting)
        assert plates is not None, "the planes plates are made first"
        facts: dict[str, FactValue] = {}
        for entry in plates.values():
            facts |= facts_of(json.loads(entry.path("facts.json").read_text(encoding="utf-8")))
        return facts

    def make(self, eye: Eye) -> int:
        """Make and keep what is missing, one level after another; how many plates were new."""
        rendered = 0
        for kind, level in self.kinds():
            keys = {name: self.plate_key(kind, level, name) for name in level.lights}
            missing = [name for name, key in keys.items() if self.store.find("plate", key) is None]
            if not missing:
                continue
            broken = held.broken(self.store, level.level.key)
            tracer = held.broken_tracer(self.store, level.level.key)
            sight = held.broken_camera(self.store, level.level.key, self.camera).look(eye)
            view = view_planes(look_at(broken.model, sight), broken)
            for name in missing:
                lit, mixed = held.lit(self.store, level.lights[name])
                plate = kind.make(show_planes(view, lit, tracer, mixed, self.study.range))
                rendered += keep_plate(self.store, keys[name], plate, with_facts=True)
        return rendered
