"""Plan and side drawing of a table card, to one scale, on a printed page.

On the plan the model's front looks down the page and its left lies to the right, as for someone who stands before it.
The side drawing is unrolled: the eye's upright plane to the left of the cross, the lamps' to the right, so that every
length along the table and every height is true.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from builder.light.stance import Stance
from builder.paper.fonts import width_mm
from builder.paper.page import Page
from builder.table.card import Point, TableCard
from builder.table.tape import tape_cm
from builder.words.words import Words

SCALES = (1, 2, 2.5, 4, 5, 7.5, 10, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200, 250, 500, 1000)
"""A drawing is one part in so many of the thing."""
ROOM_MM = 10.0
"""Left round what is drawn, for names."""
SMALL_PT = 7.0
LETTERS_MM = 3.2
"""Height that a name takes."""
SLAB = 1.15
"""Half width of the slab, in half widths of the model's footprint, on the side drawing."""
EYE_MM = 1.4
Placed = Callable[[Stance], Point]


@dataclass(frozen=True, slots=True)
class Box:
    """Where on the page a drawing goes, mm from the page's top left corner."""

    x: float
    y: float
    width: float
    height: float


def drawn_scale(card: TableCard, plan: Box, side: Box) -> float:
    """The largest of :data:`SCALES` at which both drawings fit: N for 1 to N."""
    need = 0.0
    for points, box in ((_plan_points(card), plan), (_side_points(card), side)):
        wide, high = _spans(points)
        need = max(need, wide / (box.width - 2 * ROOM_MM), high / (box.height - 2 * ROOM_MM))
    return next((scale for scale in SCALES if scale >= need), math.ceil(need))


def draw_plan(page: Page, card: TableCard, box: Box, scale: float, words: Words, number: int) -> None:
    """The cross, the footprint, the eye and every lamp from above."""
    draft = _Draft(page, _plan_points(card), box, scale)
    eye = _seen_from_above(card.eye)
    footprint = _footprint(card)
    front = max(y for _, y in footprint)
    with page.figure(words("table.plan_alt", number=number, scale=f"{scale:g}")):
        draft.line(footprint, 0.25, 0.3, closed=True, fill=0.92)
        x, y = draft.at((0.0, front))
        draft.words((x, y + 3.2), words("table.front"))
        draft.line([(0.0, 0.0), eye], 0.18, 0.45, dash=(1.2, 0.8))
        draft.tape(card.eye)
        for lamp in card.lamps:
            place = _seen_from_above(lamp)
            draft.line([(0.0, 0.0), place], 0.1, 0.6)
            draft.face(place, (-place[0], -place[1]), lamp.width_mm)
        draft.cross((0.0, 0.0))
        draft.eye(eye)
        draft.names(_named(card, words, number, _seen_from_above), (0.0, 0.0))


def draw_side(page: Page, card: TableCard, box: Box, scale: float, words: Words, number: int) -> None:
    """The table's edge, the model on its slab, the eye to the left of it and every lamp to the right."""
    points = _side_points(card)
    draft = _Draft(page, points, box, scale)
    half = _half_mm(card)
    top = card.slab_mm + card.height_mm
    aim = (0.0, -card.eye.aim_mm)
    eye = _from_the_side(card.eye, -1)
    with page.figure(words("table.side_alt", number=number, scale=f"{scale:g}")):
        draft.line([(min(x for x, _ in points), 0.0), (max(x for x, _ in points), 0.0)], 0.35)
        if card.slab_mm > 0.0:
            wide = SLAB * half
            draft.line(
                [(-wide, 0), (wide, 0), (wide, -card.slab_mm), (-wide, -card.slab_mm)], 0.2, closed=True, fill=0.8
            )
        draft.line(
            [(-half, -card.slab_mm), (half, -card.slab_mm), (half, -top), (-half, -top)], 0.2, closed=True, fill=0.92
        )
        draft.line([eye, aim], 0.18, 0.45, dash=(1.2, 0.8))
        draft.upright(eye)
        for lamp in card.lamps:
            place = _from_the_side(lamp, 1)
            draft.line([aim, place], 0.1, 0.6)
            draft.upright(place)
            draft.face(place, (aim[0] - place[0], aim[1] - place[1]), lamp.height_mm)
        draft.cross(aim)
        draft.eye(eye)
        sides = {id(card.eye): -1}
        draft.names(_named(card, words, number, lambda one: _from_the_side(one, sides.get(id(one), 1))), aim)


class _Draft:
    """A drawing on a page: points in mm at the table, x to the right and y down the page."""

    def __init__(self, page: Page, points: Sequence[Point], box: Box, scale: float) -> None:
        self._page, self._scale, self._box = page, scale, box
        left, top = min(x for x, _ in points), min(y for _, y in points)
        wide, high = _spans(points)
        self._x = box.x + (box.width - wide / scale) / 2 - left / scale
        self._y = box.y + (box.height - high / scale) / 2 - top / scale
        self._taken: list[tuple[float, float, float]] = []

    def at(self, point: Point) -> Point:
        """Its place on the page."""
        return self._x + point[0] / self._scale, self._y + point[1] / self._scale

    def line(
        self,
        points: Iterable[Point],
        width: float,
        grey: float = 0.0,
        dash: Sequence[float] = (),
        closed: bool = False,
        fill: float | None = None,
    ) -> None:
        """A line through places at the table; ``width`` in mm of the page."""
        self._page.line([self.at(point) for point in points], width, grey, dash, closed, fill)

    def words(self, place: Point, text: str) -> None:
        """A few words with their middle at a place of the page."""
        self._taken.append((*place, width_mm(text, SMALL_PT) / 2))
        self._page.text(place[0], place[1], text, SMALL_PT, anchor="middle", tag=None)

    def cross(self, point: Point) -> None:
        """The cross that everything is measured from, or the middle that is aimed at."""
        x, y = self.at(point)
        self._page.line([(x - 1.8, y), (x + 1.8, y)], 0.3)
        self._page.line([(x, y - 1.8), (x, y + 1.8)], 0.3)

    def eye(self, point: Point) -> None:
        """An eye: a ring with a dot."""
        x, y = self.at(point)
        for radius, fill in ((EYE_MM, 1.0), (EYE_MM / 3, 0.0)):
            ring = [
                (x + radius * math.cos(t / 12 * math.pi), y + radius * math.sin(t / 12 * math.pi)) for t in range(24)
            ]
            self._page.line(ring, 0.3, closed=True, fill=fill)

    def face(self, point: Point, towards: Point, width: float) -> None:
        """A lamp's face edge-on, square to the way it looks, at its true width."""
        away = math.hypot(*towards)
        x, y = (towards[0] / away, towards[1] / away) if away > 0.0 else (0.0, 1.0)
        half = width / 2.0
        self.line([(point[0] - y * half, point[1] + x * half), (point[0] + y * half, point[1] - x * half)], 1.0)

    def tape(self, stance: Stance) -> None:
        """The two lengths that a tape measures on the table: along the front line, then square to it."""
        corner, end = (0.0, stance.front_mm), _seen_from_above(stance)
        for first, last, length in (((0.0, 0.0), corner, stance.front_mm), (corner, end, stance.left_mm)):
            if abs(length) / self._scale > 6.0:
                self.line([first, last], 0.18, 0.3)
                x, y = self.at(((first[0] + last[0]) / 2, (first[1] + last[1]) / 2))
                beside = 1.0 if last[0] == first[0] else 0.0
                text = tape_cm(abs(length))
                shift = beside * (width_mm(text, SMALL_PT) / 2 + 1.0) * (-1.0 if stance.left_mm > 0 else 1.0)
                self.words((x + shift, y + (1.0 if beside else 3.2)), text)

    def upright(self, point: Point) -> None:
        """The height over the table, as a dashed line with its length."""
        self.line([point, (point[0], 0.0)], 0.18, 0.3, dash=(0.6, 0.6))
        x, y = self.at((point[0], point[1] / 2))
        text = tape_cm(-point[1])
        if abs(point[1]) / self._scale > 5.0:
            self.words((x + (width_mm(text, SMALL_PT) / 2 + 0.8) * (1 if point[0] < 0 else -1), y + 1.0), text)
        if abs(point[0]) / self._scale > 6.0:
            self.words((self.at((point[0], 0.0))[0], self.at((0.0, 0.0))[1] + 3.4), tape_cm(abs(point[0])))

    def names(self, named: Sequence[tuple[Point, str]], middle: Point) -> None:
        """Names beyond their places, away from the middle, none on another and all within the box."""
        centre = self.at(middle)
        for point, text in named:
            x, y = self.at(point)
            away = math.dist((x, y), centre)
            dx, dy = ((x - centre[0]) / away, (y - centre[1]) / away) if away > 0.5 else (0.0, -1.0)
            half = width_mm(text, SMALL_PT) / 2
            at = [x + dx * (half + 3.0), y + dy * 5.0 + 1.0]
            inside = min(max(at[0], self._box.x + half), self._box.x + self._box.width - half)
            if abs(inside - at[0]) > 0.1:  # no room beside it: above it, or below
                at = [inside, y + (4.6 if dy > 0.0 else -2.6)]
            step = LETTERS_MM if dy >= 0.0 else -LETTERS_MM
            while any(abs(at[0] - tx) < half + th + 1.0 and abs(at[1] - ty) < LETTERS_MM for tx, ty, th in self._taken):
                at[1] += step
            self.words((at[0], at[1]), text)


def _named(card: TableCard, words: Words, number: int, place: Placed) -> list[tuple[Point, str]]:
    names = [(place(card.eye), words("table.eye_of", number=number))]
    return names + [(place(lamp), words(f"lightings.{lamp.role}")) for lamp in card.lamps]


def _seen_from_above(stance: Stance) -> Point:
    return stance.left_mm, stance.front_mm


def _from_the_side(stance: Stance, side: int) -> Point:
    return side * stance.along_mm, -stance.above_mm


def _footprint(card: TableCard) -> list[Point]:
    return [(x, -y) for x, y in card.footprint_mm]


def _half_mm(card: TableCard) -> float:
    """Half the model's width, square to the way the eye looks."""
    bearing = math.radians(card.eye.bearing_deg)
    return max(abs(x * math.cos(bearing) + y * math.sin(bearing)) for x, y in card.footprint_mm)


def _plan_points(card: TableCard) -> list[Point]:
    points = [(0.0, 0.0), _seen_from_above(card.eye), *_footprint(card)]
    for lamp in card.lamps:
        points += _round(_seen_from_above(lamp), lamp.width_mm / 2)
    return points


def _side_points(card: TableCard) -> list[Point]:
    half = SLAB * _half_mm(card)
    points = [(-half, 0.0), (half, -card.slab_mm - card.height_mm), _from_the_side(card.eye, -1)]
    for lamp in card.lamps:
        points += _round(_from_the_side(lamp, 1), lamp.height_mm / 2)
    return points


def _round(point: Point, radius: float) -> list[Point]:
    return [(point[0] + x * radius, point[1] + y * radius) for x, y in ((-1, 0), (1, 0), (0, -1), (0, 1))]


def _spans(points: Sequence[Point]) -> tuple[float, float]:
    wide = [x for x, _ in points]
    high = [y for _, y in points]
    return max(wide) - min(wide), max(high) - min(high)
