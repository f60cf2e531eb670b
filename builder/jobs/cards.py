"""Section cards in the store: the printed pages, the drawing for a cutting machine, the directions."""

from __future__ import annotations

import dataclasses
import json
from dataclasses import dataclass
from pathlib import Path

from builder.cards.build_text import Block
from builder.cards.card_set import card_set
from builder.cards.card_svg import card_svg
from builder.cards.sheets import card_sheets
from builder.code import code_digest, library_versions
from builder.errors import CastwalkError, Notice
from builder.jobs import held
from builder.jobs.models import ModelDone
from builder.pack import CardFiles
from builder.paper.formats import FORMATS
from builder.sections.sliced import body_of
from builder.store import Entry, Store, key_of
from builder.study.description import Study
from builder.words.words import Words

PDF, SVG, PLAIN = "cards.pdf", "cards.svg", "cards.json"
SAID = ("cards",)
"""What the cards say, by the first names of their phrases' keys."""


@dataclass(frozen=True, slots=True)
class CardsDone:
    """The cards in the store; ``files`` is ``None`` where none could be cut, which the notices tell."""

    files: CardFiles | None
    notices: tuple[Notice, ...]
    entry: Entry


@dataclass(frozen=True, slots=True)
class CardsJob:
    """Cut a study's model into section cards."""

    study: Study
    store: Store
    model: ModelDone
    words: Words

    def key(self) -> str:
        """Everything the cards depend on."""
        return key_of(
            "cards",
            {
                "model": self.model.key,
                "choice": dataclasses.asdict(self.study.cards),
                "title": self.study.title,
                "landmarks": [dataclasses.asdict(mark) for mark in self.study.landmarks],
                "language": self.words.language,
                "words": self.words.of(*SAID),
                "code": [
                    code_digest(f"builder.{name}")
                    for name in ("cards.card_set", "cards.card_svg", "cards.sheets", "model.symmetry")
                ],
                "libraries": library_versions("numpy", "scipy", "numba", "shapely", "reportlab"),
            },
        )

    def find(self) -> CardsDone | None:
        """The cards as kept in the store, if they are there."""
        entry = self.store.find("cards", self.key())
        return None if entry is None else self._done(entry)

    def run(self) -> CardsDone:
        """Find or make them. A model that no card can be cut of has none: a notice says why, and the pack goes on."""
        found = self.find()
        if found is not None:
            return found
        model = held.model(self.store, self.model.key)
        mirror = held.symmetry(self.store, self.model.key)
        upright = mirror.holds and abs(mirror.normal[0]) > 0.999
        body = body_of(model.scene.vertices[: model.body_vertices], model.scene.faces[: model.body_faces])
        try:
            middle = mirror.point[0] if upright else None
            cards = card_set(body, middle, self.study.cards, self.study.mesh.path.name, self.study.landmarks)
        except CastwalkError as error:
            told = [{"where": problem.where, "text": problem.found} for problem in error.problems]
            return self._keep({PLAIN: _plain({"notices": told})})
        sheets = card_sheets(cards, self.study.title, self.words)
        title = self.words("cards.title", study=self.study.title)
        plain = {"pages": sheets.pages, "blocks": [dataclasses.asdict(block) for block in sheets.blocks], "notices": []}
        return self._keep({PDF: sheets.pdf, SVG: card_svg(cards, title, self.words), PLAIN: _plain(plain)})

    def _keep(self, files: dict[str, bytes]) -> CardsDone:
        def write(folder: Path) -> None:
            for name, data in files.items():
                (folder / name).write_bytes(data)

        return self._done(self.store.put("cards", self.key(), write))

    def _done(self, entry: Entry) -> CardsDone:
        plain = json.loads(entry.path(PLAIN).read_text(encoding="utf-8"))
        notices = tuple(Notice(**notice) for notice in plain["notices"])
        if "blocks" not in plain:
            return CardsDone(None, notices, entry)
        start = f"cards/{self.study.name}"
        files = CardFiles(
            pdf=entry.path(PDF),
            pdf_address=f"{start}-cards.pdf",
            svg=entry.path(SVG),
            svg_address=f"{start}-cards.svg",
            paper=FORMATS[self.study.cards.paper].title,
            pages=plain["pages"],
            blocks=tuple(
                Block(block["kind"], block["text"], tuple(tuple(row) for row in block["rows"]))
                for block in plain["blocks"]
            ),
        )
        return CardsDone(files, notices, entry)


def _plain(values: object) -> bytes:
    return json.dumps(values, sort_keys=True).encode()
