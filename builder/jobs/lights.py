"""Light on a model: what its surface sees, and each lighting solved."""

from __future__ import annotations

import dataclasses
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from builder.code import code_digest, library_versions
from builder.errors import LightError, Problem
from builder.jobs import held
from builder.jobs.models import ModelDone
from builder.light.files import save_lit, save_transport
from builder.light.lamps import place
from builder.light.lit import LightFacts, Lit
from builder.light.solve import solve
from builder.light.transport import gather
from builder.model.model import Model
from builder.pack import LampPlace
from builder.plates.edges import mixed_faces
from builder.store import Entry, Store, key_of
from builder.study.description import Lighting, Study


@dataclass(frozen=True, slots=True)
class LightDone:
    """One solved lighting in the store."""

    name: str
    key: str
    facts: LightFacts
    lamps: tuple[LampPlace, ...]


@dataclass(frozen=True, slots=True)
class TransportJob:
    """Gather what the surface of a study's model sees of itself and the sky: once, for all its lightings."""

    study: Study
    store: Store
    model: ModelDone

    def key(self) -> str:
        """Everything the transport depends on."""
        return key_of(
            "transport",
            {
                "model": self.model.key,
                "code": code_digest("builder.light.transport"),
                "libraries": library_versions("numpy", "numba", "embreex"),
            },
        )

    def find(self) -> str | None:
        """Its key, if it is in the store."""
        key = self.key()
        return None if self.store.find("transport", key) is None else key

    def run(self) -> str:
        """Its key, made if it is not there; LightError, before the slow part, if a lamp stands where none can."""
        key = self.key()
        model = held.model(self.store, self.model.key)
        problems = [problem for lighting in self.study.lightings for problem in _misplaced(lighting, model)]
        if problems:
            raise LightError(problems)
        transport = gather(model)
        self.store.put("transport", key, lambda folder: save_transport(transport, folder / "transport.npz"))
        return key


@dataclass(frozen=True, slots=True)
class LightJob:
    """Solve one lighting of a study on its model; its transport must be in the store."""

    study: Study
    lighting: Lighting
    store: Store
    model: ModelDone

    def key(self) -> str:
        """Everything a solved lighting depends on; its words do not matter."""
        plain = dataclasses.asdict(self.lighting)
        del plain["title"], plain["about"]
        return key_of(
            "lit",
            {
                "transport": self.transport().key(),
                "lighting": plain,
                "finish": dataclasses.asdict(self.study.finish),
                "code": [code_digest("builder.light.solve"), code_digest("builder.plates.edges")],
                "libraries": library_versions("numpy", "numba", "scipy", "embreex"),
            },
        )

    def transport(self) -> TransportJob:
        """The job whose result this one needs."""
        return TransportJob(self.study, self.store, self.model)

    def find(self) -> LightDone | None:
        """The lighting as kept in the store, if it is there."""
        key = self.key()
        entry = self.store.find("lit", key)
        return None if entry is None else _light_done(self.lighting.name, key, entry)

    def run(self) -> LightDone:
        """Find or make it; LightError if a lamp stands where none can."""
        found = self.find()
        if found is not None:
            return found
        model = held.model(self.store, self.model.key)
        lit = solve(model, self.lighting, self.study.finish, held.transport(self.store, self.transport().key()))

        def write(folder: Path) -> None:
            write_lit(model, lit, folder)
            lamps = [
                LampPlace(
                    role=emitter.role,
                    centre_mm=_triple(emitter.centre),
                    width_mm=float(2 * np.linalg.norm(emitter.across)),
                    height_mm=float(2 * np.linalg.norm(emitter.along)),
                    shape=emitter.shape,
                )
                for emitter in lit.emitters
            ]
            plain = {"facts": dataclasses.asdict(lit.facts), "lamps": [dataclasses.asdict(lamp) for lamp in lamps]}
            (folder / "lit.json").write_text(json.dumps(plain, sort_keys=True), encoding="utf-8")

        key = self.key()
        return _light_done(self.lighting.name, key, self.store.put("lit", key, write))


def write_lit(model: Model, lit: Lit, folder: Path) -> None:
    """Write a lit surface and the triangles on which it must be traced, as :func:`builder.jobs.held.lit` reads them."""
    save_lit(lit, folder / "lit.npz")
    np.save(folder / "mixed.npy", np.packbits(mixed_faces(model, lit), axis=1))


def _misplaced(lighting: Lighting, model: Model) -> tuple[Problem, ...]:
    try:
        place(lighting, model)
    except LightError as error:
        return error.problems
    return ()


def _light_done(name: str, key: str, entry: Entry) -> LightDone:
    plain = json.loads(entry.path("lit.json").read_text(encoding="utf-8"))
    lamps = tuple(LampPlace(**{**lamp, "centre_mm": tuple(lamp["centre_mm"])}) for lamp in plain["lamps"])
    return LightDone(name, key, LightFacts(**plain["facts"]), lamps)


def _triple(vector: Any) -> tuple[float, float, float]:
    x, y, z = (float(value) for value in vector)
    return x, y, z
