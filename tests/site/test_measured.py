"""The table of measurements: what it tells, in which words and units."""

from __future__ import annotations

import pytest

from builder.plates.fact_list import FACTS, GROUPS
from builder.plates.plate import FactValue
from builder.site.measured import amount, fact_groups
from builder.words.words import Words

SPECIMEN = {name: fact.specimen for name, fact in FACTS.items()}


def test_all_that_has_a_phrase_is_told_once_in_its_group(words: Words) -> None:
    """Groups in the order of the list, rows in the order of the phrases, none left out and none empty."""
    groups = fact_groups(SPECIMEN, words)
    told = words.under("facts")
    expected = [[words(f"facts.{name}") for name in told if FACTS[name] in group.facts] for group in GROUPS]
    assert [[row.label for row in group.rows] for group in groups] == [labels for labels in expected if labels]
    assert sum(len(group.rows) for group in groups) == len(told)
    assert [group.title for group in groups] == [words(f"fact_groups.{name}") for name in words.under("fact_groups")]


def test_what_was_not_measured_is_not_told(words: Words) -> None:
    """A fact that a view lacks has no row, and a group without rows no title."""
    groups = fact_groups({"fill_to_key_stops": -2.0, "light_share": 0.4}, words)
    assert [(group.title, [row.amount for row in group.rows]) for group in groups] == [
        (words("fact_groups.light"), ["−2\u00a0stops"]),
        (words("fact_groups.families"), ["40\u00a0%"]),
    ]
    assert fact_groups({}, words) == ()


def test_every_word_a_view_can_have_is_a_phrase(words: Words) -> None:
    """Facts in words that are told have a phrase for each of their words, and there is no phrase for another."""
    wanted = [f"{name}_{word}" for name in words.under("facts") for word in FACTS[name].words]
    assert sorted(words.under("fact_words")) == sorted(wanted)
    assert not [name for name in words.under("facts") if FACTS[name].shape == "word" and not FACTS[name].words]


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("light_share", 0.416, "42 %"),
        ("light_share", 0.002, "< 1 %"),
        ("values_3_shares", (0.2, 0.45, 0.35), "20 % · 45 % · 35 %"),
        ("key_from_eye_deg", 74.6, "75°"),
        ("key_elevation_deg", -20.2, "−20°"),
        ("silhouette_height_mm", 301.2, "301 mm"),
        ("subject_left_px", 210, "210 px"),
        ("width_to_height", 0.784, "0.78 : 1"),
        ("subject_mean_value", 5.64, "5.6"),
        ("light_to_shadow_stops", 3.14, "3.1 stops"),
        ("light_to_shadow_stops", 1.04, "1 stop"),
        ("ambient_to_key_stops", -4.0, "−4 stops"),
        ("values_2_shapes", 14, "14"),
        ("picture_key", "middle", "middle"),
    ],
)
def test_amounts_are_read_with_their_units(words: Words, name: str, value: FactValue, said: str) -> None:
    """Rounded as a draughtsman needs it, with the unit on the same line."""
    assert amount(FACTS[name], value, words) == said.replace(" ", "\u00a0").replace("\u00a0·\u00a0", " · ")
