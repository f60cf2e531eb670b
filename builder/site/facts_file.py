"""The facts of a view under a lighting as a file for other programs, and the JSON Schema that describes it."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

from builder.pack import Pack
from builder.plates.fact import Fact, published
from builder.plates.fact_list import FACTS
from builder.plates.plate import FactValue
from builder.site.address import FACTS_SCHEMA, way
from builder.site.pages import SiteFile

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def facts_files(pack: Pack) -> Iterator[SiteFile]:
    """The facts of every view under every lighting, and their schema."""
    yield SiteFile(FACTS_SCHEMA, f"{json.dumps(schema(), indent=2, ensure_ascii=False)}\n")
    for study in pack.studies:
        for view in study.views:
            for lighting, shown in view.shown.items():
                head = {
                    "$schema": way(shown.facts_address, FACTS_SCHEMA),
                    "study": study.study.name,
                    "view": view.view.number,
                    "lighting": lighting,
                }
                yield SiteFile(shown.facts_address, facts_text(head, shown.facts))


def facts_text(head: Mapping[str, object], facts: Mapping[str, FactValue]) -> str:
    """The file: ``head``, then every fact with value and unit, a line each, in the order of the list."""
    lines = [f"  {json.dumps(name)}: {json.dumps(value)}," for name, value in head.items()]
    told = [
        f"    {json.dumps(name)}: {json.dumps({'value': published(facts[name]), 'unit': fact.unit})}"
        for name, fact in FACTS.items()
        if name in facts
    ]
    return "\n".join(["{", *lines, '  "facts": {', ",\n".join(told), "  }", "}", ""])


def schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) that every file of facts keeps to."""
    return {
        "$schema": DIALECT,
        "title": "Facts of a view under a lighting",
        "description": (
            "What was measured of one view of a study under one lighting. Every fact has a value and a unit; numbers "
            "that are not whole have six significant digits."
        ),
        "type": "object",
        "properties": {
            "$schema": {"type": "string", "description": "where this description stands, from the file"},
            "study": {"type": "string", "minLength": 1, "description": "the study's name"},
            "view": {"type": "integer", "minimum": 1, "maximum": 999, "description": "the view's number"},
            "lighting": {"type": "string", "minLength": 1, "description": "the lighting's name"},
            "facts": {
                "type": "object",
                "properties": {name: _entry(fact) for name, fact in FACTS.items()},
                "required": [name for name, fact in FACTS.items() if not fact.optional],
                "additionalProperties": False,
            },
        },
        "required": ["$schema", "study", "view", "lighting", "facts"],
        "additionalProperties": False,
    }


def _entry(fact: Fact) -> dict[str, Any]:
    absent = f"; left out where {fact.missing}" if fact.optional else ""
    return {
        "description": f"{fact.meaning}{absent}",
        "type": "object",
        "properties": {"value": _value(fact), "unit": {"const": fact.unit}},
        "required": ["value", "unit"],
        "additionalProperties": False,
    }


def _value(fact: Fact) -> dict[str, Any]:
    bounds = {"minimum": fact.low, "maximum": fact.high}
    match fact.shape:
        case "number":
            return {"type": "number", **bounds}
        case "whole":
            return {"type": "integer", **bounds}
        case "shares":
            return {
                "type": "array",
                "items": {"type": "number", **bounds},
                "minItems": fact.parts,
                "maxItems": fact.parts,
            }
        case "row":
            return {"type": "array", "items": {"type": "number", **bounds}, "minItems": 1}
        case "text":
            return {"type": "string", "minLength": 1}
        case "word":
            return {"type": "string", "enum": list(fact.words)} if fact.words else {"type": "string", "minLength": 1}
        case "yes-no":
            return {"type": "boolean"}
