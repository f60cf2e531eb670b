"""What stands in study.yml: a tree in which every value knows its line and how it was typed."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

_LOOKS_LIKE_A_NUMBER = re.compile(r"[-+]?[0-9.,_]*[0-9][0-9.,_]*([eE][-+]?[0-9]+)?")


@dataclass(frozen=True, slots=True)
class Odd:
    """A bare word or number that YAML reads as something the writer may not have meant."""

    reading: str


Scalar = str | int | float | bool | None | Odd


@dataclass(frozen=True, slots=True)
class Entry:
    """A key with its value."""

    key: str
    line: int
    node: Node


@dataclass(frozen=True, slots=True)
class Node:
    """A value of the file. ``text`` is what was typed; ``value`` what it means, for a scalar alone."""

    line: int
    kind: Literal["scalar", "list", "mapping"]
    text: str = ""
    value: Scalar = None
    quoted: bool = False
    items: tuple[Node, ...] = ()
    entries: tuple[Entry, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether nothing was written after the field's name."""
        return self.kind == "scalar" and self.value is None

    @property
    def like_number(self) -> bool:
        """Whether what was typed is a number to a person's eye."""
        return _LOOKS_LIKE_A_NUMBER.fullmatch(self.text) is not None

    def described(self) -> str:
        """What stands there, in the tutor's words, with YAML's reading where it may surprise."""
        if self.kind == "list":
            return f"a list of {len(self.items)}"
        if self.kind == "mapping":
            return "a group of fields"
        if self.value is None:
            return "empty"
        shown = f"`{clipped(self.text)}`"
        if self.quoted:
            return f"{shown} in quotes, which is text" if self.like_number else shown
        if isinstance(self.value, bool):
            word = str(self.value).lower()
            return shown if self.text.lower() == word else f"{shown}, which YAML reads as {word}"
        if isinstance(self.value, Odd):
            return f"{shown}, which YAML reads as {self.value.reading}"
        if isinstance(self.value, str) and self.like_number:
            return f"{shown}, which YAML reads as text"
        return shown


def clipped(text: str) -> str:
    """The text on one line of at most 60 characters, with a mark for each invisible one."""
    flat = "".join(char if char.isprintable() else "\N{REPLACEMENT CHARACTER}" for char in " ".join(text.split()))
    return flat if len(flat) <= 60 else f"{flat[:57]}..."
