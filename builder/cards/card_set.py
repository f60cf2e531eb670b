"""From a model to its whole set of cards, with everything that was measured of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from builder.cards.assembly import apart, crossing
from builder.cards.card import Card, Fit, Loose, Undercut, Unreached, Weak
from builder.cards.inner import inner_cards
from builder.cards.outer import outer_cards
from builder.cards.spacing import Gap, Levels, chosen, level_heights
from builder.cards.strength import weak_places
from builder.cards.undercut import undercuts
from builder.errors import ModelError, Problem
from builder.sections.sliced import Body, level
from builder.study.description import CardChoice

LEAST_GAP_MM = 5.0
"""No two cards closer: a finger or a tool works between. Common practice, no source."""
FIRST_BENT_MM, FIRST_THICK_MM = 6.0, 14.0
"""The first contour stands at least so high, over the feet of a thin and of a thick card."""
MISS_MM = 1.0
"""More than this between two cards is told."""


@dataclass(frozen=True, slots=True, eq=False)
class CardSet:
    """The cards of a study and what is true of them; lengths in mm of the clay model, ``scale`` clay over model."""

    choice: CardChoice
    height_mm: float
    scale: float
    profile_x_mm: float
    volume_mm3: float
    cards: tuple[Card, ...]
    gaps: tuple[Gap, ...]
    undercuts: tuple[Undercut, ...]
    unreached: tuple[Unreached, ...]
    weak: tuple[Weak, ...]
    loose: tuple[Loose, ...]
    fits: tuple[Fit, ...]

    def of(self, role: str) -> tuple[Card, ...]:
        """The cards of one role, from below."""
        return tuple(card for card in self.cards if card.role == role)

    @property
    def missed(self) -> tuple[Gap, ...]:
        """Gaps in which the form is missed by more than :data:`MISS_MM`."""
        return tuple(gap for gap in self.gaps if gap.most_mm > MISS_MM)


def card_set(body: Body, mirror_x_mm: float | None, choice: CardChoice, where: str) -> CardSet:
    """All cards of a body that stands on z = 0, its true size; ``mirror_x_mm`` its symmetry plane where it has one.

    Raises :class:`~builder.errors.ModelError` where there is nothing to cut at the base or in the middle.
    """
    height = float(body.vertices[:, 2].max())
    scale = (choice.height_mm or height) / height
    clay = Body(body.vertices * scale, body.faces)
    tall = height * scale
    heights = level_heights(tall, choice.count)
    levels = Levels(heights, tuple(level(clay, at) for at in heights))
    if all(material.is_empty for material in levels.material[1:-1]) or levels.material[0].is_empty:
        raise ModelError(Problem(where, "no card can be cut of this model", "a card needs a closed form", "close it"))
    first = FIRST_BENT_MM if choice.card_mm <= 0.6 else FIRST_THICK_MM
    least = max(LEAST_GAP_MM, 2 * choice.card_mm)
    picked, gaps = chosen(levels, choice.count, least, first)
    at = [float(heights[n]) for n in picked]
    x = round(_profile_x(levels, picked, (mirror_x_mm or 0.0) * scale), 2) + 0.0
    ends = (0, *picked)
    between = [levels.material[low + 1 : high] for low, high in zip(ends, (*picked, len(heights) - 1), strict=True)]
    overhangs = undercuts([levels.material[n] for n in ends], between)
    volume = float(np.trapezoid([material.area for material in levels.material], heights))
    unreached: tuple[Unreached, ...] = ()
    loose: tuple[Loose, ...] = ()
    fits: tuple[Fit, ...] = ()
    if choice.kind == "outer":
        outer = outer_cards(clay, at, x, choice)
        cards: tuple[Card, ...] = (outer.footprint, *outer.profiles, *outer.contours)
        unreached = outer.unreached
    else:
        inner = inner_cards(clay, at, x, choice)
        cards = (inner.footprint, *inner.profiles, *inner.feet, *inner.contours)
        loose = inner.loose
        fits = tuple(
            fit
            for card in (*inner.feet, *inner.contours)
            for profile in inner.profiles
            if (fit := crossing(card, profile, choice.card_mm)) is not None
        )
        assert apart(cards, choice.card_mm), "cards stand apart"
    weak = tuple(
        place
        for card in cards
        if card.role != "footprint"
        for place in weak_places(card.name, card.whole, choice.bridge_mm)
    )
    return CardSet(choice, tall, scale, x, volume, cards, gaps, overhangs, unreached, weak, loose, fits)


def _profile_x(levels: Levels, picked: tuple[int, ...], x_mm: float) -> float:
    """The plane of the profile: ``x_mm`` if it crosses the largest part of every card, else the x that crosses most."""
    largest = [max(levels.material[n].geoms, key=lambda part: part.area, default=None) for n in (0, *picked)]
    parts = [part for part in largest if part is not None]

    def crossed(x: float) -> int:
        return sum(1 for part in parts if part.bounds[0] + 1.0 < x < part.bounds[2] - 1.0)

    if crossed(x_mm) == len(parts):
        return x_mm
    low, _, high, _ = shapely.total_bounds(np.array(parts))
    tried: list[float] = [x_mm, *np.linspace(low, high, 41)[1:-1].tolist()]
    return max(tried, key=lambda x: (crossed(x), -abs(x - x_mm)))
