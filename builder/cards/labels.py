"""What is written on a card: its name and caption, and an arrow to the front, where there is room for them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Point, Polygon, box
from shapely.affinity import affine_transform, scale

from builder.cards.card import Card
from builder.cards.inner import letter
from builder.paper.fonts import MM_PER_POINT, width_mm
from builder.sections.sliced import polygons

NAME_PT, LEAST_NAME_PT, CAPTION_PT = 20.0, 4.5, 7.0
CAPITAL = 0.73
"""Height of a capital in sizes of its letters."""
ARROW_MM, LINE_MM, BETWEEN_MM = 5.0, 3.2, 1.6
"""Length of the arrow, from line to line of the caption, and from arrow to name to caption."""


@dataclass(frozen=True, slots=True)
class Word:
    """A word with the middle of its base line ``down_mm`` below (x, y), turned with its card about that place."""

    x: float
    y: float
    text: str
    size_pt: float
    bold: bool = False
    down_mm: float = 0.0
    turned: bool = False


@dataclass(frozen=True, slots=True)
class _Label:
    """Name, caption lines and whether there is an arrow above, set under one another, round a middle."""

    name: str
    caption: tuple[str, ...]
    arrow: bool
    upright: bool

    @property
    def arrow_mm(self) -> float:
        """The height that the arrow takes: it lies across on an upright card."""
        return (2.0 if self.upright else ARROW_MM) + BETWEEN_MM if self.arrow else 0.0

    def size_mm(self, size_pt: float) -> tuple[float, float]:
        """Width and height, with a margin all round."""
        lines = [width_mm(text, CAPTION_PT) for text in self.caption]
        wide = max([width_mm(self.name, size_pt, "bold"), ARROW_MM * self.arrow * self.upright, *lines])
        tall = self.arrow_mm + CAPITAL * size_pt * MM_PER_POINT + LINE_MM * len(lines) + BETWEEN_MM * bool(lines)
        return wide + 2.0, tall + 2.0


def labels(card: Card, caption: str, place: list[float]) -> tuple[list[Word], list[LineString]]:
    """The words of a card, laid flat by the affine ``place``, and its arrows in its own plane: the name in each part,
    with a letter where there are several, and the caption in the largest. What does not fit in is left out, the caption
    first, then the arrow; the name is set smaller.
    """
    words: list[Word] = []
    arrows: list[LineString] = []
    parts = list(card.whole.geoms)
    pointed = card.plane != "across"
    for number, part in enumerate(parts):
        name = card.name + (letter(number) if len(parts) > 1 else "")
        lines = tuple(caption.split("\n")) if number == 0 and caption else ()
        shown = [_Label(name, each, pointed, card.plane == "upright") for each in dict.fromkeys([lines, _short(lines)])]
        shown += [_Label(name, (), pointed, card.plane == "upright"), _Label(name, (), False, False)]
        room = _room(card, part)
        for label in shown:
            middle, share = _seat(room, *label.size_mm(NAME_PT))
            if share >= 1.0:
                break
        size = float(np.clip(NAME_PT * share, LEAST_NAME_PT, NAME_PT))
        words += _words(label, size, affine_transform(middle, place))
        if label.arrow:
            arrows += _arrow(label, size, middle)
    return words, arrows


def _words(label: _Label, size_pt: float, at: Point) -> list[Word]:
    base = -(label.size_mm(size_pt)[1] - 2.0) / 2 + label.arrow_mm + CAPITAL * size_pt * MM_PER_POINT
    words = [Word(at.x, at.y, label.name, size_pt, True, base)]
    first = base + BETWEEN_MM + CAPITAL * CAPTION_PT * MM_PER_POINT
    return words + [
        Word(at.x, at.y, text, CAPTION_PT, False, first + LINE_MM * n) for n, text in enumerate(label.caption)
    ]


def _arrow(label: _Label, size_pt: float, middle: Point) -> list[LineString]:
    """An arrow to the form's front at the top of a label: down a level card, to the left of an upright one."""
    top = middle.y + (label.size_mm(size_pt)[1] - 2.0) / 2
    if label.upright:
        start, way = np.array([middle.x + ARROW_MM / 2, top - 1.0]), np.array([-1.0, 0.0])
    else:
        start, way = np.array([middle.x, top]), np.array([0.0, -1.0])
    side = np.array([way[1], -way[0]])
    tip = start + ARROW_MM * way
    return [LineString([start, tip]), LineString([tip - 1.5 * way + side, tip, tip - 1.5 * way - side])]


def _short(lines: tuple[str, ...]) -> tuple[str, ...]:
    """Each line in two, as even as its words allow."""
    out: list[str] = []
    for line in lines:
        words = line.split()
        cuts = [(" ".join(words[:n]), " ".join(words[n:])) for n in range(1, len(words))]
        cuts.sort(key=lambda cut: max(len(cut[0]), len(cut[1])))
        out += cuts[0] if cuts else (line,)
    return tuple(out)


def _room(card: Card, part: Polygon) -> MultiPolygon:
    """The part clear of slots, folds, guides and notes."""
    cuts = [LineString([slot.start, slot.end]).buffer(slot.width_mm / 2 + 0.5) for slot in card.slots]
    lines = [line.buffer(0.5) for line in (*card.guides, *card.folds)]
    notes = [Point(x, y).buffer(3.0) for x, y, _ in card.notes]
    room = shapely.difference(part, shapely.union_all([*cuts, *lines, *notes]))
    pieces = polygons(room)
    return MultiPolygon([part]) if pieces.is_empty else pieces


def _seat(room: MultiPolygon, wide_mm: float, tall_mm: float) -> tuple[Point, float]:
    """Where in a room a block of a size lies best, and how much larger it could be there (1: it just fits).

    The room is stretched until the block is a square; the largest circle within then says where it lies.
    """
    stretched = scale(room, 1.0, wide_mm / tall_mm, origin=(0.0, 0.0))
    circle = shapely.maximum_inscribed_circle(stretched, tolerance=0.2)
    x, y = circle.coords[0]
    y *= tall_mm / wide_mm
    least = float(circle.length * np.sqrt(2.0) / wide_mm)
    shares = least * np.linspace(np.sqrt(2.0), 1.0, 12)
    blocks = (box(x - s * wide_mm / 2, y - s * tall_mm / 2, x + s * wide_mm / 2, y + s * tall_mm / 2) for s in shares)
    fits = (float(share) for share, block in zip(shares, blocks, strict=True) if room.covers(block))
    return Point(x, y), next(fits, least)
