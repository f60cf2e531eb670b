"""The directions for building: one list of blocks, for the printed pages and for the site alike."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from builder.cards.card import Card, Side
from builder.cards.card_set import CardSet
from builder.cards.feet import BENDS_MM
from builder.words.words import Words

DENSITIES = (1.6, 1.9)
"""Of hard oil-based clay, g/cm3, from memory (CHECKS.md section 7); what else is said of materials, warm clay and the
order of work is common practice, no source.
"""
LIGHTEST = 1.2
"""Of waxy clay, g/cm3; from memory."""
BOARD_MARGIN_MM = 40.0
"""Of board beyond all cards; common practice, no source."""
NEAR_MM = 25.0
"""A landmark no farther from a place, on a model :data:`NEAR_OF_MM` high, is named with it."""
NEAR_OF_MM = 300.0
SIDES: tuple[Side, ...] = ("front", "back", "left", "right")


@dataclass(frozen=True, slots=True)
class Block:
    """A heading, a paragraph, an item of a list (a ``step`` is numbered), or a table with its head first."""

    kind: Literal["heading", "paragraph", "step", "item", "table"]
    text: str = ""
    rows: tuple[tuple[str, ...], ...] = ()


def build_text(cards: CardSet, sheets: int, paper: str, say: Words) -> tuple[Block, ...]:
    """All that a builder reads; ``sheets`` of card it takes, of the paper named."""
    return (
        *_needs(cards, sheets, paper, say),
        *_order(cards, say),
        *_checks(cards, say),
        *_stands(cards, say),
        *_limits(cards, say),
        Block("heading", say("cards.care")),
        *(Block("item", say(f"cards.care_{name}")) for name in ("knife", "heat", "dust", "local")),
    )


def _needs(cards: CardSet, sheets: int, paper: str, say: Words) -> Iterator[Block]:
    width, depth = cards.board_mm
    litres = cards.volume_mm3 / 1e6
    low, high = (litres * density for density in DENSITIES)
    least = litres * LIGHTEST
    amounts: dict[str, dict[str, object]] = {
        "card": {"sheets": sheets, "paper": paper, "thick": f"{cards.choice.card_mm:g}"},
        "board": {"width": _whole(width + 2 * BOARD_MARGIN_MM), "depth": _whole(depth + 2 * BOARD_MARGIN_MM)},
        "plinth": {},
        "clay": {"litres": f"{litres:.2g}", "low": f"{low:.2g}", "high": f"{high:.2g}", "least": f"{least:.2g}"},
        "knife": {},
        "other": {},
    }
    yield Block("heading", say("cards.needs"))
    rows = [(say("cards.what"), say("cards.amount"))]
    rows += [(say(f"cards.{name}"), say(f"cards.{name}_amount", **values)) for name, values in amounts.items()]
    yield Block("table", rows=tuple(rows))


def _order(cards: CardSet, say: Words) -> Iterator[Block]:
    yield Block("heading", say("cards.order"))
    steps = ["print", "footprint", *_screws(cards), "cut", "tiles"]
    if cards.choice.kind == "outer":
        steps += ["templates", "templates_fill", "halves"]
        steps += ["stands_bent" if cards.choice.card_mm <= BENDS_MM else "stands_crossed"]
    else:
        steps += ["profile_bent" if cards.choice.card_mm <= BENDS_MM else "profile_crossed", "contours"]
        steps += ["prop"] if cards.balance.prop else []
        steps += ["loose"] if cards.loose else []
        steps += ["fill", "draw_off_cover" if cards.choice.cover_mm else "draw_off"]
    values = {"cover": f"{cards.choice.cover_mm:g}", **_prop(cards, say)}
    for step in (*steps, "finish"):
        yield Block("step", say(f"cards.step_{step}", **values))


def _screws(cards: CardSet) -> list[str]:
    clay = cards.balance.clay
    return [] if clay is None or clay.steady else ["screws"]


def _prop(cards: CardSet, say: Words) -> dict[str, str]:
    """The block that props the frame, in words; nothing where there is none."""
    prop = cards.balance.prop
    if prop is None:
        return {}
    x, y = prop.at_mm
    return {
        "card": prop.card,
        "high": f"{prop.high_mm:g}",
        "place": say("cards.prop_place", **_on_page(x, y, cards, say)),
    }


def _on_page(x_mm: float, y_mm: float, cards: CardSet, say: Words) -> dict[str, str]:
    """A place of the board by the two lines of page F."""
    _, y0, _, y1 = cards.of("footprint")[0].whole.bounds
    y = y_mm - (y0 + y1) / 2
    way = say("cards.in_front" if y < 0 else "cards.behind")
    return {"off": _off(x_mm - cards.profile_x_mm, say), "y": _whole(abs(y)), "way": way}


def _stands(cards: CardSet, say: Words) -> Iterator[Block]:
    """How frame and clay stand."""
    yield Block("heading", say("cards.balance"))
    for name, one in (("frame", cards.balance.frame), ("clay", cards.balance.clay)):
        if one is None:
            continue
        how = "steady" if one.steady else "just" if one.within_mm >= 0 else "tips"
        within, lean = f"{abs(one.within_mm):.1f}", f"{one.lean_deg:.1f}"
        yield Block("paragraph", say(f"cards.{name}_{how}", within=within, lean=lean, way=say(f"cards.to_{one.side}")))


def _checks(cards: CardSet, say: Words) -> Iterator[Block]:
    yield Block("heading", say("cards.checks"))
    yield Block("paragraph", say("cards.checks_about"))
    head = tuple(say(f"cards.{name}") for name in ("name", "height", "width", "depth", "parts"))
    yield Block("table", rows=(head, *(_row(card, say) for card in cards.cards)))
    if cards.fits:
        clash, gap = max(fit.clash_mm for fit in cards.fits), max(fit.gap_mm for fit in cards.fits)
        yield Block("paragraph", say("cards.fit", clash=f"{clash:g}", gap=f"{gap:g}"))


def _row(card: Card, say: Words) -> tuple[str, ...]:
    width, depth = card.measured_mm
    at = _at(card, say)
    pieces = len(card.whole.geoms)
    return card.name, at, say("cards.mm", n=f"{width:.1f}"), say("cards.mm", n=f"{depth:.1f}"), str(pieces)


def _at(card: Card, say: Words) -> str:
    if card.role == "footprint":
        return say("cards.on_board")
    return say("cards.mm", n=f"{card.place_mm:.1f}") if card.plane == "level" else say("cards.upright")


def _limits(cards: CardSet, say: Words) -> Iterator[Block]:
    yield Block("heading", say("cards.limits"))
    contours = len(cards.gaps) - 1
    if contours < cards.choice.count:
        bridge = f"{cards.choice.bridge_mm:g}"
        yield Block("paragraph", say("cards.fewer", asked=cards.choice.count, count=contours, bridge=bridge))
    missed = cards.missed
    yield Block("paragraph", _enough(cards, contours, say) if missed else say("cards.all_told"))
    if cards.returned:
        yield Block("paragraph", _returned(cards, say))
    if missed:
        yield Block("paragraph", say("cards.missed"))
        yield Block("table", rows=tuple(_missed(cards, say)))
    yield from _undercuts(cards, say)
    if cards.unreached:
        yield Block("paragraph", say("cards.unreached"))
    for side in SIDES:
        places = [
            say("cards.unreached_card", card=hollow.card, deep=_whole(hollow.deep_mm))
            for hollow in cards.unreached
            if hollow.side == side
        ]
        if places:
            yield Block("item", say("cards.by_side", side=say(f"cards.from_{side}"), places=", ".join(places)))
    yield from _left_and_loose(cards, say)


def _enough(cards: CardSet, contours: int, say: Words) -> str:
    """How much of the form is told by these cards, and how many cards would tell enough."""
    words = [say("cards.share", count=contours, share=_share(cards.share))]
    most, all_told = cards.enough
    if most is not None and most > contours:
        words.append(say("cards.enough_most", count=most))
    if all_told is not None:
        words.append(say("cards.enough_all", count=all_told))
    elif cards.tried.cards > contours and _share(cards.tried.share) != _share(cards.share):
        words.append(say("cards.never_all", count=cards.tried.cards, share=_share(cards.tried.share)))
    else:
        words.append(say("cards.not_more"))
    return " ".join(words)


def _returned(cards: CardSet, say: Words) -> str:
    """What a form misses that is joined from these contours, and from as many as are enough."""
    own, best = cards.returned[0], cards.returned[-1]
    median, p95 = f"{own.median_mm:.2f}", f"{own.p95_mm:.1f}"
    words = [say("cards.returned", count=own.count, median=median, p95=p95)]
    if best is not own:
        name = "enough" if best.good else "never"
        words.append(say(f"cards.returned_{name}", count=best.count, p95=f"{best.p95_mm:.1f}"))
    elif not own.good:
        words.append(say("cards.returned_room"))
    return " ".join(words)


def _share(share: float) -> str:
    """In per cent, never rounded up to all."""
    return f"{np.floor(100 * share):.0f}"


def _missed(cards: CardSet, say: Words) -> Iterator[tuple[str, ...]]:
    """Where the form is missed by more than is good: a row a gap, under a head."""
    yield tuple(say(f"cards.missed_{name}") for name in ("between", "most", "where", "usual"))
    last = len(cards.gaps) - 1
    for gap in cards.missed:
        low, high = (_card_name(number, last, say) for number in (gap.below, gap.below + 1))
        between = say("cards.missed_gap", low=low, high=high)
        where = _place(gap.at_mm, cards, say)
        mm = (say("cards.mm", n=f"{value:.1f}") for value in (gap.most_mm, gap.p95_mm))
        most, usual = mm
        yield between, most, where, usual


def _place(at_mm: tuple[float, float, float], cards: CardSet, say: Words) -> str:
    """A place of the form, with the landmark next to it."""
    x, y, z = at_mm
    bounds = [
        card.whole.bounds for card in cards.cards if card.plane == "level" and card.role in ("footprint", "contour")
    ]
    middle = (min(b[1] for b in bounds) + max(b[3] for b in bounds)) / 2
    half = "cards.in_front_half" if y < middle else "cards.in_back_half"
    values = {"z": _whole(z), "off": _off(x - cards.profile_x_mm, say), "way": say(half)}
    away = {mark.name: float(np.linalg.norm(np.subtract(mark.point_mm, at_mm))) for mark in cards.landmarks}
    near = min(away, key=lambda name: (away[name], name), default=None)
    if near is None or away[near] > NEAR_MM * cards.height_mm / NEAR_OF_MM:
        return say("cards.missed_place", **values)
    return say("cards.missed_place_near", landmark=near, **values)


def _undercuts(cards: CardSet, say: Words) -> Iterator[Block]:
    """A line a side, with the cards over which the form stands out there."""
    yield Block("paragraph", say("cards.undercuts" if cards.undercuts else "cards.no_undercut"))
    for side in SIDES:
        places = [
            say("cards.undercut", card=_card_name(each.card, len(cards.gaps), say), out=_whole(each.out_mm))
            for each in cards.undercuts
            if each.side == side
        ]
        if places:
            yield Block("item", say("cards.by_side", side=say(f"cards.to_{side}"), places=", ".join(places)))


def _left_and_loose(cards: CardSet, say: Words) -> Iterator[Block]:
    planes = {card.name: card for card in cards.cards}
    if cards.left:
        yield Block("paragraph", say("cards.left", bridge=f"{cards.choice.bridge_mm:g}"))
    for name, found in itertools.groupby(cards.left, lambda place: place.card):
        places = []
        for place in found:
            out = f"{place.out_mm:.0f}"
            if planes[name].plane == "level":
                off = _off(place.at_mm[0] - cards.profile_x_mm, say)
                places.append(say("cards.left_place", off=off, out=out))
            else:
                places.append(say("cards.left_place_upright", z=_whole(place.at_mm[1]), out=out))
        yield Block("item", say("cards.left_card", card=name, places="; ".join(places)))
    if cards.loose:
        yield Block("paragraph", say("cards.loose"))
    for part in cards.loose:
        values = {"card": part.card, "letter": part.letter}
        if planes[part.card].plane == "level":
            on_page = _on_page(part.at_mm[0], part.at_mm[1], cards, say)
            yield Block("item", say("cards.loose_part", **values, **on_page))
        else:
            yield Block("item", say("cards.loose_part_upright", z=_whole(part.at_mm[1]), **values))


def _card_name(number: int, last: int, say: Words) -> str:
    if number == 0:
        return say("cards.foot_name")
    return say("cards.top_name") if number > last else say("cards.card_name", number=number)


def _off(x_mm: float, say: Words) -> str:
    """How far to which side of the profile's line."""
    if round(abs(x_mm)) == 0:
        return say("cards.on_line")
    side = say("cards.side_of_left" if x_mm > 0 else "cards.side_of_right")
    return say("cards.off_line", x=_whole(abs(x_mm)), side=side)


def _whole(value: float) -> str:
    return f"{value:.0f}"
