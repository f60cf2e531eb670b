"""What is wrong with one study file, gathered while reading it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from builder.errors import Problem


@dataclass(slots=True)
class Report:
    """Collects problems of one file; ``file`` is how the tutor knows it, line 0 the file as a whole."""

    file: str
    _found: list[tuple[int, Problem]] = field(default_factory=list)

    def add(self, line: int, found: str, allowed: str = "", do: str = "") -> None:
        """Note a problem; no part ends in a full stop."""
        where = f"{self.file}:{line}" if line else self.file
        self._found.append((line, Problem(where, found, allowed, do)))

    def problems(self) -> tuple[Problem, ...]:
        """Every problem once, by line; those of one line in the order in which they were found."""
        ordered = sorted(self._found, key=lambda entry: entry[0])
        return tuple(dict.fromkeys(problem for _, problem in ordered))


def listed(words: Iterable[str]) -> str:
    """``a, b and c`` with each word as code."""
    *first, last = [f"`{word}`" for word in words]
    return f"{', '.join(first)} and {last}" if first else last


def any_of(words: Iterable[str]) -> str:
    """``a, b or c`` with each word as code."""
    *first, last = [f"`{word}`" for word in words]
    return f"{', '.join(first)} or {last}" if first else last
