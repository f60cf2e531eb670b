"""Whether frames stand, from statics: the middle of the weight over the polygon of the feet."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import trimesh
from shapely import MultiPolygon, box

from builder.arrays import Floats
from builder.cards.balance import centre_of_cards, centre_of_volume, standing
from builder.cards.card import Card
from builder.sections.sliced import Body, level
from tests.cards.bodies import block, cards_of, cone
from tests.cards.bodies import standing as on_board


def leaning(shift_mm: float) -> Body:
    """A block 60 x 40 x 80 whose top stands ``shift_mm`` in front of its base."""
    mesh = trimesh.creation.box([60, 40, 80]).subdivide().subdivide()
    body = on_board(mesh)
    points = (
        body.vertices
        - np.c_[np.zeros((len(body.vertices), 1)), body.vertices[:, 2:] * shift_mm / 80.0, 0 * body.vertices[:, 2:]]
    )
    return Body(points, body.faces)


@pytest.mark.parametrize("shift_mm", [0.0, 30.0, 39.0, 41.0, 60.0])
def test_a_leaning_block_falls_once_its_middle_leaves_its_base(shift_mm: float) -> None:
    """Its middle is half the shift in front, its base 20 mm deep before that of the base: up to 40 mm (textbook)."""
    body = leaning(shift_mm)
    middle = centre_of_volume(body)
    assert middle == pytest.approx([0.0, -shift_mm / 2, 40.0], abs=1e-9)
    stands = standing(middle, shapely.get_coordinates(level(body, 0.05)))
    assert stands is not None
    assert stands.within_mm == pytest.approx(20.0 - shift_mm / 2, abs=0.05)
    assert stands.lean_deg == pytest.approx(np.degrees(np.arctan((20.0 - shift_mm / 2) / 40.0)), abs=0.1)
    assert (stands.within_mm >= 0) == (shift_mm < 40)
    if shift_mm:
        assert stands.side == "front"


def test_the_middle_of_a_cone_is_a_quarter_up() -> None:
    """Of its height (textbook), 22.5 of 90 mm."""
    assert centre_of_volume(cone()) == pytest.approx([0.0, 0.0, 22.5], abs=1e-6)


def test_cards_weigh_by_their_area() -> None:
    """An L of two upright cards 10 x 20 and a level one 30 x 10, worked out by hand."""
    profile = Card("profile", "P", "upright", 5.0, MultiPolygon([box(0, 0, 10, 20)]))
    across = Card("foot", "Px", "across", 7.0, MultiPolygon([box(0, 0, 10, 20)]))
    flat = Card("contour", "1", "level", 12.0, MultiPolygon([box(0, 0, 30, 10)]))
    footprint = Card("footprint", "F", "level", 0.0, MultiPolygon([box(-999, 0, 0, 10)]))
    found = centre_of_cards((footprint, profile, across, flat), 2.0)
    by_hand = (200 * np.array([5, 5, 10]) + 200 * np.array([5, 7, 10]) + 300 * np.array([15, 5, 11])) / 700
    assert found == pytest.approx(by_hand, abs=1e-9)


def test_tabs_carry_no_weight_up() -> None:
    """What is bent under the profile lies on the board."""
    straight = Card("profile", "P", "upright", 0.0, MultiPolygon([box(0, 0, 10, 20)]))
    tabbed = Card("profile", "P", "upright", 0.0, MultiPolygon([box(0, -12, 10, 20)]))
    assert centre_of_cards((tabbed,), 0.3) == pytest.approx(centre_of_cards((straight,), 0.3))


@pytest.mark.parametrize("thick_mm", [0.3, 2.0])
def test_the_frame_of_a_block_stands(thick_mm: float) -> None:
    """Thin on tabs, thick on cross pieces: its middle is over its feet, with more than 5 degrees to spare."""
    balance = cards_of(block, card_mm=thick_mm).balance
    assert balance.frame is not None and balance.clay is not None
    assert balance.frame.steady and balance.prop is None
    # 60 x 40 on its own base: 20 mm from the nearest edge, 40 up
    assert balance.clay.within_mm == pytest.approx(20.0, abs=0.05)
    assert balance.clay.lean_deg == pytest.approx(np.degrees(np.arctan(20 / 40)), abs=0.1)


def test_a_frame_that_falls_is_propped() -> None:
    """The block that leans 70 mm: frame and clay tip to the front. A prop under the card named, which is as high as
    that card's lower face, and under it, makes it stand.
    """
    cards = cards_of(_falling)
    balance = cards.balance
    assert balance.frame is not None and balance.clay is not None and balance.prop is not None
    assert balance.frame.within_mm < 0 and balance.frame.side == "front"
    assert balance.clay.within_mm == pytest.approx(20.0 - 35.0, abs=0.1)
    card = next(card for card in cards.of("contour") if card.name == balance.prop.card)
    assert balance.prop.high_mm == pytest.approx(card.place_mm - 0.3, abs=0.06)
    assert shapely.distance(card.shape, shapely.Point(balance.prop.at_mm)) < 1.0
    weight = centre_of_cards(cards.cards, 0.3)
    assert balance.prop.at_mm[1] < weight[1]
    ends: Floats = np.array([(0.0, -20.0), (-1.0, 20.0), (1.0, 20.0), balance.prop.at_mm])
    assert shapely.contains(shapely.MultiPoint(ends).convex_hull.buffer(0.5), shapely.Point(weight[:2]))


def _falling() -> Body:
    return leaning(70.0)
