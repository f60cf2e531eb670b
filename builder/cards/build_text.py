"""The directions for building: one list of blocks, for the printed pages and for the site alike."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from builder.cards.card import Card
from builder.cards.card_set import CardSet
from builder.cards.feet import BENDS_MM
from builder.words.words import Words

DENSITIES = (1.6, 2.0)
"""Of hard oil-based clay, g/cm3; from memory."""
BOARD_MARGIN_MM = 40.0


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
        *_limits(cards, say),
        Block("heading", say("cards.care")),
        *(Block("item", say(f"cards.care_{name}")) for name in ("knife", "heat", "dust", "local")),
    )


def _needs(cards: CardSet, sheets: int, paper: str, say: Words) -> Iterator[Block]:
    width, depth = cards.of("footprint")[0].extents_mm
    litres = cards.volume_mm3 / 1e6
    low, high = (litres * density for density in DENSITIES)
    amounts: dict[str, dict[str, object]] = {
        "card": {"sheets": sheets, "paper": paper, "thick": f"{cards.choice.card_mm:g}"},
        "board": {"width": _whole(width + 2 * BOARD_MARGIN_MM), "depth": _whole(depth + 2 * BOARD_MARGIN_MM)},
        "plinth": {},
        "clay": {"litres": f"{litres:.2g}", "low": f"{low:.2g}", "high": f"{high:.2g}"},
        "knife": {},
        "other": {},
    }
    yield Block("heading", say("cards.needs"))
    rows = [(say("cards.what"), say("cards.amount"))]
    rows += [(say(f"cards.{name}"), say(f"cards.{name}_amount", **values)) for name, values in amounts.items()]
    yield Block("table", rows=tuple(rows))


def _order(cards: CardSet, say: Words) -> Iterator[Block]:
    yield Block("heading", say("cards.order"))
    steps = ["print", "footprint", "cut", "tiles"]
    if cards.choice.kind == "outer":
        steps += ["templates", "templates_fill", "halves"]
    else:
        steps += ["profile_bent" if cards.choice.card_mm <= BENDS_MM else "profile_crossed", "contours"]
        steps += ["loose"] if cards.loose else []
        steps += ["fill", "draw_off_cover" if cards.choice.cover_mm else "draw_off"]
    for step in (*steps, "finish"):
        yield Block("step", say(f"cards.step_{step}", cover=f"{cards.choice.cover_mm:g}"))


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
    missed = cards.missed
    if not missed:
        yield Block("paragraph", say("cards.all_told"))
    else:
        good = len(cards.gaps) - len(missed)
        yield Block("paragraph", say("cards.missed", good=good, gaps=len(cards.gaps)))
        yield Block("table", rows=tuple(_missed(cards, say)))
    yield from _undercuts(cards, say)
    if cards.unreached:
        yield Block("paragraph", say("cards.unreached"))
    for hollow in cards.unreached:
        side = say(f"cards.side_{hollow.side}")
        yield Block("item", say("cards.unreached_card", card=hollow.card, side=side, deep=f"{hollow.deep_mm:.1f}"))
    yield from _weak_and_loose(cards, say)


def _missed(cards: CardSet, say: Words) -> Iterator[tuple[str, ...]]:
    """Where the form is missed by more than is good: a row a gap, under a head."""
    yield tuple(say(f"cards.missed_{name}") for name in ("between", "most", "where", "usual"))
    last = len(cards.gaps) - 1
    for gap in cards.missed:
        x, _, z = gap.at_mm
        off, side = _off(x - cards.profile_x_mm, say)
        low, high = (_card_name(number, last, say) for number in (gap.below, gap.below + 1))
        between = say("cards.missed_gap", low=low, high=high)
        where = say("cards.missed_place", x=off, side=side, z=_whole(z))
        mm = (say("cards.mm", n=f"{value:.1f}") for value in (gap.most_mm, gap.p95_mm))
        most, usual = mm
        yield between, most, where, usual


def _undercuts(cards: CardSet, say: Words) -> Iterator[Block]:
    by_card: dict[int, list[str]] = {}
    for each in cards.undercuts:
        words = say("cards.undercut_side", side=say(f"cards.side_{each.side}"), out=_whole(each.out_mm))
        by_card.setdefault(each.card, []).append(words)
    yield Block("paragraph", say("cards.undercuts" if by_card else "cards.no_undercut"))
    for number, sides in by_card.items():
        card = _card_name(number, len(cards.gaps), say)
        yield Block("item", say("cards.undercut", card=card, sides=", ".join(sides)))


def _weak_and_loose(cards: CardSet, say: Words) -> Iterator[Block]:
    planes = {card.name: card for card in cards.cards}
    if cards.weak:
        yield Block("paragraph", say("cards.weak", bridge=f"{cards.choice.bridge_mm:g}"))
    for place in cards.weak:
        values = {"card": place.card, "wide": f"{place.wide_mm:.1f}", "long": f"{place.long_mm:.1f}"}
        if planes[place.card].plane == "level":
            off, side = _off(place.at_mm[0] - cards.profile_x_mm, say)
            yield Block("item", say("cards.weak_place", x=off, side=side, **values))
        else:
            yield Block("item", say("cards.weak_place_upright", z=_whole(place.at_mm[1]), **values))
    if cards.loose:
        yield Block("paragraph", say("cards.loose"))
    _, y0, _, y1 = cards.of("footprint")[0].whole.bounds
    for part in cards.loose:
        values = {"card": part.card, "letter": part.letter}
        if planes[part.card].plane == "level":
            off, side = _off(part.at_mm[0] - cards.profile_x_mm, say)
            y = part.at_mm[1] - (y0 + y1) / 2
            way = say("cards.in_front" if y < 0 else "cards.behind")
            yield Block("item", say("cards.loose_part", x=off, side=side, y=_whole(abs(y)), way=way, **values))
        else:
            yield Block("item", say("cards.loose_part_upright", z=_whole(part.at_mm[1]), **values))


def _card_name(number: int, last: int, say: Words) -> str:
    if number == 0:
        return say("cards.foot_name")
    return say("cards.top_name") if number > last else say("cards.card_name", number=number)


def _off(x_mm: float, say: Words) -> tuple[str, str]:
    """How far to which side of the profile's line."""
    return _whole(abs(x_mm)), say("cards.side_of_left" if x_mm >= 0 else "cards.side_of_right")


def _whole(value: float) -> str:
    return f"{value:.0f}"
