"""Numbers as easy fractions, and the sentences of every measure."""

from __future__ import annotations

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.form.measure import Measure
from builder.form.measure_slugs import SLUGS
from builder.site.answers import questions
from builder.site.nearly import PARTS, nearly
from builder.words.words import Words, load_words


@pytest.fixture(scope="module")
def words() -> Words:
    return load_words()


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (2.5, "2½"),
        (2.54, "2½"),
        (2.58, "a little over 2½"),
        (2.43, "a little under 2½"),
        (1.0, "1"),
        (0.97, "a little under 1"),
        (3.02, "3"),
        (0.335, "⅓"),
        (0.86, "about 0.9"),
        (0.07, "0.07"),
        (12.34, "12.34"),
        (0.0, "0"),
    ],
)
def test_known_numbers(value: float, said: str, words: Words) -> None:
    """As one says them at the easel."""
    assert nearly(value, words) == said


@given(st.floats(0.2, 10.0))
def test_what_is_said_is_near(value: float) -> None:
    """Read back, the fraction is within a fourteenth of the number, and over or under as said."""
    said = nearly(value, load_words())
    if said.startswith("about"):
        assert abs(float(said.split()[-1]) - value) <= 0.05 + 1e-9
        return
    glyphs = {glyph: part for part, glyph in PARTS if glyph}
    text = said.split()[-1]
    fraction = glyphs.get(text[-1], 0.0)
    read = float(text.rstrip("".join(glyphs)) or 0) + fraction
    assert abs(read - value) <= 0.07 * read + 1e-9
    assert ("over" in said) <= (value > read) and ("under" in said) <= (value < read)


@pytest.mark.parametrize("slug", SLUGS)
def test_every_measure_has_its_sentences(slug: str, words: Words) -> None:
    """A question and an answer that are filled in whole and end as sentences do; the question gives no number away."""
    told = {name: 1.6 if name in NUMBERS or name.endswith("_deg") else f"<{name}>" for name in SLUGS[slug]}
    (asked,) = questions([Measure(1, slug, told)], words)
    assert asked.asks.endswith("?") and asked.answer.endswith(".") and "{" not in asked.asks + asked.answer
    assert "1.6" not in asked.asks and "2°" not in asked.asks
    used = {
        name.removesuffix("_nearly")
        for what in ("question", "answer")
        for _, name, _, _ in string.Formatter().parse(words.phrases[f"measure.{slug}.{what}"])
        if name
    }
    assert used <= set(SLUGS[slug])


NUMBERS = {"ratio", "share", "times", "heights", "here", "front"}


def test_no_sentence_is_left_over(words: Words) -> None:
    """Every sentence under ``measure`` belongs to a question that can be asked."""
    assert {key.split(".")[1] for key in words.phrases if key.startswith("measure.")} == set(SLUGS)
