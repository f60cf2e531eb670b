"""What a page shows of a view's facts: rows for the table of measurements, and the steps of a value study."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from builder.pack import ShownView
from builder.plates.plate import FactValue
from builder.plates.values import step_codes
from builder.site.words import Words, number

VALUES = "values-"


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table of measurements."""

    label: str
    amount: str


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a value study, as painted: its middle value 0..10, sRGB code, and share of the subject (0..1)."""

    value: float
    code: int
    share: float


def fact_rows(facts: Mapping[str, FactValue], words: Words) -> tuple[Row, ...]:
    """The facts that have a phrase under ``facts``, in that order."""
    return tuple(
        Row(words(f"facts.{name}"), amount(name, facts[name])) for name in words.under("facts") if name in facts
    )


def amount(name: str, value: FactValue) -> str:
    """A fact for reading, its unit taken from the end of its name and kept on one line with the number."""
    if isinstance(value, tuple):
        return " · ".join(amount(name, part) for part in value)
    if isinstance(value, bool | str):
        return str(value)
    for ending, shown in (
        (("_share", "_shares"), f"{number(100.0 * value, 0)}\u00a0%"),
        (("_deg",), f"{number(value, 0)}°"),
        (("_mm",), f"{number(value, 0)}\u00a0mm"),
        (("_cm",), f"{number(value)}\u00a0cm"),
        (("_px",), f"{number(value, 0)}\u00a0px"),
        (("_to_height",), f"{number(value, 2)}\u00a0:\u00a01"),
    ):
        if name.endswith(ending):
            return shown
    return number(value, 0 if isinstance(value, int) else 1)


def value_steps(shown: ShownView) -> dict[str, tuple[Step, ...]]:
    """The steps of every value study of a view under a lighting, lightest first, by plate kind."""
    steps = {}
    for kind in shown.plates:
        shares = shown.facts.get(f"{kind.replace('-', '_')}_shares")
        if not kind.startswith(VALUES) or not isinstance(shares, tuple):
            continue
        count = len(shares)
        codes = step_codes(count)
        steps[kind] = tuple(
            Step(10.0 * (index + 0.5) / count, int(codes[index]), float(shares[index]))
            for index in reversed(range(count))
        )
    return steps
