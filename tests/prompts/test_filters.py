"""Numbers put into the words of the trade."""

import math
import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.prompts import filters
from builder.prompts.filters import FILTERS, Unfit

TOLD: list[tuple[str, tuple[object, ...], object]] = [
    ("percent", (0.0,), "0%"),
    ("percent", (0.004,), "under 1%"),
    ("percent", (0.384,), "38%"),
    ("percent", (0.995,), "over 99%"),
    ("percent", (1.0000001,), "100%"),
    ("part", (0.0,), "hardly any"),
    ("part", (0.05,), "a sliver"),
    ("part", (0.34,), "about a third"),
    ("part", (0.47,), "about half"),
    ("part", (0.74,), "about three quarters"),
    ("part", (0.99,), "almost all"),
    ("shares", ((0.26, 0.41, 0.33),), "26%, 41% and 33%"),
    ("shares", ([0.5],), "50%"),
    ("mm", (152.3,), "152 mm"),
    ("degrees", (-35.2,), "35°"),
    ("ratio", (0.75,), "3 wide to 4 high"),
    ("ratio", (1.0,), "1 wide to 1 high"),
    ("ratio", (1.618,), "8 wide to 5 high"),
    ("ratio", (0.05,), "1 wide to 20 high"),
    ("ratio", (30.0,), "30 wide to 1 high"),
    ("grey", (3.2,), "dark grey"),
    ("value", (3.2,), "value 3, dark grey"),
    ("value", (10.0,), "value 10, white"),
    ("count", (3, "shape"), "three shapes"),
    ("count", (1, "shape"), "one shape"),
    ("count", (0, "leaf", "leaves"), "no leaves"),
    ("count", (14,), "14"),
    ("time", (0.3,), "1 minute"),
    ("time", (7.4,), "7 minutes"),
    ("time", (23.0,), "25 minutes"),
    ("place", (0.1, 0.2), "upper left"),
    ("place", (0.5, 0.9), "lower middle"),
    ("place", (0.5, 0.5), "centre"),
    ("place", (0.9, 0.5), "middle right"),
    ("clock", (0.9, 0.5), "at 3 o'clock"),
    ("clock", (0.5, 0.9), "at 6 o'clock"),
    ("clock", (0.5, 0.0), "at 12 o'clock"),
    ("clock", (0.52, 0.48), "near the middle"),
    ("in_turn", (["a", "b"], 3), "b"),
    ("sentence", ("three shapes",), "Three shapes"),
    ("at", ("lower right",), "at the lower right"),
    ("at", ("inside",), "inside the form"),
    ("times", (0.02,), "hardly a tenth of"),
    ("times", (0.41,), "about two fifths of"),
    ("times", (1.01,), "equal to"),
    ("times", (1.08,), "a little more than"),
    ("times", (0.96,), "a little less than"),
    ("times", (2.0,), "twice"),
    ("times", (2.56,), "a little over 2 1/2 times"),
    ("times", (2.92,), "a little under 3 times"),
    ("times", (40.0,), "more than 12 times"),
    ("units", (2.5,), "2 1/2 units"),
    ("units", (0.99,), "1 unit"),
    ("units", (0.66,), "about two thirds of a unit"),
    ("units", (5.2,), "a little over 5 units"),
    ("lean", (0.4,), "plumb"),
    ("lean", (-89.0,), "level"),
    ("lean", (12.2,), "about 12 degrees off plumb, leaning right at the top"),
    ("lean", (-70.0,), "about 20 degrees off level, its left end the higher"),
    ("slope", (-7.0,), "about 7 degrees off level, its left end the higher"),
    ("slope", (9.6, "plumb"), "about 10 degrees off plumb, leaning right at the top"),
    ("slope", (1.0, "plumb"), "plumb"),
]


@pytest.mark.parametrize(("name", "given_to", "said"), TOLD, ids=lambda value: str(value)[:20])
def test_a_filter_tells_its_number(name: str, given_to: tuple[object, ...], said: object) -> None:
    assert FILTERS[name](*given_to) == said


def test_every_filter_is_tried() -> None:
    assert {name for name, _, _ in TOLD} == FILTERS.keys()


@given(st.floats(0.2, 5.0))
def test_a_ratio_is_near_the_proportion(value: float) -> None:
    """Terms run to 12, so no proportion between 1:5 and 5:1 is told more than 6 in a hundred off."""
    wide, high = map(int, re.findall(r"\d+", filters.ratio(value)))
    assert abs(wide / high / value - 1) < 0.06


@given(st.floats(0.95, 12.0))
def test_a_count_of_units_is_near_the_length(value: float) -> None:
    """Parts go down to quarters below four and to halves above: what is told plainly is within two in a hundred, what
    is told as over or under lies on that side, and nothing is told more than an eighth (a quarter from four on) off.
    """
    said = filters.units(value)
    whole, _, rest = re.sub(r"[^0-9/ ]", "", said).strip().partition(" ")
    told = Fraction(whole) + (Fraction(rest) if rest else 0)
    assert abs(float(told) - value) <= (0.126 if value < 4 else 0.251)
    if "over" in said or "under" in said:
        assert ("over" in said) == (value > told)
    else:
        assert abs(value / float(told) - 1) <= 0.0201
    assert said.endswith("unit") == (told == 1)


@given(st.floats(-90, 90))
def test_a_lean_names_the_side_and_the_nearer_line(angle: float) -> None:
    """A line that leans to the right at its top has its right end the higher; its angle is told off the nearer line."""
    said = filters.lean(angle)
    if "degrees" in said:
        assert ("right" in said) == (angle > 0)
        assert ("plumb" in said) == (abs(angle) <= 45)
        assert int(said.split()[1]) <= 45
    else:
        assert said == ("plumb" if abs(angle) < 45 else "level")


@given(st.integers(1, 8), st.integers(1, 8))
def test_a_simple_ratio_is_told_simply(wide: int, high: int) -> None:
    """A proportion of small numbers is told in its lowest terms, or in simpler ones within two in a hundred."""
    exact = Fraction(wide, high)
    told = list(map(int, re.findall(r"\d+", filters.ratio(wide / high))))
    assert sum(told) <= exact.numerator + exact.denominator
    assert told[0] / told[1] == pytest.approx(wide / high, rel=0.02)


@given(st.floats(0, 1), st.floats(0, 1))
def test_places_and_hours_agree(x: float, y: float) -> None:
    """A place told as left lies between 6 and 12 on the clock, one told as upper between 9 and 3."""
    place, clock = filters.place(x, y), filters.clock(x, y)
    if "o'clock" in clock:
        hour = int(clock.split()[1]) % 12
        assert ("left" in place) <= (hour >= 6 or hour == 0)
        assert ("right" in place) <= (0 <= hour <= 6)
        assert ("upper" in place) <= (hour >= 9 or hour <= 3)
        assert ("lower" in place) <= (3 <= hour <= 9)


@pytest.mark.parametrize(
    ("name", "given_to", "said"),
    [
        ("percent", (38,), "'percent' takes a number from 0 to 1, and this is 38"),
        ("percent", ("left",), "'percent' takes a number"),
        ("percent", (True,), "'percent' takes a number"),
        ("percent", (math.nan,), "'percent' takes a number"),
        ("value", (11,), "'value' takes a number from 0 to 10, and this is 11"),
        ("mm", (-1,), "'mm' takes a number of 0 or more, and this is -1"),
        ("ratio", (0,), "'ratio' takes a number of 0.0001 or more, and this is 0"),
        ("shares", ("ab",), "'shares' takes a row of shares"),
        ("in_turn", ("ab", 1), "'in_turn' takes a list"),
        ("in_turn", ([], 1), "'in_turn' takes a list"),
        ("lean", (91,), "'lean' takes a number from -90 to 90, and this is 91"),
        ("slope", (3, "north"), "'slope' is counted from 'level' or from 'plumb'"),
        ("units", (-1,), "'units' takes a number of 0 or more, and this is -1"),
    ],
    ids=lambda value: str(value)[:20],
)
def test_a_filter_refuses_what_it_cannot_tell(name: str, given_to: tuple[object, ...], said: str) -> None:
    with pytest.raises(Unfit) as refusal:
        FILTERS[name](*given_to)
    assert str(refusal.value) == said
