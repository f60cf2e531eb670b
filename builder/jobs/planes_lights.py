"""Light on a planes model: that of the model itself, with the planes in its place."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass

from builder.code import code_digest, library_versions
from builder.jobs import held
from builder.jobs.lights import LightDone, write_lit
from builder.jobs.planes import LevelDone
from builder.light.exchanged import body_looks, exchanged
from builder.store import Store, key_of
from builder.study.description import Study


@dataclass(frozen=True, slots=True)
class LevelLit:
    """One level of planes and, by the name of the lighting, the key of its light in the store."""

    level: LevelDone
    lights: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class LevelLightJob:
    """Light one level of planes under every lighting of its study, each of which must be solved on the model itself."""

    study: Study
    store: Store
    level: LevelDone
    lights: tuple[LightDone, ...]

    def keys(self) -> dict[str, str]:
        """Everything each light depends on, by the name of the lighting."""
        common = {
            "planes model": self.level.key,
            "code": [code_digest("builder.light.exchanged"), code_digest("builder.plates.edges")],
            "libraries": library_versions("numpy", "numba", "scipy", "embreex"),
        }
        return {light.name: key_of("lit", {**common, "before": light.key}) for light in self.lights}

    def find(self) -> LevelLit | None:
        """The level under every lighting as kept in the store, if all are there."""
        keys = self.keys()
        if any(self.store.find("lit", key) is None for key in keys.values()):
            return None
        return LevelLit(self.level, keys)

    def run(self) -> LevelLit:
        """Find or make it."""
        keys = self.keys()
        missing = [light for light in self.lights if self.store.find("lit", keys[light.name]) is None]
        if missing:
            model = held.broken(self.store, self.level.key).model
            tracer = held.broken_tracer(self.store, self.level.key)
            looks = body_looks(model, tracer)
            for light in missing:
                lighting = self.study.lighting(light.name)
                assert lighting is not None
                before, _ = held.lit(self.store, light.key)
                lit = exchanged(model, before, lighting.ambient_stops, looks, tracer)
                self.store.put("lit", keys[light.name], functools.partial(write_lit, model, lit))
        return LevelLit(self.level, keys)
