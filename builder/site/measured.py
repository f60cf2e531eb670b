"""What a page shows of a view's facts: rows for the table of measurements, in groups."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from builder.plates.fact import Fact
from builder.plates.fact_list import FACTS, GROUPS
from builder.plates.plate import FactValue
from builder.words.words import Words, number, percent


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table of measurements."""

    label: str
    amount: str


@dataclass(frozen=True, slots=True)
class RowGroup:
    """Lines of the table that belong together, under a title."""

    title: str
    rows: tuple[Row, ...]


def fact_groups(facts: Mapping[str, FactValue], words: Words) -> tuple[RowGroup, ...]:
    """The facts that have a phrase under ``facts``, in the order of those phrases; a group without any is left out."""
    told = [name for name in words.under("facts") if name in facts]
    groups = []
    for group in GROUPS:
        listed = [FACTS[name] for name in told if FACTS[name] in group.facts]
        rows = tuple(Row(words(f"facts.{fact.name}"), amount(fact, facts[fact.name], words)) for fact in listed)
        if rows:
            groups.append(RowGroup(words(f"fact_groups.{group.name}"), rows))
    return tuple(groups)


def amount(fact: Fact, value: FactValue, words: Words) -> str:
    """A fact for reading, its unit kept on one line with the number."""
    if isinstance(value, tuple):
        return " · ".join(amount(fact, part, words) for part in value)
    if fact.shape == "text":
        return str(value)
    if isinstance(value, bool | str):
        return words(f"fact_words.{fact.name}_{value}".lower())
    if fact.unit == "share":
        return percent(value)
    if fact.unit == "stops":
        return words.count("count.stops", round(value, 1)).replace(" ", "\u00a0")
    if fact.unit == "deg":
        return f"{number(value, 0)}°"
    if fact.unit == "ratio":
        return f"{number(value, 2)}\u00a0:\u00a01"
    if fact.unit in ("mm", "px"):
        return f"{number(value, 0)}\u00a0{fact.unit}"
    return number(value, 0 if fact.shape == "whole" else 1)
