"""The legend of a plate in flat greys: what each grey is, which number it has in the outlines, and its share."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from builder.arrays import Bytes
from builder.pack import ShownView, StudyView
from builder.plates.families import LEGEND, family_codes, light_shadow_codes
from builder.plates.plate import FactValue
from builder.plates.values import step_codes
from builder.prompts.filters import place
from builder.words.words import Words, number, percent

VALUES = "values-"
FAMILIES_KIND, LIGHT_SHADOW_KIND = "families", "light-shadow"
SHEET_SCALE = "values-5"
"""The value study whose steps a sheet shows beside a plate that has no legend of its own."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One flat grey: its number in the outlines, name, meaning ("" for none), sRGB code, and share of the subject."""

    number: int
    name: str
    means: str
    code: int
    share: float


@dataclass(frozen=True, slots=True)
class Legend:
    """The greys of one plate kind under one lighting: steps of value lightest first, families as a teacher names them.

    ``kinds`` are the plate kinds it stands beside; ``head`` names what its entries are; ``edges`` says whether
    terminator and cast edges are drawn; ``rule`` says how far the family rule holds ("" where nothing is said of it).
    """

    lighting: str
    kinds: tuple[str, ...]
    head: str
    entries: tuple[Entry, ...]
    edges: bool = False
    rule: str = ""


def sheet_legends(view: StudyView, words: Words, lines: Collection[str] = ()) -> Iterator[Legend]:
    """The legends of a sheet: beside every plate one, a plate without greys of its own borrows five values; beside the
    kinds of ``lines`` none.
    """
    for shown in view.shown.values():
        own = [legend for kind in shown.plates if (legend := _legend(kind, shown, words))]
        scales = [legend for legend in own if legend.kinds[0].startswith(VALUES)]
        lent = next((legend for legend in scales if SHEET_SCALE in legend.kinds), next(iter(scales), None))
        greys = (kind for kind in shown.plates if kind not in lines)
        bare = tuple(kind for kind in greys if all(kind not in legend.kinds for legend in own))
        for legend in own:
            yield replace(legend, kinds=(*bare, *legend.kinds)) if legend is lent else legend


def view_legends(view: StudyView, words: Words) -> Iterator[Legend]:
    """The legends beside the plate of a view: those of the plates that show light by its cause."""
    for shown in view.shown.values():
        for kind in (FAMILIES_KIND, LIGHT_SHADOW_KIND):
            if kind in shown.plates and (legend := _legend(kind, shown, words)):
                yield legend


def rule_words(facts: Mapping[str, FactValue], words: Words) -> str:
    """How far the family rule holds in a view, and where it does not; "" where light and shadow nowhere meet."""
    holds, share = facts.get("family_rule_holds"), facts.get("family_rule_share")
    if not isinstance(holds, bool) or not isinstance(share, int | float):
        return ""
    if holds:
        return words("legend.rule_holds")
    x, y = facts.get("family_rule_worst_x"), facts.get("family_rule_worst_y")
    where = "" if x is None or y is None else words(f"legend.place_{place(x, y).replace(' ', '_')}")
    key = "legend.rule_broken_at" if where else "legend.rule_broken"
    return words(key, share=percent(1.0 - share), place=where)


def _legend(kind: str, shown: ShownView, words: Words) -> Legend | None:
    if kind == FAMILIES_KIND:
        names = [f"family_{family.word}" for family in LEGEND]
        rule = rule_words(shown.facts, words)
        entries = _named(names, family_codes(), shown.facts, words)
        return Legend(shown.lighting.name, (kind,), words("legend.family"), entries, edges=True, rule=rule)
    if kind == LIGHT_SHADOW_KIND:
        entries = _named(("light", "shadow"), light_shadow_codes(), shown.facts, words)
        return Legend(shown.lighting.name, (kind,), words("legend.family"), entries)
    steps = shown.facts.get(f"{kind.replace('-', '_')}_shares")
    if not kind.startswith(VALUES) or not isinstance(steps, tuple):
        return None
    count = len(steps)
    codes = step_codes(count)
    entries = tuple(
        Entry(index + 1, number(10.0 * (index + 0.5) / count), "", int(codes[index]), float(steps[index]))
        for index in reversed(range(count))
    )
    return Legend(shown.lighting.name, (kind,), words("legend.value"), entries)


def _named(names: Sequence[str], codes: Bytes, facts: Mapping[str, FactValue], words: Words) -> tuple[Entry, ...]:
    """Entries of greys that have a name, in the order given."""
    return tuple(
        Entry(index + 1, words(f"legend.{name}"), words(f"legend.{name}_means"), int(codes[index]), float(share))
        for index, name in enumerate(names)
        if isinstance(share := facts.get(f"{name}_share"), int | float)
    )
