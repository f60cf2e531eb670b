"""The survey of a study's model in the store: its facts, and its six sides as a picture."""

from __future__ import annotations

import dataclasses
import json
from dataclasses import dataclass
from pathlib import Path

from builder.code import code_digest, library_versions
from builder.jobs import held
from builder.jobs.models import ModelDone
from builder.model.sides_picture import six_sides
from builder.model.surveyed import Surveyed, sculpture_of, surveyed
from builder.pack import SidesFiles
from builder.store import Entry, Store, key_of
from builder.study.description import Study

PLAIN, SMALL, LARGE = "survey.json", "sides-small.webp", "sides.webp"
SMALL_TILE_PX, LARGE_TILE_PX = 320, 960
QUALITY = 82


@dataclass(frozen=True, slots=True)
class SurveyDone:
    """The survey and the pictures in the store."""

    facts: Surveyed
    files: SidesFiles
    entry: Entry


@dataclass(frozen=True, slots=True)
class SurveyJob:
    """Survey a study's model and picture its sides."""

    study: Study
    store: Store
    model: ModelDone

    def key(self) -> str:
        """Everything the survey depends on."""
        return key_of(
            "survey",
            {
                "model": self.model.key,
                "sizes": [SMALL_TILE_PX, LARGE_TILE_PX, QUALITY],
                "code": [code_digest(f"builder.model.{name}") for name in ("surveyed", "sides_picture", "symmetry")],
                "libraries": library_versions("numpy", "scipy", "numba", "embreex", "pillow"),
            },
        )

    def find(self) -> SurveyDone | None:
        """The survey as kept in the store, if it is there."""
        entry = self.store.find("survey", self.key())
        return None if entry is None else self._done(entry)

    def run(self) -> SurveyDone:
        """Find or make it."""
        found = self.find()
        if found is not None:
            return found
        body = sculpture_of(held.model(self.store, self.model.key))
        facts = surveyed(body, held.symmetry(self.store, self.model.key))

        def write(folder: Path) -> None:
            for name, tile_px in ((SMALL, SMALL_TILE_PX), (LARGE, LARGE_TILE_PX)):
                six_sides(body, tile_px).save(folder / name, "WEBP", quality=QUALITY, method=4)
            text = json.dumps(dataclasses.asdict(facts), sort_keys=True)
            (folder / PLAIN).write_text(text, encoding="utf-8")

        return self._done(self.store.put("survey", self.key(), write))

    def _done(self, entry: Entry) -> SurveyDone:
        plain = json.loads(entry.path(PLAIN).read_text(encoding="utf-8"))
        facts = Surveyed(
            bodies=plain["bodies"],
            gaps=tuple(plain["gaps"]),
            thin=plain["thin"],
            thin_places=tuple(plain["thin_places"]),
            symmetry=plain["symmetry"],
        )
        start = f"sides/{self.study.name}"
        files = SidesFiles(entry.path(SMALL), f"{start}-small.webp", entry.path(LARGE), f"{start}.webp")
        return SurveyDone(facts, files, entry)
