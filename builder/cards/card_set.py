"""From a model to its whole set of cards, with everything that was measured of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon

from builder.arrays import Floats
from builder.cards.assembly import apart, crossing
from builder.cards.balance import Balance, balance_of
from builder.cards.card import Card, Fit, Left, Loose, Undercut, Unreached
from builder.cards.feet import BENDS_MM, SHY_MM, foot_height
from builder.cards.inner import inner_cards
from builder.cards.outer import outer_cards
from builder.cards.round_trip import Returned, returned
from builder.cards.seats import PLAY_MM
from builder.cards.spacing import MISS_MM, Enough, Gap, Levels, Spacing, fewest, level_heights, spaced
from builder.cards.stands import ANGLE_MM
from builder.cards.undercut import undercuts
from builder.errors import ModelError, Problem
from builder.sections.sliced import Body, level
from builder.study.description import CardChoice, Landmark

LEAST_GAP_MM = 5.0
"""No two cards closer: a finger or a tool works between. Common practice, no source."""
FIRST_BENT_MM, FIRST_THICK_MM = 6.0, 14.0
"""The first contour stands at least so high, over the feet of a thin and of a thick card."""
TRIES = 3
"""Other heights are chosen so often for contours that no part can be seated of."""
MOST_CARDS = 60
"""As many are tried to find how many would be enough."""
SHARES = (0.95, 1.0)
"""Of all places: how many cards keep these is told."""


@dataclass(frozen=True, slots=True, eq=False)
class CardSet:
    """The cards of a study and what is true of them; lengths in mm of the clay model, ``scale`` clay over model.

    ``share``: of all places of the form, those missed by no more than :data:`MISS_MM`; ``enough``: how many cards would
    do for each of :data:`SHARES`, ``None`` where not even ``tried`` cards do, the best that there is room for;
    ``returned``: what is missed of the form joined from these cards, and from as many as are enough; empty where that
    was not asked.
    """

    choice: CardChoice
    height_mm: float
    scale: float
    profile_x_mm: float
    volume_mm3: float
    cards: tuple[Card, ...]
    gaps: tuple[Gap, ...]
    undercuts: tuple[Undercut, ...]
    unreached: tuple[Unreached, ...]
    left: tuple[Left, ...]
    loose: tuple[Loose, ...]
    fits: tuple[Fit, ...]
    share: float
    enough: tuple[int | None, ...]
    tried: Enough
    balance: Balance
    returned: tuple[Returned, ...]
    landmarks: tuple[Landmark, ...]

    def of(self, role: str) -> tuple[Card, ...]:
        """The cards of one role, from below."""
        return tuple(card for card in self.cards if card.role == role)

    @property
    def board_mm(self) -> tuple[float, float]:
        """Width and depth of the board that all cards stand over, with templates and their stands."""
        plans = []
        for card in self.cards:
            x0, y0, x1, y1 = card.whole.bounds
            at = card.place_mm
            bent = ANGLE_MM if card.role == "stand" else 0.0
            plans.append(
                {"level": (x0, y0, x1, y1), "upright": (at, x0, at, x1), "across": (x0, at - bent, x1, at + bent)}[
                    card.plane
                ]
            )
        low, high = np.min(plans, axis=0), np.max(plans, axis=0)
        return float(high[2] - low[0]), float(high[3] - low[1])

    @property
    def missed(self) -> tuple[Gap, ...]:
        """Gaps in which the form is missed by more than :data:`MISS_MM`."""
        return tuple(gap for gap in self.gaps if gap.most_mm > MISS_MM)


def card_set(
    body: Body,
    mirror_x_mm: float | None,
    choice: CardChoice,
    where: str,
    landmarks: Sequence[Landmark] = (),
    *,
    joined: bool = True,
) -> CardSet:
    """All cards of a body that stands on z = 0, its true size; ``mirror_x_mm`` its symmetry plane where it has one.

    With ``joined`` the form is also joined again from its contours and compared, which takes longer than all the rest.
    As many contours as asked for, or as there is room for. Raises :class:`~builder.errors.ModelError` where there is
    nothing to cut at the base or in the middle.
    """
    height = float(body.vertices[:, 2].max())
    scale = (choice.height_mm or height) / height
    clay = Body(body.vertices * scale, body.faces)
    tall = height * scale
    heights = level_heights(tall, choice.count, _least_gap(choice))
    levels = Levels(heights, tuple(level(clay, at) for at in heights))
    may = [_room_for_card(material, choice) for material in levels.material]
    spacing = spaced(levels, choice.count, _least_gap(choice), _first(choice), may, min(MOST_CARDS, len(heights) // 2))
    made = _made(clay, levels, spacing, choice, (mirror_x_mm or 0.0) * scale, where)
    picked = made.picked
    ends = (0, *picked)
    between = [levels.material[low + 1 : high] for low, high in zip(ends, (*picked, len(heights) - 1), strict=True)]
    tried = made.spacing.tried(MISS_MM)
    return CardSet(
        choice=choice,
        height_mm=tall,
        scale=scale,
        profile_x_mm=made.x_mm,
        volume_mm3=_volume(levels, tall),
        cards=made.cards,
        gaps=spacing.gaps(picked),
        undercuts=undercuts([levels.material[n] for n in ends], between),
        unreached=made.unreached,
        left=made.left,
        loose=made.loose,
        fits=made.fits,
        share=spacing.share(picked, MISS_MM),
        enough=tuple(fewest(tried, wanted) for wanted in SHARES),
        tried=max(tried, key=lambda one: (one.share, -one.cards)),
        balance=balance_of(made.cards, made.rests, clay, made.cards[0].whole, choice.card_mm),
        returned=returned(clay, levels, made.spacing, picked, made.x_mm) if joined else (),
        landmarks=tuple(Landmark(mark.name, _scaled(mark.point_mm, scale)) for mark in landmarks),
    )


def _volume(levels: Levels, tall_mm: float) -> float:
    """What the levels enclose, by the trapezium rule, with the hairs below the lowest and above the highest."""
    areas = [material.area for material in levels.material]
    inside = float(np.trapezoid(areas, levels.heights_mm))
    return inside + float(areas[0] * levels.heights_mm[0] + areas[-1] * (tall_mm - levels.heights_mm[-1]))


def _scaled(point: tuple[float, float, float], scale: float) -> tuple[float, float, float]:
    x, y, z = point
    return x * scale, y * scale, z * scale


@dataclass(frozen=True, slots=True, eq=False)
class _Made:
    """The cards cut at the levels picked, out of those of a spacing; ``rests``: places (n, 2) on which they stand."""

    picked: tuple[int, ...]
    spacing: Spacing
    x_mm: float
    cards: tuple[Card, ...]
    fits: tuple[Fit, ...]
    rests: Floats
    unreached: tuple[Unreached, ...] = ()
    left: tuple[Left, ...] = ()
    loose: tuple[Loose, ...] = ()


def _made(clay: Body, levels: Levels, spacing: Spacing, choice: CardChoice, mirror_x_mm: float, where: str) -> _Made:
    """The cards at the best levels. Where no part of a contour can be seated, others are chosen; in the end such are
    left out.
    """
    tries = TRIES
    picked = () if levels.material[0].is_empty else _picked(spacing, choice)
    while picked:
        at = [float(levels.heights_mm[n]) for n in picked]
        x = round(_profile_x(levels, picked, mirror_x_mm), 2) + 0.0
        if choice.kind == "outer":
            outer = outer_cards(clay, at, x, choice)
            combs = [card for card in outer.stands if card.plane == "across"]
            fits = (*_fits(outer.contours, combs, choice), *_fits(combs, outer.stands, choice))
            cards = (outer.footprint, *outer.profiles, *outer.stands, *outer.contours)
            return _Made(picked, spacing, x, cards, fits, np.zeros((0, 2)), unreached=outer.unreached)
        inner = inner_cards(clay, at, x, choice)
        there = {card.place_mm for card in inner.contours}
        if len(there) == len(picked):
            cards = (inner.footprint, *inner.profiles, *inner.feet, *inner.contours)
            assert apart(cards, choice.card_mm), "cards stand apart"
            fits = _fits([*inner.feet, *inner.contours], inner.profiles, choice)
            return _Made(picked, spacing, x, cards, fits, inner.rests, left=inner.left, loose=inner.loose)
        gone = [height for height in at if height not in there]
        # where one cannot sit, its near neighbours cannot either
        near = np.abs(levels.heights_mm[1:-1, None] - gone).min(axis=1) < choice.bridge_mm / 2
        spacing = spacing.without((np.flatnonzero(near) + 1).tolist())
        tries -= 1
        seated = tuple(n for n, height in zip(picked, at, strict=True) if height in there)
        picked = _picked(spacing, choice) if tries else seated
    raise ModelError(Problem(where, "no card can be cut of this model", "a card needs a closed form", "close it"))


def _picked(spacing: Spacing, choice: CardChoice) -> tuple[int, ...]:
    """The levels for as many contours as asked for, or as there is room for."""
    found = (spacing.chosen(count) for count in range(choice.count, 0, -1))
    return next((one[0] for one in found if one is not None), ())


def _fits(cards: Sequence[Card], others: Sequence[Card], choice: CardChoice) -> tuple[Fit, ...]:
    pairs = [(card, other) for card in cards for other in others if card.plane != other.plane]
    return tuple(fit for card, other in pairs if (fit := crossing(card, other, choice.card_mm)) is not None)


def _room_for_card(material: MultiPolygon, choice: CardChoice) -> bool:
    """Whether a card can be cut at a level: an inner one needs two bridges, for its slot and the card behind it."""
    if choice.kind == "outer":
        return not material.is_empty
    return not shapely.buffer(material, -(choice.bridge_mm + 2 * PLAY_MM + choice.cover_mm)).is_empty


def _least_gap(choice: CardChoice) -> float:
    """The least from one contour to the next: between two slots of the profile a bridge is left."""
    return max(LEAST_GAP_MM, 2 * choice.card_mm, choice.bridge_mm + choice.card_mm + 2 * PLAY_MM)


def _first(choice: CardChoice) -> float:
    """The least height of the first contour: a bridge over the board, or two over the feet's slots."""
    if choice.card_mm <= BENDS_MM:
        return max(FIRST_BENT_MM, choice.bridge_mm + choice.card_mm + 2 * PLAY_MM)
    return max(FIRST_THICK_MM, choice.card_mm + foot_height(choice.bridge_mm) + SHY_MM)


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
