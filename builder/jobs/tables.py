"""The cards for a student's own table in the store: one document a view, with a page for each lighting."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from pathlib import Path

from builder.code import code_digest, library_versions
from builder.paper.formats import Paper
from builder.store import Entry, Store, key_of
from builder.table.sheet import Card, card_document
from builder.words.words import Words

TABLE = "table.pdf"
SAID = ("table", "lightings")
"""What a table's cards say, by the first names of their phrases' keys."""


@dataclass(frozen=True, slots=True)
class TableJob:
    """Print the cards of one view on one paper."""

    cards: tuple[Card, ...]
    paper: Paper
    words: Words
    store: Store

    def key(self) -> str:
        """Everything the file depends on."""
        return key_of(
            "table",
            {
                "cards": [dataclasses.asdict(card) for card in self.cards],
                "paper": dataclasses.asdict(self.paper),
                "language": self.words.language,
                "words": self.words.of(*SAID),
                "code": code_digest("builder.table.sheet"),
                "libraries": library_versions("reportlab"),
            },
        )

    def find(self) -> Entry | None:
        """The file as kept in the store, if it is there."""
        return self.store.find("table", self.key())

    def run(self) -> Entry:
        """Find or make it."""
        found = self.find()
        if found is not None:
            return found

        def write(folder: Path) -> None:
            (folder / TABLE).write_bytes(card_document(self.cards, self.paper, self.words).bytes())

        return self.store.put("table", self.key(), write)
