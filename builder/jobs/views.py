"""Making every plate of a view."""

from __future__ import annotations

import dataclasses
import functools
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from builder.camera.eyes import place
from builder.camera.look import Method
from builder.code import code_digest, library_versions
from builder.errors import Notice
from builder.form.formed import form_of
from builder.form.looked import look_at
from builder.jobs import held
from builder.jobs.forms import FormDone, FormPlates
from builder.jobs.lights import LightDone
from builder.jobs.planes_lights import LevelLit
from builder.jobs.planes_views import PlanesPlates
from builder.jobs.plates import facts_of, keep_plate, made_by, view_key
from builder.plates.facts import view_facts
from builder.plates.plate import ContourKind, FactValue, LightKind
from builder.plates.registry import KINDS
from builder.plates.shown import show
from builder.store import Entry, Store, key_of
from builder.study.description import Study, View

LIT_KINDS = tuple(kind for kind in KINDS if isinstance(kind, LightKind | ContourKind))
"""Kinds with a plate for each view and lighting."""


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
    form: FormDone
    rendered: int
    reused: int

    def entries(self) -> Iterator[Entry]:
        """All that it stands on in the store."""
        yield self.form.entry
        yield from self.form.plates.values()
        for one in self.shown.values():
            yield one.entry
            yield from one.plates.values()


@dataclass(frozen=True, slots=True)
class ViewJob:
    """Make every plate of one view under every lighting of its study."""

    study: Study
    store: Store
    view: View
    model_key: str
    lights: tuple[LightDone, ...]
    camera: Method
    levels: tuple[LevelLit, ...] = ()
    """The planes models that there are, lit by the same lamps."""

    def form(self) -> FormPlates:
        """The plates that are the same under every lamp."""
        return FormPlates(self.study, self.store, self.view, self.model_key, self.camera)

    def planes(self) -> PlanesPlates:
        """The plates of the planes models."""
        return PlanesPlates(self.study, self.store, self.view, self.model_key, self.levels, self.camera)

    def _shown_key(self, light: LightDone) -> dict[str, Any]:
        return {
            "lit": light.key,
            "range": self.study.range,
            "code": [code_digest("builder.camera.look"), code_digest("builder.plates.shown")],
            "libraries": library_versions("numpy", "numba", "embreex", "pyrender-maintained", "pillow"),
            **view_key(self.study, self.view, self.camera),
        }

    def plate_key(self, light: LightDone, kind: LightKind | ContourKind) -> str:
        """Everything a plate depends on."""
        return key_of("plate", {**self._shown_key(light), "kind": kind.name, "made by": made_by(kind)})

    def facts_key(self, light: LightDone) -> str:
        """Everything the facts of a view depend on: the plates' facts are among them."""
        return key_of(
            "facts",
            {
                "number": self.view.number,
                "lighting": light.name,
                "plates": [self.plate_key(light, kind) for kind in LIT_KINDS],
                "planes": self.planes().keys(light.name),
                "form": self.form().facts_key(),
                "code": code_digest("builder.plates.facts"),
            },
        )

    def find(self) -> ViewDone | None:
        """The view as kept in the store, if every plate and fact is there."""
        form = self.form().find()
        if form is None:
            return None
        found = {light.name: self._find(light) for light in self.lights}
        if None in found.values():
            return None
        return self._done({name: shown for name, shown in found.items() if shown is not None}, form, rendered=0)

    def run(self) -> ViewDone:
        """Find or make it."""
        form = self.form().find()
        found = {light.name: self._find(light) for light in self.lights}
        missing = [light for light in self.lights if found[light.name] is None]
        rendered = 0
        if missing or form is None:
            model = held.model(self.store, self.model_key)
            eye, notices = place(self.view, model, self.study.picture)
            camera = held.camera(self.store, self.model_key, self.camera)
            looked = look_at(model, camera.look(eye), self.study.landmarks, self.study.guides)
            notices += camera.notices
            formed = form_of(looked, held.symmetry(self.store, self.model_key))
            if form is None:
                form, rendered = self.form().make(formed)
            rendered += self.planes().make(eye)
            for light in missing:
                lit, mixed = held.lit(self.store, light.key)
                tracer = held.tracer(self.store, self.model_key)
                shown = show(looked, lit, tracer, mixed, self.study.range)
                measured: dict[str, FactValue] = {**form.facts, **self.planes().facts(light.name)}
                for kind in LIT_KINDS:
                    plate = kind.make(shown) if isinstance(kind, LightKind) else kind.make(formed, shown)
                    thumbed = isinstance(kind, LightKind) and kind.thumbed
                    rendered += keep_plate(self.store, self.plate_key(light, kind), plate, thumbed)
                    measured |= plate.facts
                lighting = self.study.lighting(light.name)
                assert lighting is not None
                plain = {
                    "facts": view_facts(self.view, lighting, shown, measured),
                    "eye_mm": eye.position.tolist(),
                    "distance_mm": eye.distance_mm,
                    "notices": [dataclasses.asdict(notice) for notice in notices],
                }
                self.store.put("facts", self.facts_key(light), functools.partial(_write_json, plain, "facts.json"))
                found[light.name] = self._find(light)
        return self._done({name: shown for name, shown in found.items() if shown is not None}, form, rendered)

    def _find(self, light: LightDone) -> ShownDone | None:
        plates: dict[str, Entry] = {}
        for kind in LIT_KINDS:
            entry = self.store.find("plate", self.plate_key(light, kind))
            if entry is None:
                return None
            plates[kind.name] = entry
        planes = self.planes().find(light.name)
        if planes is None:
            return None
        facts = self.store.find("facts", self.facts_key(light))
        if facts is None:
            return None
        plain = json.loads(facts.path("facts.json").read_text(encoding="utf-8"))
        return ShownDone(facts_of(plain["facts"]), plates | planes, facts)

    def _done(self, shown: Mapping[str, ShownDone], form: FormDone, rendered: int) -> ViewDone:
        facts = shown[self.lights[0].name].entry
        plain = json.loads(facts.path("facts.json").read_text(encoding="utf-8"))
        total = sum(len(one.plates) for one in shown.values()) + len(form.plates)
        return ViewDone(
            eye_mm=tuple(plain["eye_mm"]),
            distance_mm=plain["distance_mm"],
            notices=tuple(Notice(**notice) for notice in plain["notices"]),
            shown=shown,
            form=form,
            rendered=rendered,
            reused=total - rendered,
        )


def _write_json(plain: Any, name: str, folder: Path) -> None:
    (folder / name).write_text(json.dumps(plain, sort_keys=True), encoding="utf-8")
