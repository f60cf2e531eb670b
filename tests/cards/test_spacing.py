"""Where contours stand, against the sagitta of a chord."""

from __future__ import annotations

import itertools
from functools import cache

import numpy as np
import pytest

from builder.arrays import Floats
from builder.cards.spacing import Gap, Levels, Spacing, cost_of, fewest, level_heights, spaced
from builder.sections.sliced import Body, level
from tests.cards.bodies import ball, block


def levels_of(body: Body, count: int) -> Levels:
    heights = level_heights(float(body.vertices[:, 2].max()), count)
    return Levels(heights, tuple(level(body, at) for at in heights))


def chosen(levels: Levels, count: int) -> tuple[tuple[int, ...], tuple[Gap, ...]]:
    found = spaced(levels, count).chosen(count)
    assert found is not None
    return found


@cache
def large_ball() -> Levels:
    return levels_of(ball(80.0), 7)


def sagitta(gap: Gap, radius: float) -> float:
    """Of the chord between the two heights on a circle about height ``radius``: R (1 - cos(angle / 2)), textbook; for a
    chord across the middle of length h this is h2 / 8R to 1 % (CHECKS.md section 5).
    """
    low, high = (np.arcsin((at - radius) / radius) for at in (gap.low_mm, gap.high_mm))
    return float(radius * (1 - np.cos((high - low) / 2)))


def test_the_miss_on_a_ball_is_the_sagitta() -> None:
    """Between the caps, where a card lies on both sides."""
    _, gaps = chosen(large_ball(), 7)
    assert len(gaps) == 8
    for gap in gaps[1:-1]:
        assert gap.most_mm == pytest.approx(sagitta(gap, 80.0), rel=0.06, abs=0.02)


def test_the_law_of_squares_holds_in_the_middle() -> None:
    """h2 / 8R: R = 80, about 25 mm apart misses about 1 mm (CHECKS.md section 5: 25.3 mm for 1 mm)."""
    levels = large_ball()
    _, gaps = chosen(levels, 7)
    middle = min(gaps, key=lambda gap: abs(gap.low_mm + gap.high_mm - 160.0))
    h = middle.high_mm - middle.low_mm
    assert middle.most_mm == pytest.approx(h**2 / 640.0, rel=0.08)


def test_cards_crowd_where_the_form_bends() -> None:
    """On a ball the gaps towards the poles are narrower than at the middle."""
    levels = large_ball()
    picked, _ = chosen(levels, 7)
    apart = np.diff(levels.heights_mm[list(picked)])
    assert apart[0] < apart[len(apart) // 2] > apart[-1]


def test_a_block_misses_nothing() -> None:
    """Straight from card to card: no more than half the 0.04 mm to which outlines 80 mm high are filled."""
    _, gaps = chosen(levels_of(block(), 5), 5)
    assert max(gap.most_mm for gap in gaps) < 0.021


def test_no_choice_is_better() -> None:
    """Of every set of three cards on a ball, tried one by one, none leaves less in all beyond 1 mm: the sum over all
    places of what each is missed by beyond it, by hand.
    """
    body = ball(80.0)
    heights = np.linspace(0.4, 159.6, 13)
    levels = Levels(heights, tuple(level(body, at) for at in heights))
    spacing = spaced(levels, 3)
    misses = {(a, b): spacing.measured.misses(a, b) for a in range(13) for b in range(a + 1, min(a + 9, 13))}

    def total(picked: tuple[int, ...]) -> float:
        gaps = itertools.pairwise((0, *picked, 12))
        return sum(float(np.clip(misses[gap] - 1.0, 0.0, None).sum()) for gap in gaps)

    found = spacing.chosen(3)
    assert found is not None
    sets = [one for one in itertools.combinations(range(1, 12), 3) if max(np.diff((0, *one, 12))) <= 8]
    best = min(total(one) for one in sets)
    assert best > 100.0
    # what small misses add settles ties: a thousandth of their squares, which are all under 40 mm here
    assert total(found[0]) == pytest.approx(best, rel=0.01)


def test_a_whole_number_of_steps_is_the_least_distance() -> None:
    """Cards may stand as close as is asked for: 276 mm with 6.5 mm from card to card has a level at every third of it,
    within the hundredth that makes the steps even, and never so few that a step more were needed.
    """
    heights = level_heights(276.0, 15, 6.5)
    step = heights[1] - heights[0]
    assert 6.5 / step <= 3.0 + 1e-9
    assert 6.5 / step == pytest.approx(3.0, rel=0.02)


def test_cards_that_cannot_be_seated_stand_elsewhere() -> None:
    """As many cards as before, none at the levels barred, and the sum that is made least is no smaller."""
    spacing = spaced(large_ball(), 5)
    found = spacing.chosen(5)
    assert found is not None
    barred = found[0][1:3]
    others = spacing.without(barred).chosen(5)
    assert others is not None
    assert len(others[0]) == 5
    assert not set(others[0]) & set(barred)
    assert cost_of(misses_of(spacing, others[0])) >= cost_of(misses_of(spacing, found[0]))


def misses_of(spacing: Spacing, picked: tuple[int, ...]) -> Floats:
    ends = itertools.pairwise((0, *picked, spacing.best.shape[1] - 1))
    return np.concatenate([spacing.measured.misses(low, high) for low, high in ends])


def test_how_many_cards_tell_a_ball() -> None:
    """Even angles a apart miss R (1 - cos(a / 2)): for 1 mm at R = 80 a is 18.1 degrees, so no fewer than 10 gaps of a
    half circle can do, 9 cards. With the number found no gap misses by more; with one card less, one does.
    """
    spacing = spaced(large_ball(), 7, most=20)
    tried = spacing.tried(1.0)
    most, all_told = fewest(tried, 0.95), fewest(tried, 1.0)
    assert most is not None and all_told is not None
    assert all_told >= 9
    assert most <= all_told
    enough, fewer = spacing.chosen(all_told), spacing.chosen(all_told - 1)
    assert enough is not None and fewer is not None
    assert max(gap.most_mm for gap in enough[1]) <= 1.0
    assert max(gap.most_mm for gap in fewer[1]) > 1.0


def test_cards_keep_apart_and_off_what_is_barred() -> None:
    """Never closer than asked, never where no card may be."""
    levels = large_ball()
    may = [not 60.0 < at < 100.0 for at in levels.heights_mm]
    found = spaced(levels, 7, 12.0, 20.0, may).chosen(6)
    assert found is not None
    at = levels.heights_mm[list(found[0])]
    assert np.diff(at).min() >= 12.0 - 1e-9
    assert at[0] >= 20.0
    assert not ((at > 60.0) & (at < 100.0)).any()
