"""The words of pages and sheets: all there, all used, and countable."""

from __future__ import annotations

import re

import pytest

from builder.code import ROOT
from builder.errors import SiteError
from builder.plates.fact_list import FACTS
from builder.words.words import Words, load_words, number

SOURCES = [*ROOT.rglob("*.py"), *ROOT.glob("site/templates/*.jinja")]


def test_unknown_language_names_those_there_are() -> None:
    """A language without a file is refused with the list."""
    with pytest.raises(SiteError) as caught:
        load_words("xx")
    assert str(caught.value) == "language: there are no words for 'xx'; use one of: en."


def test_every_phrase_asked_for_exists(words: Words) -> None:
    """Whole keys in templates and code are phrases; keys put together begin like some phrase."""
    for source in SOURCES:
        text = source.read_text(encoding="utf-8")
        for start, key in re.findall(r"""\b(?:w|words)(\.count)?\(\s*f?["']([a-z_]+\.[a-z_.]*)""", text):
            wanted = f"{key}.one" if start else key
            assert wanted in words.phrases or any(name.startswith(key) for name in words.phrases), (
                f"{source.name}: {key}"
            )


def test_every_phrase_is_used(words: Words) -> None:
    """No phrase lies about: each is named somewhere, whole or by the part it is put together from.

    (The sentences of the measures go by slugs, which the measures name.)
    """
    text = "\n".join(source.read_text(encoding="utf-8") for source in SOURCES)
    unused = []
    for key in (key for key in words.phrases if not key.startswith("measure.")):
        stems = {key, key.removesuffix(".one").removesuffix(".other"), key.rsplit(".", 1)[0] + "."}
        pieces = key.split("_")
        stems |= {"_".join(pieces[:count]) + "_" for count in range(1, len(pieces))}
        if not any(f'"{stem}' in text for stem in stems):
            unused.append(key)
    assert unused == []


def test_facts_with_a_phrase_are_facts(words: Words) -> None:
    """Every row of the table of measurements is something the plates measure."""
    assert [name for name in words.under("facts") if name not in FACTS] == []


def test_counting(words: Words) -> None:
    """One is one; none, several and halves are not."""
    assert [words.count("count.views", n) for n in (0, 1, 2)] == ["0 views", "1 view", "2 views"]
    assert words.count("lightings.strength_below", 0.5) == "0.5 stops below the key"


@pytest.mark.parametrize(
    ("value", "places", "text"),
    [(3.0, 1, "3"), (2.55, 1, "2.5"), (-1.25, 2, "−1.25"), (-0.01, 1, "0"), (100.0, 0, "100")],
)
def test_numbers(value: float, places: int, text: str) -> None:
    """No trailing zeros, a true minus sign, no minus nought."""
    assert number(value, places) == text
