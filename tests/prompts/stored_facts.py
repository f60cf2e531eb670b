"""Facts of two of the studies that come with the project, as a built site publishes them, for the tests of prompts.

Written by ``python -m tests.prompts.stored_facts SITE``, where SITE is a folder that ``castwalk build`` has filled.
"""

from __future__ import annotations

import gzip
import json
import sys
from collections.abc import Iterator
from pathlib import Path

from builder.plates.fact_list import FACTS
from builder.plates.plate import FactValue
from builder.study.read import read_study

STORED = Path(__file__).with_name("stored_facts.json.gz")
LIGHTINGS = {"mask": ("three-quarter-lamp", "top-lamp", "rim-lamp"), "solids": ("side-lamp", "two-lamps")}
ROOT = Path(__file__).parents[2]


def published(tree: object) -> Iterator[tuple[str, FactValue]]:
    """The facts of a view's published file, by name."""
    if isinstance(tree, dict):
        for name, inner in tree.items():
            found = inner["value"] if isinstance(inner, dict) and "value" in inner else inner
            if name in FACTS and not isinstance(found, dict):
                yield name, tuple(found) if isinstance(found, list) else found
            else:
                yield from published(inner)


def write(site: Path) -> None:
    """Keep the facts of every view under :data:`LIGHTINGS`, to six places."""
    kept = {}
    for name, lightings in LIGHTINGS.items():
        for view in read_study(ROOT / "models" / name / "study.yml", ROOT).views:
            for lighting in lightings:
                file = site / "plates" / name / f"{view.number:03d}" / f"{lighting}-facts.json"
                facts = dict(published(json.loads(file.read_text(encoding="utf-8"))))
                kept[f"{name}/{view.number}/{lighting}"] = {
                    fact: round(value, 6) if isinstance(value, float) else value for fact, value in facts.items()
                }
    STORED.write_bytes(gzip.compress(json.dumps(kept).encode(), mtime=0))


def stored() -> dict[tuple[str, int, str], dict[str, FactValue]]:
    """Facts by study, view and lighting, in the order of the views."""
    kept = json.loads(gzip.decompress(STORED.read_bytes()))
    return {
        (study, int(number), lighting): {
            name: tuple(value) if isinstance(value, list) else value for name, value in facts.items()
        }
        for (study, number, lighting), facts in ((place.split("/"), facts) for place, facts in kept.items())
    }


if __name__ == "__main__":
    write(Path(sys.argv[1]))
