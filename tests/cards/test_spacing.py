"""Where contours stand, against the sagitta of a chord."""

from __future__ import annotations

import numpy as np
import pytest

from builder.cards.spacing import Gap, Levels, chosen, level_heights
from builder.sections.sliced import Body, level
from tests.cards.bodies import ball, block


def levels_of(body: Body, count: int) -> Levels:
    heights = level_heights(float(body.vertices[:, 2].max()), count)
    return Levels(heights, tuple(level(body, at) for at in heights))


def sagitta(gap: Gap, radius: float) -> float:
    """Of the chord between the two heights on a circle about height ``radius``: R (1 - cos(angle / 2)), textbook; for a
    chord across the middle of length h this is h2 / 8R to 1 % (CHECKS.md section 5).
    """
    low, high = (np.arcsin((at - radius) / radius) for at in (gap.low_mm, gap.high_mm))
    return float(radius * (1 - np.cos((high - low) / 2)))


def test_the_miss_on_a_ball_is_the_sagitta() -> None:
    """Between the caps, where a card lies on both sides."""
    _, gaps = chosen(levels_of(ball(80.0), 7), 7)
    assert len(gaps) == 8
    for gap in gaps[1:-1]:
        assert gap.most_mm == pytest.approx(sagitta(gap, 80.0), rel=0.06, abs=0.02)


def test_the_law_of_squares_holds_in_the_middle() -> None:
    """h2 / 8R: R = 80, about 25 mm apart misses about 1 mm (CHECKS.md section 5: 25.3 mm for 1 mm)."""
    levels = levels_of(ball(80.0), 7)
    _, gaps = chosen(levels, 7)
    middle = min(gaps, key=lambda gap: abs(gap.low_mm + gap.high_mm - 160.0))
    h = middle.high_mm - middle.low_mm
    assert middle.most_mm == pytest.approx(h**2 / 640.0, rel=0.08)


def test_cards_crowd_where_the_form_bends() -> None:
    """On a ball the gaps towards the poles are narrower than at the middle."""
    levels = levels_of(ball(80.0), 7)
    picked, _ = chosen(levels, 7)
    apart = np.diff(levels.heights_mm[list(picked)])
    assert apart[0] < apart[len(apart) // 2] > apart[-1]


def test_a_block_misses_nothing() -> None:
    """Straight from card to card: no more than half the 0.04 mm to which outlines 80 mm high are filled."""
    _, gaps = chosen(levels_of(block(), 5), 5)
    assert max(gap.most_mm for gap in gaps) < 0.021


def test_no_choice_is_better() -> None:
    """Every set of two cards on a ball, tried one by one, has no smaller sum of fourth powers of misses."""
    body = ball(40.0)
    heights = np.linspace(0.2, 79.8, 13)
    levels = Levels(heights, tuple(level(body, at) for at in heights))
    from builder.cards.spacing import _Misses

    misses = _Misses(levels, 12)

    def total(one: int, other: int) -> float:
        return sum(float((misses.misses(a, b) ** 4).sum()) for a, b in ((0, one), (one, other), (other, 12)))

    picked, _ = chosen(levels, 2)
    best = min(total(a, b) for a in range(1, 11) for b in range(a + 1, 12) if max(a, b - a, 12 - b) <= 10)
    assert total(*picked) == pytest.approx(best, rel=1e-9)
