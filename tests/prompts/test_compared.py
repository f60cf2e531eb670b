from __future__ import annotations

import pytest

from builder.plates.plate import FactValue
from builder.prompts.compared import compared_words


@pytest.mark.parametrize(
    ("facts", "word", "said"),
    [
        (
            {"difficulty_foreshortening": 5.0, "difficulty_shapes": 5.0, "difficulty_values": 2.0},
            "hardest",
            "foreshortening",
        ),
        ({"difficulty_foreshortening": 1.0, "difficulty_shapes": 4.0, "difficulty_values": 4.0}, "hardest", "shapes"),
        ({"difficulty_foreshortening": 1.0, "difficulty_shapes": 2.0, "difficulty_values": 2.1}, "hardest", "values"),
        ({"cast_edge_to_height": 1.6, "terminator_to_height": 1.0}, "shadow_edges", "thrown"),
        ({"cast_edge_to_height": 1.0, "terminator_to_height": 1.6}, "shadow_edges", "turning"),
        ({"cast_edge_to_height": 1.5, "terminator_to_height": 1.0}, "shadow_edges", "both"),
        ({"cast_edge_to_height": 0.1, "terminator_to_height": 0.1}, "shadow_edges", "few"),
        ({"around_value": 4.2, "subject_mean_value": 5.0}, "around_is", "darker"),
        ({"around_value": 5.8, "subject_mean_value": 5.0}, "around_is", "lighter"),
        ({"around_value": 5.7, "subject_mean_value": 5.0}, "around_is", "alike"),
        ({"longest_side_off_plumb_deg": -5.0}, "longest_side", "slanting"),
        ({"longest_side_off_plumb_deg": 3.9}, "longest_side", "along"),
        ({"longest_side_off_plumb_deg": -86.5}, "longest_side", "along"),
        ({"odd_proportion": 1.2, "odd_proportion_front": 1.1}, "odd_way", "more"),
        ({"odd_proportion": 0.9, "odd_proportion_front": 1.1}, "odd_way", "less"),
    ],
)
def test_words_follow_from_the_numbers(facts: dict[str, FactValue], word: str, said: str) -> None:
    """Worked by hand from each word's rule as the page on one's own prompts tells it."""
    assert compared_words(facts)[word] == said


@pytest.mark.parametrize(
    ("cast", "core", "share", "said"),
    [(2.0, 3.0, 0.1, "thrown"), (3.0, 2.0, 0.1, "own"), (2.9, 3.0, 0.1, "alike"), (2.0, 3.0, 0.02, "")],
)
def test_shadows_are_compared_where_both_are_large(cast: float, core: float, share: float, said: str) -> None:
    facts = {"family_cast_value": cast, "family_core_value": core, "family_cast_share": share, "family_core_share": 0.2}
    assert compared_words(facts)["darker_shadow"] == said


def test_what_is_not_there_is_not_told() -> None:
    """Empty where some views lack it; no word at all where every view has it, so that a template is told so."""
    assert compared_words({}) == {"darker_shadow": "", "longest_side": "", "odd_way": ""}
