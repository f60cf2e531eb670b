"""Single values of study.yml: one object a kind of value, which checks it and says what it takes.

Every kind has ``takes``, the phrase that both the messages and the reference page use, and ``read``, which gives the
value of a node, or ``None`` after reporting what is wrong with it. ``name`` is what the message calls the value.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Protocol

from builder.study.description import Length
from builder.study.node import Node, Odd
from builder.study.report import Report, any_of

MM_PER_UNIT = {"mm": Decimal(1), "cm": Decimal(10), "m": Decimal(1000), "in": Decimal("25.4")}
_LENGTH = re.compile(r"([0-9]{1,9}(?:\.[0-9]{0,9})?)\s*(mm|cm|m|in|sizes?)")
_NAME = re.compile(r"[a-z0-9]+(?:[ -][a-z0-9]+)*")


class Kind(Protocol):
    """A kind of value."""

    @property
    def takes(self) -> str:
        """What may stand here, as the rest of a sentence."""

    def read(self, node: Node, name: str, report: Report) -> Any:
        """The value, or ``None`` with the reason in ``report``."""


def slug(words: str) -> str:
    """``North window`` as ``north-window``."""
    return "-".join(words.lower().split())


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known name that ``word`` was probably meant to be."""
    plain = {slug(name).replace("_", "-"): name for name in known}
    close = difflib.get_close_matches(slug(word).replace("_", "-"), plain, n=1, cutoff=0.55)
    return plain[close[0]] if close else None


def wrong(kind: Kind, node: Node, name: str, report: Report, do: str = "") -> None:
    """Report that ``node`` is not what the field takes."""
    if node.empty:
        do = do or "give it a value or take it out"
    report.add(node.line, f"{name} is {node.described()}", f"it takes {kind.takes}", do)


@dataclass(frozen=True, slots=True)
class Text:
    """Text of at most ``longest`` characters, on one line unless ``lines``."""

    longest: int
    lines: bool = False
    noun: str = "text"

    @property
    def takes(self) -> str:
        """What may stand here."""
        return f"{self.noun} of 1 to {self.longest:,} characters{'' if self.lines else ' on one line'}"

    def read(self, node: Node, name: str, report: Report) -> str | None:
        """The text without blanks at its ends."""
        if not isinstance(node.value, str):
            wrong(self, node, name, report, "put it in quotes" if node.kind == "scalar" and not node.empty else "")
            return None
        text = node.value.strip()
        allowed = text.replace("\n", "") if self.lines else text
        if not allowed.isprintable():
            found = "a line break" if "\n" in allowed else "an invisible character"
            report.add(node.line, f"{name} holds {found}", f"it takes {self.takes}", "take it out")
        elif not 1 <= len(text) <= self.longest:
            report.add(node.line, f"{name} has {len(text)} characters", f"it takes {self.takes}", "")
        else:
            return text
        return None


@dataclass(frozen=True, slots=True)
class Number:
    """A number within limits; ``whole`` numbers have no decimals. ``too_low`` says why lower ones are refused."""

    low: float
    high: float
    unit: str = ""
    whole: bool = False
    too_low: str = "it is too low"

    @property
    def takes(self) -> str:
        """What may stand here."""
        noun = "a whole number" if self.whole else "a number"
        return f"{noun} {f'of {self.unit} ' if self.unit else ''}from {self.low:,.10g} to {self.high:,.10g}"

    def read(self, node: Node, name: str, report: Report) -> float | int | None:
        """The number."""
        value = node.value
        if isinstance(value, bool) or not isinstance(value, int | float):
            wrong(self, node, name, report, _as_number(node))
        elif self.whole and not isinstance(value, int):
            wrong(self, node, name, report, "take the decimals out")
        elif not self.low <= value <= self.high:
            wrong(self, node, name, report, self.too_low if value < self.low else "it is too high")
        else:
            return value if self.whole else float(value)
        return None


def _as_number(node: Node) -> str:
    """How to write the number that was meant, where that can be guessed."""
    if node.kind != "scalar" or node.empty:
        return ""
    if node.quoted and node.like_number:
        return "write it without quotes"
    if isinstance(node.value, Odd) and re.fullmatch(r"[-+]?0[0-9]+", node.text):
        return "write it without the leading zero"
    if isinstance(node.value, str) and "," in node.text:
        return "write a decimal point, not a comma"
    return "write it in plain digits, such as `12` or `12.5`"


@dataclass(frozen=True, slots=True)
class Choice:
    """One of a few words; capitals, blanks and hyphens may differ. Gives the word as listed, or as a slug."""

    options: tuple[str, ...]
    noun: str = "one of"
    as_slug: bool = False

    @property
    def takes(self) -> str:
        """What may stand here."""
        return f"{self.noun} {any_of(self.options)}"

    def read(self, node: Node, name: str, report: Report) -> str | None:
        """The option."""
        word = node.text if isinstance(node.value, str) else ""
        for option in self.options:
            if slug(word) == slug(option):
                return slug(option) if self.as_slug else option
        signed = [option for option in self.options if word and option[1:] == word]
        likely = nearest(word, self.options) if len(word) > 1 else None
        do = f"write {any_of(signed)}" if signed else f"write `{likely}` if that is meant" if likely else ""
        wrong(self, node, name, report, do)
        return None


@dataclass(frozen=True, slots=True)
class Extent:
    """A length: a number of mm or a text with its unit; in sizes of the model too if ``sizes`` gives their limits."""

    low_mm: float
    high_mm: float
    sizes: tuple[float, float] | None = None

    @property
    def takes(self) -> str:
        """What may stand here."""
        limits = f"{self.low_mm:,.10g} to {self.high_mm:,.10g} mm"
        if self.sizes is None:
            return f"a length of {limits}, written like `276`, `27.6 cm` or `10.9 in`"
        low, high = self.sizes
        return f"a length of {limits} or {low:g} to {high:g} sizes of the model, written like `90 cm` or `4 sizes`"

    def read(self, node: Node, name: str, report: Report) -> Length | None:
        """The length."""
        length = self._length(node.value)
        if length is None:
            wrong(self, node, name, report, _as_number(node) if node.like_number or "," in node.text else "")
            return None
        low, high = self.sizes if length.in_sizes and self.sizes else (self.low_mm, self.high_mm)
        if not low <= length.value <= high:
            do = f"it is too {'short' if length.value < low else 'long'}"
            if self.sizes and node.value == length.value and self.sizes[0] <= length.value <= self.sizes[1]:
                do = f"write `{node.text} sizes` if sizes of the model are meant"
            wrong(self, node, name, report, do)
            return None
        return length

    def _length(self, value: object) -> Length | None:
        if isinstance(value, int | float) and not isinstance(value, bool):
            return Length(float(value))
        match = _LENGTH.fullmatch(value.strip().lower()) if isinstance(value, str) else None
        if match is None:
            return None
        number, unit = Decimal(match[1]), match[2]
        if unit in MM_PER_UNIT:
            return Length(float(number * MM_PER_UNIT[unit]))
        return Length(float(number), in_sizes=True) if self.sizes else None


@dataclass(frozen=True, slots=True)
class Name:
    """A name of small letters, digits, single blanks and hyphens. Gives it as a slug if ``as_slug``."""

    as_slug: bool = False

    @property
    def takes(self) -> str:
        """What may stand here."""
        return "a name of 1 to 40 small letters a-z, digits, blanks and hyphens"

    def read(self, node: Node, name: str, report: Report) -> str | None:
        """The name."""
        text = node.text.strip() if node.kind == "scalar" else ""
        if not isinstance(node.value, str):
            wrong(self, node, name, report, "put it in quotes" if text else "")
        elif not is_name(text):
            wrong(self, node, name, report)
        else:
            return slug(text) if self.as_slug else text
        return None


def is_name(text: str) -> bool:
    """Whether ``text`` may name a lighting, a landmark or (without blanks) a study."""
    return len(text) <= 40 and _NAME.fullmatch(text) is not None
