"""Cards of invented bodies: true outlines, crossings that go together, what is weak, loose or stands out."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy.spatial import KDTree
from shapely import MultiPolygon, box

from builder.cards.assembly import crossing
from builder.cards.card import Slot
from builder.cards.card_set import CardSet, card_set
from builder.cards.strength import left_of, sturdy
from builder.sections.sliced import Body, body_of, polygons
from builder.study.description import CardChoice
from tests.cards.bodies import ball, block, cards_of, channel, cone, mushroom, two_towers

MASK = Path(__file__).resolve().parents[2] / "models/mask/mask.ply"


@pytest.mark.parametrize("thick", [0.3, 3.0])
def test_contours_of_a_ball_are_its_circles(thick: float) -> None:
    """Radius sqrt(R2 - z2) at the face farther from the middle, since a card lies within the form: to 0.1 mm."""
    cards = cards_of(ball, card_mm=thick)
    for card in cards.of("contour"):
        faces = [card.place_mm - 40.0, card.place_mm - thick - 40.0]
        radius = np.sqrt(40.0**2 - max(abs(z) for z in faces) ** 2)
        assert card.extents_mm == pytest.approx((2 * radius, 2 * radius), abs=0.1)


def test_a_block_gives_its_own_sides() -> None:
    """60 x 40 level, 40 x 80 upright, numbered from below."""
    cards = cards_of(block)
    assert [card.name for card in cards.of("contour")] == ["1", "2", "3", "4", "5", "6"]
    assert all(card.extents_mm == pytest.approx((60.0, 40.0), abs=1e-6) for card in cards.of("contour"))
    assert cards.of("profile")[0].measured_mm == pytest.approx((40.0, 80.0), abs=1e-6)
    heights = [card.place_mm for card in cards.of("contour")]
    assert heights == sorted(heights)


def test_cover_is_left_for_the_clay() -> None:
    """Cards 5 mm inside all round; the profile still stands on the board."""
    cards = cards_of(block, cover_mm=5.0)
    assert cards.of("contour")[2].extents_mm == pytest.approx((50.0, 30.0), abs=1e-6)
    assert cards.of("profile")[0].measured_mm == pytest.approx((30.0, 75.0), abs=1e-6)


def test_height_scales_everything() -> None:
    """A block of 80 built 160 high is twice as wide, with eight times the clay."""
    one, other = cards_of(block), cards_of(block, height_mm=160.0)
    assert other.of("contour")[0].extents_mm == pytest.approx((120.0, 80.0), abs=1e-6)
    assert other.volume_mm3 / one.volume_mm3 == pytest.approx(8.0, rel=1e-6)
    assert one.volume_mm3 == pytest.approx(60 * 40 * 80, rel=0.01)


@pytest.mark.parametrize("thick", [0.3, 3.0])
@pytest.mark.parametrize("body", [ball, block, mushroom, two_towers])
def test_all_crossings_go_together(body: Callable[[], Body], thick: float) -> None:
    """No card in card, no play of 1 mm (common practice: a gap of 1 mm is too big), every contour seated."""
    cards = cards_of(body, card_mm=thick)
    assert {fit.one for fit in cards.fits} >= {card.name for card in cards.of("contour")}
    assert all(fit.clash_mm == 0.0 for fit in cards.fits)
    assert all(0.0 < fit.gap_mm < 1.0 for fit in cards.fits)
    assert cards.loose == ()


def test_a_slot_too_short_clashes() -> None:
    """The check can fail: 2 mm less of a slot is 2 mm of card in card, less the play."""
    cards = cards_of(block)
    contour, profile = cards.of("contour")[2], cards.of("profile")[0]
    (slot,) = contour.slots
    short = Slot(slot.start, (slot.end[0], slot.end[1] - 2.0), slot.width_mm)
    fit = crossing(dataclasses.replace(contour, slots=(short,)), profile, 0.3)
    assert fit is not None
    assert fit.clash_mm == pytest.approx(1.9, abs=1e-6)


def test_overlap_of_a_crossing_is_shared() -> None:
    """The contour's slot and the profile's add up to their way together, and a little play."""
    cards = cards_of(block)
    contour, profile = cards.of("contour")[2], cards.of("profile")[0]
    depth = 40.0 - (shapely.intersection(contour.shape, box(-0.01, -99, 0.01, 99)).bounds[3] - contour.slots[0].end[1])
    notch = next(slot for slot in profile.slots if slot.start[1] == pytest.approx(contour.place_mm - 0.15))
    assert depth + (20.0 - notch.end[0]) == pytest.approx(40.0 + 0.1, abs=1e-6)


def test_thin_card_has_tabs_and_thick_card_has_feet() -> None:
    """Tabs of about 10 mm, four on 40, within the footprint; cross pieces stay under the first contour."""
    thin, thick = cards_of(block), cards_of(block, card_mm=2.0)
    assert len(thin.of("profile")[0].folds) == 4
    assert thin.of("foot") == ()
    feet = thick.of("foot")
    assert [card.name for card in feet] == ["Px", "Py"]
    lowest = min(card.place_mm for card in thick.of("contour"))
    assert all(card.whole.bounds[3] < lowest - 2.0 for card in feet)
    assert {fit.one for fit in thick.fits} >= {"Px", "Py"}


def test_another_body_gets_a_profile_of_its_own() -> None:
    """The second tower is held by a second upright card through it."""
    cards = cards_of(two_towers)
    assert [card.name for card in cards.of("profile")] == ["P", "P2"]
    assert 45.0 < cards.of("profile")[1].place_mm < 75.0


def test_a_mushroom_is_undercut_and_a_cone_is_not() -> None:
    """The cap stands 30 mm out over the stem, to all four sides, over the last card under it."""
    assert cards_of(cone).undercuts == ()
    cards = cards_of(mushroom)
    under = [card for card in cards.of("contour") if card.place_mm < 50.0]
    found = {(each.card, each.side): each.out_mm for each in cards.undercuts}
    assert set(found) == {(len(under), side) for side in ("left", "right", "front", "back")}
    assert all(out == pytest.approx(30.0, abs=0.2) for out in found.values())


def test_templates_meet_round_the_form() -> None:
    """Both halves of a ball's template and the form between them fill the whole frame, with no overlap."""
    cards = cards_of(ball, kind="outer")
    left, right = (card for card in cards.of("contour") if card.name[:-1] == "3")
    assert shapely.intersection(left.shape, right.shape).area < 1e-6
    both = shapely.union(left.shape, right.shape)
    hole = both.convex_hull.area - both.area
    assert hole == pytest.approx(np.pi * (40.0**2 - (left.place_mm - 40.0) ** 2), rel=0.01)
    # only between the ball's foot and the board is a template too narrow: a disc of 3 fits there from 21.9 mm on
    assert {each.card for each in cards.unreached} == {"PF", "PB"}
    assert all(10.0 < each.deep_mm < np.sqrt(43.0**2 - 37.0**2) for each in cards.unreached)


def test_a_hollow_behind_a_lip_is_named() -> None:
    """From x = 10 to 30: behind the lip nothing enters, and beside it the way in is 5 mm, less than the bridge."""
    cards = cards_of(channel, kind="outer")
    assert {each.card for each in cards.unreached} == {f"{n}L" for n in range(1, 7)}
    assert all(each.deep_mm == pytest.approx(20.0, abs=0.2) for each in cards.unreached)


@pytest.mark.parametrize("kind", ["inner", "outer"])
@pytest.mark.parametrize("body", [ball, mushroom, two_towers, channel])
def test_no_card_of_a_set_is_weak(body: Callable[[], Body], kind: str) -> None:
    """As cut, with its slots: profile, contours and stands."""
    cards = cards_of(body, kind=kind)
    for card in cards.cards:
        if card.role != "footprint":
            assert weak_cuts(card.shape, 6.0) == [], card.name


@settings(max_examples=25, deadline=None)
@given(
    places=some.lists(
        some.tuples(some.integers(-40, 40), some.integers(-40, 40), some.integers(2, 22)), min_size=1, max_size=7
    )
)
def test_any_shape_is_made_sturdy(places: list[tuple[int, int, int]]) -> None:
    """Discs thrown together, with necks and cusps between them: within the shape, nothing weak, wide discs kept."""
    discs = [shapely.Point(x, y).buffer(radius) for x, y, radius in places]
    shape = polygons(shapely.union_all(discs))
    kept = sturdy(shape, 6.0)
    assert shapely.difference(kept, shape.buffer(0.01)).area < 1e-6
    assert weak_cuts(kept, 6.0) == []
    assert kept.is_empty == all(radius <= 3 for _, _, radius in places) or not kept.is_empty


@pytest.mark.parametrize(("neck", "parts"), [(3.0, 2), (8.0, 1)])
def test_what_hangs_on_a_neck_is_a_part_of_its_own(neck: float, parts: int) -> None:
    """Two squares joined by a neck, with a bridge of 6 mm; their corners stay."""
    squares = [box(-30, -10, -10, 10), box(10, -10, 30, 10), box(-11, -neck / 2, 11, neck / 2)]
    kept = sturdy(MultiPolygon([shapely.union_all(squares)]), 6.0)
    assert len(kept.geoms) == parts
    assert kept.area == pytest.approx(800.0 + (20 * neck if parts == 1 else 0.0), abs=3.0)
    assert kept.bounds == pytest.approx((-30, -10, 30, 10), abs=0.01)


def test_a_spike_is_left_to_the_clay() -> None:
    """A triangle 4 wide and 20 long on a square: gone but for its root, and told with its length. A disc of radius 3
    between corners 4 apart comes 3 - sqrt(9 - 4) out between them.
    """
    spiked = polygons(shapely.union(box(0, 0, 30, 30), shapely.Polygon([(13, 30), (17, 30), (15, 50)])))
    (left,) = left_of("1", spiked, sturdy(spiked, 6.0))
    assert left.out_mm == pytest.approx(20.0 - (3.0 - np.sqrt(5.0)), abs=0.1)


def weak_cuts(shape: MultiPolygon, bridge_mm: float) -> list[tuple[float, float, float, float]]:
    """Straight cuts through card, shorter than the bridge, that take off a piece which reaches farther than a bridge
    from the cut: tried from point to point along the outline, 1 mm apart. Measures nothing the way the cards are made.
    """
    found = []
    for part in shape.geoms:
        rings = [shapely.segmentize(ring, 1.0) for ring in (part.exterior, *part.interiors)]
        points = np.unique(np.round(shapely.get_coordinates(rings), 6), axis=0)
        inside = part.buffer(1e-6)
        pairs = KDTree(points).query_pairs(0.95 * bridge_mm, output_type="ndarray")
        lines = shapely.linestrings(np.stack([points[pairs[:, 0]], points[pairs[:, 1]]], axis=1))
        shapely.prepare(inside)
        keep = shapely.contains(inside, lines) & (shapely.length(lines) > 1e-6)
        # of a cut that runs along the edge nothing is taken off
        keep &= shapely.distance(shapely.line_interpolate_point(lines, 0.5, normalized=True), part.boundary) > 0.3
        for line in lines[keep][:: max(1, int(keep.sum()) // 400)]:
            pieces = shapely.difference(part, line.buffer(0.005))
            faces = sorted((face for face in shapely.get_parts(pieces)), key=lambda face: face.area)
            if len(faces) < 2:
                continue
            away = shapely.distance(shapely.points(shapely.get_coordinates(faces[-2])), line).max()
            if away > bridge_mm:
                found.append(tuple(np.round(shapely.get_coordinates(line).ravel(), 2).tolist()))
    return found


@pytest.mark.parametrize("thick", [0.2, 0.25, 0.3, 0.4, 0.5])
@pytest.mark.parametrize("kind", ["inner", "outer"])
def test_slots_fit_every_thin_card(kind: str, thick: float) -> None:
    """180 to 400 gsm are 0.2 to 0.5 mm (CHECKS.md section 7): nothing clashes; a slot is a tenth wider than the card,
    neither tight nor, with its two ends, loose by a quarter of a mm (common practice: a slot binds below 0.05 of play).
    """
    cards = cards_of(mushroom, kind=kind, card_mm=thick)
    assert cards.fits
    assert all(fit.clash_mm == 0.0 for fit in cards.fits)
    assert all(0.05 <= fit.gap_mm <= 0.25 for fit in cards.fits)
    for card in cards.cards:
        assert all(slot.width_mm == pytest.approx(thick + 0.1) for slot in card.slots), card.name


def test_volume_of_the_levels_is_the_mesh(mask: Body) -> None:
    """Clay is reckoned from the areas of the levels, by the trapezium rule: on a smooth body its error falls with the
    square of their number and is 1 % for ten of them on a ball (CHECKS.md section 5). The mask, with its flat top and
    base, is within 0.2 % of the mesh's own tetrahedra; a cone of radius 40 and height 90 of its closed form.
    """
    own = trimesh.Trimesh(mask.vertices, mask.faces, process=False).volume
    assert mask_cards(mask).volume_mm3 == pytest.approx(own, rel=2e-3)
    assert cards_of(cone).volume_mm3 == pytest.approx(np.pi * 40.0**2 * 90.0 / 3.0, rel=2e-3)


def test_no_card_of_the_mask_is_weak(mask: Body) -> None:
    """As cut, with its slots, at the bridge of 6 mm that its directions state."""
    cards = mask_cards(mask)
    assert len(cards.of("contour")) == 15
    for card in cards.cards:
        if card.role != "footprint":
            assert weak_cuts(card.shape, 6.0) == [], card.name


def test_the_mask_stands_but_only_just(mask: Body) -> None:
    """Its weight lies near the front of a base 39 mm deep: by trimesh's own middle of mass, to the mm."""
    balance = mask_cards(mask).balance
    mesh = trimesh.Trimesh(mask.vertices, mask.faces, process=False)
    assert balance.clay is not None and balance.frame is not None
    assert balance.clay.weight_mm == pytest.approx(tuple(mesh.center_mass), abs=0.01)
    base = mesh.section([0, 0, 1], [0, 0, 0.05])
    assert base is not None
    front = float(base.vertices[:, 1].min())
    assert balance.clay.within_mm == pytest.approx(mesh.center_mass[1] - front, abs=0.5)
    assert balance.clay.side == "front" and not balance.clay.steady
    assert balance.prop is not None


@pytest.fixture(scope="module")
def mask() -> Body:
    mesh = trimesh.load(MASK, process=False)
    points = np.asarray(mesh.vertices, np.float64) - (0.0, 0.0, mesh.vertices[:, 2].min())
    return body_of(points * (276.0 / points[:, 2].max()), mesh.faces)


@cache
def mask_cards(mask: Body) -> CardSet:
    return card_set(mask, 0.0, CardChoice(), "mask.ply", joined=False)
