"""The facts as files for other programs: as the schema says, and the schema says enough."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from builder.plates.fact import Fact, published
from builder.plates.fact_list import FACTS
from builder.site.address import FACTS_SCHEMA
from builder.site.facts_file import facts_text, schema

HEAD = {"$schema": "../../../reference/facts.schema.json", "study": "mask", "view": 12, "lighting": "side-lamp"}
CHECKER = Draft202012Validator(schema())


def whole_file() -> dict[str, Any]:
    loaded = json.loads(facts_text(HEAD, {name: fact.specimen for name, fact in FACTS.items()}))
    assert isinstance(loaded, dict)
    return loaded


def faults(loaded: object) -> list[str]:
    return [error.json_path for error in CHECKER.iter_errors(loaded)]


def any_value(fact: Fact) -> st.SearchStrategy[Any]:
    """Any value the fact may have."""
    if fact.shape == "shares":
        weights = st.lists(st.integers(0, 1000), min_size=fact.parts, max_size=fact.parts).filter(any)
        return weights.map(lambda row: tuple(weight / sum(row) for weight in row))
    if fact.shape == "row":
        return st.lists(st.floats(fact.low, fact.high), min_size=1, max_size=9).map(tuple)
    if fact.shape == "text":
        return st.text(min_size=1)
    if fact.shape == "word":
        return st.sampled_from(fact.words) if fact.words else st.text(min_size=1)
    if fact.shape == "yes-no":
        return st.booleans()
    return st.integers(int(fact.low), int(fact.high)) if fact.shape == "whole" else st.floats(fact.low, fact.high)


def test_the_schema_is_a_schema() -> None:
    """It keeps to its own draft, and reads in the order of the list."""
    Draft202012Validator.check_schema(schema())
    assert list(schema()["properties"]["facts"]["properties"]) == list(FACTS)


def test_every_number_is_said_with_its_unit() -> None:
    """Each entry has value and unit; the names, in the order of the list, are those measured."""
    loaded = whole_file()
    assert {name: loaded[name] for name in HEAD} == HEAD
    assert list(loaded["facts"]) == list(FACTS)
    for name, entry in loaded["facts"].items():
        value = FACTS[name].specimen
        assert entry == {"value": list(value) if isinstance(value, tuple) else value, "unit": FACTS[name].unit}
    assert faults(loaded) == []


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_whatever_is_measured_can_be_published(data: st.DataObject) -> None:
    """Any value a fact takes passes the schema, with or without the facts that may be missing; and reads back."""
    facts = {
        fact.name: data.draw(any_value(fact), fact.name)
        for fact in FACTS.values()
        if not fact.optional or data.draw(st.booleans())
    }
    assert all(FACTS[name].takes(value) for name, value in facts.items())
    loaded = json.loads(facts_text(HEAD, facts))
    assert faults(loaded) == []
    back = {name: entry["value"] for name, entry in loaded["facts"].items()}
    as_lists = {name: published(value) for name, value in facts.items()}
    assert back == {name: list(value) if isinstance(value, tuple) else value for name, value in as_lists.items()}


def changed(change: Callable[[dict[str, Any]], object]) -> dict[str, Any]:
    loaded = copy.deepcopy(whole_file())
    change(loaded)
    return loaded


@pytest.mark.parametrize("name", FACTS)
def test_what_no_view_can_measure_is_refused(name: str) -> None:
    """A wrong unit, a wrong type, a number out of range, a missing part or one too many: each is found where it is."""
    fact, at = FACTS[name], f"$.facts.{name}"
    wrong: list[object] = [None, [], {}]
    if fact.shape in {"number", "whole"}:
        wrong += [fact.low - 1, fact.high + 1, "1", True]
    if fact.shape == "whole":
        wrong.append(fact.low + 0.5)
    if fact.shape == "shares":
        wrong += [[0.5] * (fact.parts + 1), [0.5] * (fact.parts - 1), [1.5] * fact.parts, [-0.5] * fact.parts]
    if fact.shape == "row":
        wrong += [fact.low, [fact.high + 1], [fact.low, fact.low - 1], ["1"], [True]]
    if fact.shape in {"word", "text"}:
        wrong += ["", 1, *(["elsewhere"] if fact.words else [])]
    if fact.shape == "yes-no":
        wrong += ["true", 0, 1]
    for value in wrong:
        loaded = changed(lambda file, value=value: file["facts"][name].update(value=value))  # type: ignore[misc]
        assert faults(loaded) and all(path.startswith(f"{at}.value") for path in faults(loaded)), value
    assert faults(changed(lambda file: file["facts"][name].update(unit="furlong"))) == [f"{at}.unit"]
    assert faults(changed(lambda file: file["facts"][name].update(note=""))) == [at]
    assert faults(changed(lambda file: file["facts"][name].pop("unit"))) == [at]
    missing = faults(changed(lambda file: file["facts"].pop(name)))
    assert missing == ([] if fact.optional else ["$.facts"])


def test_strangers_are_refused() -> None:
    """A fact that is not listed, a head that lacks something, and something beside the facts."""
    assert faults(changed(lambda file: file["facts"].update(mood={"value": 1, "unit": "none"}))) == ["$.facts"]
    assert faults(changed(lambda file: file.update(date="today"))) == ["$"]
    for name in (*HEAD, "facts"):
        assert faults(changed(lambda file, name=name: file.pop(name))) == ["$"]  # type: ignore[misc]


def test_the_same_facts_are_the_same_bytes() -> None:
    """Whatever order the facts come in, and whatever is beyond the last digit."""
    facts = {name: fact.specimen for name, fact in FACTS.items()}
    turned = dict(reversed(list(facts.items()))) | {"light_share": 0.64 + 1e-12}
    assert facts_text(HEAD, turned) == facts_text(HEAD, facts)


def test_every_fact_has_a_line_of_its_own() -> None:
    """The file can be read, and searched line by line."""
    lines = facts_text(HEAD, {name: fact.specimen for name, fact in FACTS.items()}).splitlines()
    assert [re.match(r' {4}"(\w+)": \{"value": ', line)[1] for line in lines[6:-2]] == list(FACTS)  # type: ignore[index]
    assert lines[0] == "{" and lines[-2:] == ["  }", "}"]


def test_the_schema_explains_every_fact() -> None:
    """A program that knows the schema alone can tell its reader what a number is, and when it is not there."""
    entries = schema()["properties"]["facts"]["properties"]
    for name, fact in FACTS.items():
        assert entries[name]["description"].startswith(fact.meaning)
        assert ("left out where" in entries[name]["description"]) == fact.optional
    assert FACTS_SCHEMA.endswith(".schema.json")
