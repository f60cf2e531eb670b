"""Solving the lightings of a study on its model."""

from __future__ import annotations

import dataclasses
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from builder.code import code_digest, library_versions
from builder.jobs.models import ModelDone
from builder.light.files import load_transport, save_lit, save_transport
from builder.light.lamps import place
from builder.light.lit import LightFacts
from builder.light.solve import solve
from builder.light.transport import Transport, gather
from builder.model.files import load_model
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
    reused: bool


@dataclass(frozen=True, slots=True)
class LightJob:
    """Solve every lighting of a study on its model."""

    study: Study
    store: Store
    model: ModelDone

    def _transport_key(self) -> str:
        return key_of(
            "transport",
            {
                "model": self.model.key,
                "code": code_digest("builder.light.transport"),
                "libraries": library_versions("numpy", "numba", "embreex"),
            },
        )

    def key(self, lighting: Lighting) -> str:
        """Everything a solved lighting depends on; its words do not matter."""
        plain = dataclasses.asdict(lighting)
        del plain["title"], plain["about"]
        return key_of(
            "lit",
            {
                "transport": self._transport_key(),
                "lighting": plain,
                "finish": dataclasses.asdict(self.study.finish),
                "code": code_digest("builder.light.solve"),
                "libraries": library_versions("numpy", "numba", "embreex"),
            },
        )

    def find(self) -> tuple[LightDone, ...] | None:
        """The lightings as kept in the store, if every one is there."""
        found = [self._find(lighting) for lighting in self.study.lightings]
        return None if None in found else tuple(done for done in found if done is not None)

    def run(self) -> tuple[LightDone, ...]:
        """Find or make them; LightError if a lamp stands where none can."""
        model = load_model(self.store.root / "model" / self.model.key)
        transport: Transport | None = None
        done = []
        for lighting in self.study.lightings:
            one = self._find(lighting)
            if one is None:
                place(lighting, model)  # fails before the slow part
                transport = transport or self._transport(model)
                one = self._solve(model, lighting, transport)
            done.append(one)
        return tuple(done)

    def _find(self, lighting: Lighting) -> LightDone | None:
        key = self.key(lighting)
        entry = self.store.find("lit", key)
        return None if entry is None else _light_done(lighting.name, key, entry, reused=True)

    def _transport(self, model: Model) -> Transport:
        key = self._transport_key()
        entry = self.store.find("transport", key)
        if entry is not None:
            return load_transport(entry.path("transport.npz"))
        transport = gather(model)
        self.store.put("transport", key, lambda folder: save_transport(transport, folder / "transport.npz"))
        return transport

    def _solve(self, model: Model, lighting: Lighting, transport: Transport) -> LightDone:
        lit = solve(model, lighting, self.study.finish, transport)

        def write(folder: Path) -> None:
            save_lit(lit, folder / "lit.npz")
            np.save(folder / "mixed.npy", np.packbits(mixed_faces(model, lit), axis=1))
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

        key = self.key(lighting)
        return _light_done(lighting.name, key, self.store.put("lit", key, write), reused=False)


def _light_done(name: str, key: str, entry: Entry, *, reused: bool) -> LightDone:
    plain = json.loads(entry.path("lit.json").read_text(encoding="utf-8"))
    lamps = tuple(LampPlace(**{**lamp, "centre_mm": tuple(lamp["centre_mm"])}) for lamp in plain["lamps"])
    return LightDone(name, key, LightFacts(**plain["facts"]), lamps, reused)


def _triple(vector: Any) -> tuple[float, float, float]:
    x, y, z = (float(value) for value in vector)
    return x, y, z
