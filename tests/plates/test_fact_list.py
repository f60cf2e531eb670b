"""The one list of facts: names, units, ranges and specimens hang together."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.plates.fact import DIGITS, Fact, published
from builder.plates.fact_list import FACTS, GROUPS, STEPS

SUFFIXES = {
    "_mm": "mm",
    "_px": "px",
    "_deg": "deg",
    "_stops": "stops",
    "_share": "share",
    "_shares": "share",
    "_value": "value",
    "_to_height": "ratio",
    "_shapes": "count",
    "_seen": "count",
    "_sides": "count",
    "_count": "count",
    "_planes": "count",
    "_squares": "count",
    "_rows": "count",
    "_hidden": "count",
}
"""What the end of a name says of the unit."""


@pytest.mark.parametrize("fact", FACTS.values(), ids=lambda fact: fact.name)
def test_name_and_unit_agree(fact: Fact) -> None:
    """A name that ends like a unit has that unit, and lengths, angles, pixels and stops have names that end so."""
    ends = [unit for suffix, unit in SUFFIXES.items() if fact.name.endswith(suffix)]
    if fact.name.startswith("difficulty"):  # named after its causes, not after what is counted
        assert fact.unit == "none"
    elif fact.name == "mm_per_px":
        assert fact.unit == "mm/px"
    else:
        assert ends in ([fact.unit], []) and (ends or fact.unit not in {"mm", "px", "deg", "stops", "count"})


@pytest.mark.parametrize("fact", FACTS.values(), ids=lambda fact: fact.name)
def test_every_fact_is_whole(fact: Fact) -> None:
    """A specimen that the fact takes, bounds in order that rounding keeps, and a meaning that reads in a table."""
    assert fact.takes(fact.specimen)
    assert fact.low < fact.high and (published(float(fact.low)), published(float(fact.high))) == (fact.low, fact.high)
    assert (fact.parts > 0) == (fact.shape == "shares")
    assert not fact.words or fact.shape == "word"
    assert (fact.unit == "none") >= (fact.shape in {"word", "text", "yes-no"})
    if fact.unit == "share":
        assert (fact.low, fact.high) == (0, 1)
    if fact.unit == "value":
        assert (fact.low, fact.high) == (0, 10)
    for text in (fact.meaning, *([fact.missing] if fact.optional else [])):
        assert text[0].islower() and text[-1] not in ".,;:" and "|" not in text and "\n" not in text


def test_names_are_given_once() -> None:
    """No two facts share a name, and names are plain words for templates and programs alike."""
    names = [fact.name for group in GROUPS for fact in group.facts]
    assert len(names) == len(set(names)) == len(FACTS)
    assert all(re.fullmatch(r"[a-z][a-z0-9_]*", name) for name in names)


def test_rows_have_a_share_for_each_step() -> None:
    """The value studies of every step count have their rows."""
    for n in STEPS:
        assert FACTS[f"values_{n}_shares"].parts == FACTS[f"values_{n}_picture_shares"].parts == n


@pytest.mark.parametrize(
    ("name", "good", "bad"),
    [
        ("light_share", [0.0, 1.0, 0.5, 1.0000000001, -0.0], [1.0001, -0.1, math.nan, math.inf, "half", True, (0.5,)]),
        ("number", [1, 999], [0, 1000, 1.0, True, "1"]),
        ("key_side", ["left", "behind"], ["above", "", 1, False]),
        ("lighting", ["side-lamp"], ["", 3]),
        ("family_rule_holds", [True, False], [0, 1, "yes", 1.0]),
        ("values_2_shares", [(0.25, 0.75), (0.0, 1.0)], [(0.5,), (0.5, 0.6), (-0.5, 1.5), 0.5, (0.2, 0.3, 0.5), ()]),
        ("light_to_shadow_stops", [-3.0, 0.0, 2], [201.0, math.nan, "2"]),
    ],
)  # fmt: skip
def test_a_fact_takes_its_own_values_and_no_others(name: str, good: list, bad: list) -> None:
    """Type, bounds, words and length of a row are all looked at."""
    assert [value for value in good if not FACTS[name].takes(value)] == []
    assert [value for value in bad if FACTS[name].takes(value)] == []


@given(st.floats(-1e12, 1e12))
def test_published_numbers_are_short_and_near(number: float) -> None:
    """Six significant digits: at most half a unit of the sixth off, the same when rounded again, and never -0."""
    short = published(number)
    assert isinstance(short, float) and published(short) == short
    assert abs(short - number) <= abs(number) * 0.5 * 10.0 ** (1 - DIGITS)
    assert math.copysign(1.0, short) == 1.0 or short < 0.0
    assert len(repr(short).replace("-", "").replace(".", "").strip("0").partition("e")[0]) <= DIGITS


def test_what_is_whole_or_words_is_published_as_it_is() -> None:
    """Whole numbers, words, yes and no stay; each share of a row is rounded."""
    for value in (12, 1_234_567, "left", True):
        assert published(value) == value and type(published(value)) is type(value)
    assert published((1 / 3, 2 / 3)) == (0.333333, 0.666667)
