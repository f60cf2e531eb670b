"""How hard a view is: between 0 and 10, and harder for every one of its causes.

The weights and scales are our own division; what is checked is which way each cause goes, and both ends.
"""

from collections.abc import Mapping
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.plates.difficulty import WEIGHTS, difficulty_facts
from builder.plates.fact_list import FACTS
from builder.plates.plate import FactValue

PLAIN: Mapping[str, FactValue] = {
    "bearing_deg": 0.0,
    "eye_level_deg": 0.0,
    "values_5_shapes": 12,
    "value_range": 6.0,
    "values_9_shares": (0.0, 0.0, 0.3, 0.0, 0.0, 0.7, 0.0, 0.0, 0.0),
    "terminator_to_height": 1.0,
    "cast_edge_to_height": 1.0,
}

HARDER: list[tuple[str, list[FactValue]]] = [
    ("eye_level_deg", [0.0, -10.0, 25.0, -40.0, 60.0]),
    ("bearing_deg", [90.0, 75.0, 60.0, 45.0]),
    ("unit_to_front", [1.0, 0.9, 0.7, 0.51]),
    ("values_5_shapes", [6, 12, 24, 48]),
    ("planes_middle_seen", [8, 16, 40]),
    ("negative_shapes", [1, 3, 12]),
    ("value_range", [8.0, 6.0, 3.0, 0.0]),
    ("terminator_to_height", [0.0, 1.0, 3.0]),
    ("cast_edge_to_height", [0.0, 1.0, 3.0]),
    ("values_9_shares", [(1.0, *[0.0] * 8), (0.5, 0.5, *[0.0] * 7), tuple([1 / 9] * 9)]),
]


@pytest.mark.parametrize(("name", "values"), HARDER, ids=lambda value: value if isinstance(value, str) else "")
def test_each_cause_makes_a_view_harder(name: str, values: list[FactValue]) -> None:
    made = [difficulty_facts({**PLAIN, name: value})["difficulty"] for value in values]
    assert all(one < two for one, two in pairwise(made)), made  # type: ignore[operator]


def test_the_ends_of_the_scale() -> None:
    """A level view straight from in front, of one flat light shape with no edge, and the opposite of all that."""
    simple = {
        **PLAIN,
        "values_5_shapes": 1,
        "value_range": 9.0,
        "values_9_shares": (*[0.0] * 8, 1.0),
        "terminator_to_height": 0.0,
        "cast_edge_to_height": 0.0,
    }
    assert difficulty_facts(simple)["difficulty"] == 0.0
    worst = {**PLAIN, "eye_level_deg": -60.0, "values_5_shapes": 100, "value_range": 0.0}
    worst |= {"values_9_shares": tuple([1 / 9] * 9), "terminator_to_height": 9.0}
    assert difficulty_facts(worst)["difficulty"] == pytest.approx(10.0)
    assert sum(WEIGHTS.values()) == pytest.approx(1.0)


def test_a_view_and_its_mirror_image_are_equally_hard() -> None:
    """Left or right, in front or behind, above or below makes no difference by itself."""
    one = difficulty_facts({**PLAIN, "bearing_deg": 30.0, "eye_level_deg": 20.0})
    for bearing, level in ((-30.0, 20.0), (150.0, 20.0), (30.0, -20.0)):
        assert difficulty_facts({**PLAIN, "bearing_deg": bearing, "eye_level_deg": level}) == pytest.approx(one)


@given(st.floats(-180, 180), st.floats(-90, 90), st.floats(0, 1e4), st.integers(0, 100_000), st.integers(1, 10**6))
def test_whatever_was_measured_the_facts_take_it(
    bearing: float, level: float, unit: float, seen: int, shapes: int
) -> None:
    measured = {**PLAIN, "bearing_deg": bearing, "eye_level_deg": level, "unit_to_front": unit}
    made = difficulty_facts({**measured, "planes_middle_seen": seen, "values_5_shapes": shapes})
    assert all(FACTS[name].takes(value) for name, value in made.items())
