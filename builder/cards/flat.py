"""A card laid flat as it is printed: lines and words in mm, x to the right and y down, from its own top left corner."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely
from shapely import LineString, box
from shapely.affinity import affine_transform

from builder.arrays import Floats
from builder.cards.card import Card
from builder.cards.labels import Word, labels

SLIT_MM = 1.0
"""A slot narrower than this is one cut of the knife; nobody cuts out a strip so thin. Common practice, no source."""
Stroke = Literal["cut", "fold", "guide", "join"]


@dataclass(frozen=True, slots=True, eq=False)
class Flat:
    """One thing to be laid on a page. ``lines``: each (n, 2) with its stroke; ``key`` names it among files."""

    key: str
    title: str
    width_mm: float
    height_mm: float
    lines: tuple[tuple[Stroke, Floats], ...]
    words: tuple[Word, ...]
    alone: bool = False
    """Whether it is stuck on the board with its page, so that nothing else stands there."""

    def turned(self) -> Flat:
        """Turned by a quarter, anticlockwise, with its words."""
        lines = tuple((stroke, np.c_[line[:, 1], self.width_mm - line[:, 0]]) for stroke, line in self.lines)
        words = tuple(replace(word, x=word.y, y=self.width_mm - word.x, turned=True) for word in self.words)
        return Flat(self.key, self.title, self.height_mm, self.width_mm, lines, words, self.alone)


def flat(card: Card, caption: str, title: str) -> Flat:
    """The card with its name large and a caption in its widest place; ``title`` is for those who hear the page."""
    slits = [slot for slot in card.slots if slot.width_mm < SLIT_MM]
    wide = [slot for slot in card.slots if slot.width_mm >= SLIT_MM]
    shape: shapely.Geometry = card.whole
    for slot in wide:
        shape = shapely.difference(shape, slot.area)
    shape = shape.simplify(0.02)
    folds = [fold.buffer(0.01) for fold in card.folds]
    # what is cut lies over what is only drawn
    lines: list[tuple[Stroke, shapely.Geometry]] = [("guide", guide) for guide in card.guides]
    lines.append(("cut", shapely.difference(shape.boundary, shapely.union_all(folds))))
    for slot in slits:
        lines.append(("cut", shapely.intersection(LineString([slot.start, slot.end]), card.whole)))
    lines += [("fold", fold) for fold in card.folds]
    drawn = [(stroke, part) for stroke, geometry in lines for part in _parts(geometry)]
    x0, y0, x1, y1 = shapely.total_bounds(np.array([part for _, part in drawn]))
    place = [1.0, 0.0, 0.0, -1.0, -x0, y1]
    names, arrows = labels(card, caption, place)
    drawn += [("guide", arrow) for arrow in arrows]
    words = [*names, *(Word(x - x0, y1 - y, text, 6.0, down_mm=0.7) for x, y, text in card.notes)]
    moved = tuple((stroke, shapely.get_coordinates(affine_transform(part, place))) for stroke, part in drawn)
    return Flat(card.name, title, float(x1 - x0), float(y1 - y0), moved, tuple(words), card.role == "footprint")


def _parts(geometry: shapely.Geometry) -> list[LineString]:
    merged = shapely.line_merge(geometry) if geometry.geom_type == "MultiLineString" else geometry
    return [part for part in shapely.get_parts(merged) if part.length > 1e-6]


def tiles(flat_card: Flat, width_mm: float, height_mm: float, lap_mm: float) -> list[Flat]:
    """The card in tiles no larger than given, row by row; neighbours share a lap with the same line to join along.

    The line lies in the middle of the lap; both tiles carry it, its name and two crosses on it.
    """
    columns = _ends(flat_card.width_mm, width_mm, lap_mm, _across(flat_card, 0))
    rows = _ends(flat_card.height_mm, height_mm, lap_mm, _across(flat_card, 1))
    if len(columns) == len(rows) == 1:
        return [flat_card]
    out = []
    joins = _joins(flat_card, columns, rows, lap_mm)
    for row, (y0, y1) in enumerate(rows):
        for column, (x0, x1) in enumerate(columns):
            window = box(x0, y0, x1, y1)
            lines: list[tuple[Stroke, Floats]] = []
            for stroke, line in (*flat_card.lines, *joins[0]):
                for part in _parts(shapely.intersection(LineString(line), window)):
                    lines.append((stroke, shapely.get_coordinates(part) - (x0, y0)))
            if not any(stroke == "cut" for stroke, _ in lines):
                continue
            words = tuple(
                replace(word, x=word.x - x0, y=word.y - y0)
                for word in (*flat_card.words, *joins[1])
                if x0 <= word.x <= x1 and y0 <= word.y <= y1
            )
            key = f"{flat_card.key}-{row * len(columns) + column + 1}"
            out.append(Flat(key, flat_card.title, x1 - x0, y1 - y0, tuple(lines), words, flat_card.alone))
    return out


NAMES_MM = 16.0
"""Two marks of a join closer than this bear one name."""
TICK_MM = 5.0
"""A line only drawn that is shorter marks a height."""
CLEAR_MM = 8.0
"""A join keeps this far from slots that run along it, where there is room."""


def _across(card: Flat, axis: int) -> list[float]:
    """Places along an axis where a slot or a tick runs square to it, on which no join should fall."""
    straight = [line for stroke, line in card.lines if stroke == "cut" and len(line) == 2]
    ticks = [
        line
        for stroke, line in card.lines
        if stroke == "guide" and len(line) == 2 and np.ptp(line, axis=0).max() < TICK_MM
    ]
    return [float(line[0, axis]) for line in straight + ticks if abs(line[1, axis] - line[0, axis]) < 1e-6]


def _ends(whole: float, most: float, lap: float, avoid: list[float]) -> list[tuple[float, float]]:
    """Windows over a length, each lapping the one before: even, or of two with the lap clear of places to avoid."""
    if whole <= most:
        return [(0.0, whole)]
    count = int(np.ceil((whole - lap) / (most - lap)))
    step = (whole - lap) / count
    if count == 2:
        tried = np.arange(whole - most, most - lap + 1e-9, 0.5)
        clear = [min((abs(at + lap / 2 - place) for place in avoid), default=CLEAR_MM) for at in tried]
        worth = [(min(room, CLEAR_MM), -abs(at - step)) for room, at in zip(clear, tried, strict=True)]
        step = float(tried[max(range(len(tried)), key=lambda n: worth[n])])
        return [(0.0, step + lap), (step, whole)]
    return [(n * step, n * step + step + lap) for n in range(count)]


def _joins(
    card: Flat, columns: list[tuple[float, float]], rows: list[tuple[float, float]], lap: float
) -> tuple[list[tuple[Stroke, Floats]], list[Word]]:
    lines: list[tuple[Stroke, Floats]] = []
    words: list[Word] = []
    name = 0
    for ends, across, wide in ((columns, 0, card.height_mm), (rows, 1, card.width_mm)):
        for _, end in ends[:-1]:
            name += 1
            at = end - lap / 2
            line = np.array([(at, 0.0), (at, wide)])
            lines.append(("join", line if across == 0 else line[:, ::-1]))
            marks = _marks(card, at, across)
            for number, place in enumerate(marks):
                for way in ((2.0, 2.0), (2.0, -2.0)):
                    cross = np.array([(at - way[0], place - way[1]), (at + way[0], place + way[1])])
                    lines.append(("guide", cross if across == 0 else cross[:, ::-1]))
                if number and marks[1] - marks[0] < NAMES_MM:
                    continue
                for off in (-2.6, 3.8):
                    x, y = (at + off, place - 3.0) if across == 0 else (place + 4.0, at + off)
                    words.append(Word(x, y, f"{card.key}.{name}", 6.0))
    return lines, words


def _marks(card: Flat, at: float, across: int) -> tuple[float, float]:
    """Two places along a join, within the card."""
    line = LineString([(at, -1.0), (at, 1e4)] if across == 0 else [(-1.0, at), (1e4, at)])
    hits = [
        value
        for stroke, points in card.lines
        if stroke == "cut"
        for value in shapely.get_coordinates(shapely.intersection(LineString(points), line))[:, 1 - across].tolist()
    ]
    low, high = (min(hits), max(hits)) if hits else (0.0, card.height_mm if across == 0 else card.width_mm)
    return low + 0.25 * (high - low), low + 0.75 * (high - low)
