"""Keeping plates in the store: what they hang on, and their files."""

from __future__ import annotations

import dataclasses
import functools
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from builder.camera.look import Method
from builder.code import code_digest
from builder.plates.encode import encode, thumbnail
from builder.plates.plate import FactValue, Plate, PlateKind
from builder.store import Store
from builder.study.description import Study, View

THUMB_PX = 480


def view_key(study: Study, view: View, camera: Method) -> dict[str, Any]:
    """What every plate of a view hangs on besides its model."""
    return {
        "view": [view.bearing_deg, view.eye_level_deg, view.distance.value, view.distance.in_sizes],
        "picture": dataclasses.asdict(study.picture),
        "camera": camera,
    }


def made_by(kind: PlateKind) -> list[str]:
    """The versions of the code that makes plates of this kind and writes them."""
    make = kind.make
    function = make.func if isinstance(make, functools.partial) else make
    return [code_digest(str(function.__module__)), code_digest("builder.plates.encode")]


def keep_plate(store: Store, key: str, plate: Plate, thumbed: bool = False, with_facts: bool = False) -> int:
    """Put a plate into the store unless it is there, ``with_facts`` beside it if asked; how many were put."""
    if store.find("plate", key) is not None:
        return 0

    def write(folder: Path) -> None:
        data, suffix = encode(plate)
        (folder / f"plate.{suffix}").write_bytes(data)
        if thumbed:
            (folder / "thumb.webp").write_bytes(thumbnail(plate, THUMB_PX))
        if plate.drawing:
            (folder / "outlines.svg").write_bytes(plate.drawing)
        if with_facts:
            (folder / "facts.json").write_text(json.dumps(dict(plate.facts), sort_keys=True), encoding="utf-8")

    store.put("plate", key, write)
    return 1


def facts_of(plain: Mapping[str, Any]) -> dict[str, FactValue]:
    """Facts as they were before they were written as JSON: rows are tuples."""
    return {name: tuple(value) if isinstance(value, list) else value for name, value in plain.items()}
