"""The words of everything that is made for people, one file a language."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from typing import Any

import yaml

from builder.errors import Problem, SiteError

FIRST_LANGUAGE = "en"


@dataclass(frozen=True, slots=True)
class Words:
    """Phrases by dotted key, each with ``{name}`` places; ``language`` is the code of their file."""

    language: str
    phrases: Mapping[str, str]
    lists: Mapping[str, tuple[str, ...]]

    def __call__(self, key: str, **values: object) -> str:
        """The phrase of that key, filled in. A missing key is a defect of ours (``KeyError``)."""
        return self.phrases[key].format(**values)

    def count(self, key: str, n: float) -> str:
        """The phrase for ``n`` things: the form ``one`` when ``n`` is 1, else ``other``; ``{n}`` is the number."""
        return self(f"{key}.{'one' if n == 1 else 'other'}", n=number(n))

    def of(self, *names: str) -> Mapping[str, str]:
        """The phrases whose keys begin with one of these names: what a result that is worded with them depends on."""
        starts = tuple(f"{name}." for name in names)
        return {key: text for key, text in self.phrases.items() if key.startswith(starts)}

    def under(self, key: str) -> tuple[str, ...]:
        """Names of the phrases directly under a key, in the order of the file."""
        start = f"{key}."
        return tuple(name[len(start) :] for name in self.phrases if name.startswith(start))


def number(value: float, places: int = 1) -> str:
    """A number for reading: at most ``places`` decimals, none if they are zero, with a true minus sign."""
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return text.replace("-", "" if float(text) == 0 else "−")


def percent(share: float) -> str:
    """A share 0..1 for reading, in whole per cent kept on one line; what is there but rounds to nothing is < 1."""
    whole = round(100.0 * share)
    return f"{whole}\u00a0%" if whole or share == 0.0 else "<\u00a01\u00a0%"


def languages() -> tuple[str, ...]:
    """Codes of the languages there are words for, sorted."""
    folder = resources.files("builder.words")
    return tuple(sorted(entry.name[:-4] for entry in folder.iterdir() if entry.name.endswith(".yml")))


def load_words(language: str = FIRST_LANGUAGE) -> Words:
    """The words of a language; what its file leaves out stays English.

    Raises SiteError when there is no file of that language.
    """
    known = languages()
    if language not in known:
        raise SiteError(Problem("language", f"there are no words for '{language}'", f"use one of: {', '.join(known)}"))
    phrases: dict[str, str] = {}
    lists: dict[str, tuple[str, ...]] = {}
    for code in dict.fromkeys((FIRST_LANGUAGE, language)):
        text = (resources.files("builder.words") / f"{code}.yml").read_text(encoding="utf-8")
        _flatten(yaml.safe_load(text), "", phrases, lists)
    return Words(language, phrases, lists)


def _flatten(node: Mapping[str, Any], start: str, phrases: dict[str, str], lists: dict[str, tuple[str, ...]]) -> None:
    for name, value in node.items():
        key = f"{start}{name}"
        if isinstance(value, Mapping):
            _flatten(value, f"{key}.", phrases, lists)
        elif isinstance(value, list):
            lists[key] = tuple(str(item) for item in value)
        else:
            phrases[key] = str(value)
