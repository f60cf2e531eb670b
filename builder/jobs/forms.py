"""The form of a view in the store: its plates, facts and measures, the same under every lamp."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from builder.camera.look import Method
from builder.code import code_digest, library_versions
from builder.form.formed import Formed
from builder.form.measure import Measure
from builder.form.measures import numbered
from builder.jobs.measured import measure_of, plain_of
from builder.jobs.plates import facts_of, keep_plate, made_by, view_key
from builder.plates.plate import FactValue, FormKind
from builder.plates.registry import KINDS
from builder.store import Entry, Store, key_of
from builder.study.description import Study, View

FORM_KINDS = tuple(kind for kind in KINDS if isinstance(kind, FormKind))
"""Kinds with one plate for each view."""


@dataclass(frozen=True, slots=True)
class FormDone:
    """The form of a view: facts, and by plate kind the store's entry; ``entry`` is that of facts and measures."""

    facts: Mapping[str, FactValue]
    plates: Mapping[str, Entry]
    entry: Entry

    def measures(self) -> tuple[Measure, ...]:
        """What can be asked about the view's proportions; read where they are used, not sent between processes."""
        return tuple(measure_of(each) for each in _read(self.entry)["measures"])


@dataclass(frozen=True, slots=True)
class FormPlates:
    """Where the plates of a view's form are kept."""

    study: Study
    store: Store
    view: View
    model_key: str
    camera: Method

    def key(self) -> dict[str, Any]:
        """Everything that the form of a view depends on."""
        return {
            "model": self.model_key,
            "landmarks": [dataclasses.asdict(landmark) for landmark in self.study.landmarks],
            "guides": dataclasses.asdict(self.study.guides),
            "code": [code_digest("builder.camera.look"), code_digest("builder.form.formed")],
            "libraries": library_versions("numpy", "numba", "scipy", "embreex", "pyrender-maintained", "pillow"),
            **view_key(self.study, self.view, self.camera),
        }

    def plate_key(self, kind: FormKind) -> str:
        """Everything a plate of the form depends on."""
        return key_of("plate", {**self.key(), "kind": kind.name, "made by": made_by(kind)})

    def facts_key(self) -> str:
        """Everything the facts of the form depend on: the plates' facts are among them."""
        plates = [self.plate_key(kind) for kind in FORM_KINDS]
        return key_of("form", {**self.key(), "plates": plates, "code": code_digest("builder.jobs.measured")})

    def find(self) -> FormDone | None:
        """The form as kept in the store, if all of it is there."""
        plates = {kind.name: self.store.find("plate", self.plate_key(kind)) for kind in FORM_KINDS}
        there = {name: entry for name, entry in plates.items() if entry is not None}
        entry = self.store.find("form", self.facts_key())
        if entry is None or len(there) < len(plates):
            return None
        return FormDone(facts_of(_read(entry)["facts"]), there, entry)

    def make(self, formed: Formed) -> tuple[FormDone, int]:
        """Make and keep all of it; how many plates were new."""
        rendered = 0
        facts: dict[str, FactValue] = {}
        for kind in FORM_KINDS:
            plate = kind.make(formed)
            facts |= plate.facts
            rendered += keep_plate(self.store, self.plate_key(kind), plate)
        plain = {"facts": facts, "measures": [plain_of(measure) for measure in numbered(formed.survey)]}

        def write(folder: Path) -> None:
            (folder / "form.json").write_text(json.dumps(plain, sort_keys=True), encoding="utf-8")

        self.store.put("form", self.facts_key(), write)
        done = self.find()
        assert done is not None, "what was just kept is there"
        return done, rendered


def _read(entry: Entry) -> Any:
    return json.loads(entry.path("form.json").read_text(encoding="utf-8"))
