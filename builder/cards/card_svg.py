"""All cards in one drawing for a cutting machine: SVG in true millimetres, untiled, a group for each card."""

from __future__ import annotations

from html import escape

import numpy as np

from builder.arrays import Floats
from builder.cards.card_set import CardSet
from builder.cards.flat import Flat, Stroke
from builder.cards.layout import Placed, laid_out
from builder.cards.sheets import flats
from builder.words.words import Words

WIDTH_MM, EDGE_MM, BAR_MM = 600.0, 10.0, 100.0
COLOURS: dict[Stroke, str] = {"cut": "#000", "fold": "#000", "guide": "#888", "join": "#888"}
DASH = ' stroke-dasharray="2.5 1.5"'


def card_svg(cards: CardSet, title: str, say: Words) -> bytes:
    """The drawing, one unit a millimetre, with a bar of 100 mm."""
    shown = flats(cards, say)
    wide = max(WIDTH_MM, 2 * EDGE_MM + max(min(card.width_mm, card.height_mm) for card in shown))
    (page,) = laid_out([_apart(card) for card in shown], wide - 2 * EDGE_MM, 1e6)
    top = EDGE_MM + 12.0
    height = top + max(one.y + one.flat.height_mm for one in page) + EDGE_MM
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:g}mm" height="{height:.2f}mm" '
        f'viewBox="0 0 {wide:g} {height:.2f}" fill="none" stroke-width="0.2">',
        f"<title>{escape(title)}</title>",
        f'<path id="bar-100-mm" stroke="#888" d="M{EDGE_MM:g} {EDGE_MM:g}h{BAR_MM:g}'
        f'm{-BAR_MM:g} -2v4m{BAR_MM:g} -4v4"/>',
        *(_group(one, EDGE_MM, top) for one in page),
        "</svg>",
    ]
    return ("\n".join(parts) + "\n").encode()


def _apart(card: Flat) -> Flat:
    """The same card, free to stand beside others."""
    return Flat(card.key, card.title, card.width_mm, card.height_mm, card.lines, card.words)


def _group(one: Placed, left: float, top: float) -> str:
    x, y = left + one.x, top + one.y
    parts = [f'<g id="card-{escape(one.flat.key)}"><title>{escape(one.flat.title)}</title>']
    for stroke, points in one.flat.lines:
        dash = DASH if stroke == "fold" else ""
        parts.append(f'<path class="{stroke}" stroke="{COLOURS[stroke]}"{dash} d="{_path(np.add(points, (x, y)))}"/>')
    for word in one.flat.words:
        at = f"{x + word.x:.2f} {y + word.y:.2f}"
        turn = " rotate(-90)" if word.turned else ""
        size = word.size_pt * 25.4 / 72
        parts.append(
            f'<text class="guide" transform="translate({at}){turn}" y="{word.down_mm:.2f}" font-size="{size:.2f}" '
            f'font-family="sans-serif" fill="#888" text-anchor="middle">{escape(word.text)}</text>'
        )
    return "".join([*parts, "</g>"])


def _path(points: Floats) -> str:
    return "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in points.tolist())
