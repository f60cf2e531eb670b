"""Making every plate of a view."""

from __future__ import annotations

import dataclasses
import functools
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from builder.camera.eyes import place
from builder.camera.look import Method
from builder.code import code_digest, library_versions
from builder.errors import Notice
from builder.jobs import held
from builder.jobs.lights import LightDone
from builder.plates.encode import encode, thumbnail
from builder.plates.facts import view_facts
from builder.plates.footing import find_footing
from builder.plates.plate import FactValue, Plate, PlateKind
from builder.plates.registry import KINDS
from builder.plates.shown import show
from builder.store import Entry, Store, key_of
from builder.study.description import Study, View

THUMB_PX = 480


@dataclass(frozen=True, slots=True)
class ShownDone:
    """One view under one lighting: facts and, by plate kind, the store's entry; ``entry`` is the facts' own."""

    facts: Mapping[str, FactValue]
    plates: Mapping[str, Entry]
    entry: Entry


@dataclass(frozen=True, slots=True)
class ViewDone:
    """One view under every lighting of its study."""

    eye_mm: tuple[float, float, float]
    distance_mm: float
    notices: tuple[Notice, ...]
    shown: Mapping[str, ShownDone]
    rendered: int
    reused: int


@dataclass(frozen=True, slots=True)
class ViewJob:
    """Make every plate of one view under every lighting of its study."""

    study: Study
    store: Store
    view: View
    model_key: str
    lights: tuple[LightDone, ...]
    camera: Method

    def _shown_key(self, light: LightDone) -> Any:
        view = self.view
        return {
            "lit": light.key,
            "view": [view.bearing_deg, view.eye_level_deg, view.distance.value, view.distance.in_sizes],
            "picture": dataclasses.asdict(self.study.picture),
            "range": self.study.range,
            "camera": self.camera,
            "code": [code_digest("builder.camera.look"), code_digest("builder.plates.shown")],
            "libraries": library_versions("numpy", "numba", "embreex", "pyrender-maintained", "pillow"),
        }

    def plate_key(self, light: LightDone, kind: PlateKind) -> str:
        """Everything a plate depends on."""
        code = [code_digest(module_of(kind)), code_digest("builder.plates.encode")]
        return key_of("plate", {**self._shown_key(light), "kind": kind.name, "made by": code})

    def facts_key(self, light: LightDone) -> str:
        """Everything the facts of a view depend on: the plates' facts are among them."""
        return key_of(
            "facts",
            {
                "number": self.view.number,
                "lighting": light.name,
                "plates": [self.plate_key(light, kind) for kind in KINDS],
                "code": code_digest("builder.plates.facts"),
            },
        )

    def find(self) -> ViewDone | None:
        """The view as kept in the store, if every plate and fact is there."""
        found = {light.name: self._find(light) for light in self.lights}
        if None in found.values():
            return None
        return self._done({name: shown for name, shown in found.items() if shown is not None}, rendered=0)

    def run(self) -> ViewDone:
        """Find or make it."""
        found = {light.name: self._find(light) for light in self.lights}
        missing = [light for light in self.lights if found[light.name] is None]
        rendered = 0
        if missing:
            model = held.model(self.store, self.model_key)
            eye, notices = place(self.view, model, self.study.picture)
            camera = held.camera(self.store, self.model_key, self.camera)
            sight = camera.look(eye)
            notices += camera.notices
            stands = find_footing(model, sight)
            for light in missing:
                lit, mixed = held.lit(self.store, light.key)
                tracer = held.tracer(self.store, self.model_key)
                shown = show(model, lit, sight, tracer, mixed, stands, self.study.range)
                plates = [kind.make(shown) for kind in KINDS]
                for kind, plate in zip(KINDS, plates, strict=True):
                    rendered += self._keep(light, kind, plate)
                lighting = self.study.lighting(light.name)
                assert lighting is not None
                plain = {
                    "facts": view_facts(self.view, lighting, shown, plates),
                    "eye_mm": eye.position.tolist(),
                    "distance_mm": eye.distance_mm,
                    "notices": [dataclasses.asdict(notice) for notice in notices],
                }
                self.store.put("facts", self.facts_key(light), functools.partial(_write_json, plain, "facts.json"))
                found[light.name] = self._find(light)
        return self._done({name: shown for name, shown in found.items() if shown is not None}, rendered)

    def _keep(self, light: LightDone, kind: PlateKind, plate: Plate) -> int:
        """Put a plate into the store unless it is there; how many were put."""
        key = self.plate_key(light, kind)
        if self.store.find("plate", key) is not None:
            return 0

        def write(folder: Path) -> None:
            data, suffix = encode(plate)
            (folder / f"plate.{suffix}").write_bytes(data)
            if kind.thumbed:
                (folder / "thumb.webp").write_bytes(thumbnail(plate, THUMB_PX))
            if plate.drawing:
                (folder / "outlines.svg").write_bytes(plate.drawing)

        self.store.put("plate", key, write)
        return 1

    def _find(self, light: LightDone) -> ShownDone | None:
        plates: dict[str, Entry] = {}
        for kind in KINDS:
            entry = self.store.find("plate", self.plate_key(light, kind))
            if entry is None:
                return None
            plates[kind.name] = entry
        facts = self.store.find("facts", self.facts_key(light))
        if facts is None:
            return None
        plain = json.loads(facts.path("facts.json").read_text(encoding="utf-8"))
        values = {name: tuple(value) if isinstance(value, list) else value for name, value in plain["facts"].items()}
        return ShownDone(values, plates, facts)

    def _done(self, shown: Mapping[str, ShownDone], rendered: int) -> ViewDone:
        facts = shown[self.lights[0].name].entry
        plain = json.loads(facts.path("facts.json").read_text(encoding="utf-8"))
        total = sum(len(one.plates) for one in shown.values())
        return ViewDone(
            eye_mm=tuple(plain["eye_mm"]),
            distance_mm=plain["distance_mm"],
            notices=tuple(Notice(**notice) for notice in plain["notices"]),
            shown=shown,
            rendered=rendered,
            reused=total - rendered,
        )


def module_of(kind: PlateKind) -> str:
    """The module whose code makes plates of this kind."""
    make = kind.make
    function = make.func if isinstance(make, functools.partial) else make
    return str(function.__module__)


def _write_json(plain: Any, name: str, folder: Path) -> None:
    (folder / name).write_text(json.dumps(plain, sort_keys=True), encoding="utf-8")
