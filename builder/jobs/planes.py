"""Breaking a study's model into planes, at three levels."""

from __future__ import annotations

import dataclasses
import functools
import json
from dataclasses import dataclass
from pathlib import Path

from builder.code import code_digest, library_versions
from builder.errors import CastwalkError, Notice
from builder.jobs import held
from builder.jobs.models import ModelDone
from builder.planes.break_up import break_up
from builder.planes.files import save_planes_model
from builder.planes.planes_model import planes_model
from builder.planes.solid_files import glb_bytes, stl_bytes
from builder.plates.planes import LEVELS
from builder.store import Entry, Store, key_of
from builder.study.description import Study


@dataclass(frozen=True, slots=True)
class LevelDone:
    """One level in the store: ``key`` of its planes model, and of how many planes it is made."""

    level: int
    key: str
    count: int
    rms_mm: float
    greatest_mm: float


@dataclass(frozen=True, slots=True)
class PlanesDone:
    """A model's planes in the store; no level where it could not be broken up, which the notices tell."""

    levels: tuple[LevelDone, ...]
    notices: tuple[Notice, ...]
    entry: Entry

    def solid(self, level: int, suffix: str) -> Path:
        """The file of one level for other programs: ``stl`` or ``glb``."""
        return self.entry.path(f"{LEVELS[level]}.{suffix}")


@dataclass(frozen=True, slots=True)
class PlanesJob:
    """Break a study's model into planes."""

    study: Study
    store: Store
    model: ModelDone

    def key(self) -> str:
        """Everything the planes depend on."""
        return key_of(
            "planes",
            {
                "model": self.model.key,
                "choice": dataclasses.asdict(self.study.planes),
                "code": [
                    code_digest(f"builder.planes.{name}")
                    for name in ("break_up", "planes_model", "files", "solid_files")
                ],
                "libraries": library_versions(
                    "numpy", "numba", "scipy", "trimesh", "fast-simplification", "scikit-image"
                ),
            },
        )

    def find(self) -> PlanesDone | None:
        """The planes as kept in the store, if they are there."""
        entry = self.store.find("planes", self.key())
        if entry is None:
            return None
        plain = json.loads(entry.path("planes.json").read_text(encoding="utf-8"))
        levels = tuple(LevelDone(**level) for level in plain["levels"])
        if any(self.store.find("planes-model", level.key) is None for level in levels):
            return None
        return PlanesDone(levels, tuple(Notice(**notice) for notice in plain["notices"]), entry)

    def run(self) -> PlanesDone:
        """Find or make them. A model that cannot be broken up has none: a notice says why, and the pack goes on."""
        found = self.find()
        if found is not None:
            return found
        model = held.model(self.store, self.model.key)
        try:
            broken = break_up(model, self.study.planes)
        except CastwalkError as error:
            self._keep((), tuple(Notice(problem.where, problem.found) for problem in error.problems), {})
            return self._there()
        levels, solids = [], {}
        for level, planes in zip(broken.numbers, broken.levels, strict=True):
            key = key_of("planes-model", {"planes": self.key(), "level": level})
            whole = planes_model(model, planes)
            self.store.put("planes-model", key, functools.partial(save_planes_model, whole))
            levels.append(LevelDone(level, key, planes.count, planes.rms_mm, planes.greatest_mm))
            solids[f"{LEVELS[level]}.stl"] = stl_bytes(planes)
            solids[f"{LEVELS[level]}.glb"] = glb_bytes(planes)
        self._keep(tuple(levels), broken.notices, solids)
        return self._there()

    def _keep(self, levels: tuple[LevelDone, ...], notices: tuple[Notice, ...], solids: dict[str, bytes]) -> None:
        plain = {
            "levels": [dataclasses.asdict(level) for level in levels],
            "notices": [dataclasses.asdict(notice) for notice in notices],
        }

        def write(folder: Path) -> None:
            (folder / "planes.json").write_text(json.dumps(plain, sort_keys=True), encoding="utf-8")
            for name, data in solids.items():
                (folder / name).write_bytes(data)

        self.store.put("planes", self.key(), write)

    def _there(self) -> PlanesDone:
        done = self.find()
        assert done is not None, "what was just kept is there"
        return done
