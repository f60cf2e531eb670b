"""A page as it is drawn: a list of things, each with its place in millimetres and its place in the reading order.

Lengths are millimetres from the page's top left corner, x to the right and y down. Greys are sRGB, 0 black to 1 white.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Literal

import numpy as np

from builder.arrays import Floats, frozen
from builder.paper.fonts import MM_PER_POINT, width_mm, wrapped

Anchor = Literal["start", "middle", "end"]
Style = Literal["regular", "bold", "oblique"]
Box = tuple[float, float, float, float]
"""Left, top, width, height, mm."""
LEADING = 1.3
"""From one line of a paragraph to the next, in sizes of its letters."""
BAR_MM = 100.0


@dataclass(frozen=True, slots=True, eq=False)
class Paths:
    """Rings or lines drawn as one, filled by even-odd where ``fill`` is a grey, stroked where ``width_mm`` is not 0."""

    rings: tuple[Floats, ...]
    closed: bool
    width_mm: float
    grey: float
    fill: float | None
    dash: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of text whose base line begins at (x, y)."""

    x: float
    y: float
    text: str
    size_pt: float
    style: Style
    grey: float
    rotated_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture file laid into a box."""

    file: bytes
    x: float
    y: float
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class Clip:
    """From here on only what lies in the box is drawn; a clip of ``None`` ends the last one begun."""

    box: Box | None


Thing = Paths | Line | Picture | Clip


@dataclass(frozen=True, slots=True)
class Cell:
    """How a cell stands in its table: what it heads, if it is a head, and over how many columns it reaches."""

    heads: Literal["", "Row", "Column"] = ""
    columns: int = 1

    @property
    def tag(self) -> str:
        """Its structure type."""
        return "TH" if self.heads else "TD"


@dataclass(frozen=True, slots=True)
class Element:
    """A piece of the page: what is drawn, and how a reader is told of it.

    ``tag`` a standard structure type (ISO 32000-1, 14.8.4) or ``None`` for what is drawn but not read; ``path`` the
    numbered groups it stands in, outermost first; ``alt`` the words for a figure; ``cell`` its place where it is one of
    a table; ``link`` the name of a bookmark that a click leads to, and ``box`` where.
    """

    things: tuple[Thing, ...]
    tag: str | None
    path: tuple[tuple[int, str], ...] = ()
    alt: str = ""
    cell: Cell | None = None
    link: str = ""
    box: Box | None = None


class Page:
    """One page, drawn on in the order in which it shall be read."""

    def __init__(self, width_mm: float, height_mm: float) -> None:
        self.width_mm = width_mm
        self.height_mm = height_mm
        self.elements: list[Element] = []
        self._silent = False
        self._path: tuple[tuple[int, str], ...] = ()
        self._groups = 0

    def line(
        self,
        points: Floats | Sequence[Sequence[float]],
        width_mm: float = 0.2,
        grey: float = 0.0,
        dash: Sequence[float] = (),
        closed: bool = False,
        fill: float | None = None,
    ) -> None:
        """A line through points (n, 2), mm; ``dash`` lengths on and off, mm. Lines are drawn, not read."""
        self.paths([points], width_mm, grey, dash, closed=closed, fill=fill)

    def paths(
        self,
        rings: Sequence[Floats | Sequence[Sequence[float]]],
        width_mm: float = 0.2,
        grey: float = 0.0,
        dash: Sequence[float] = (),
        closed: bool = True,
        fill: float | None = None,
    ) -> None:
        """Rings (n, 2) as one shape, mm: what lies in an even number of them is left out of the fill."""
        if rings:
            shape = Paths(
                tuple(frozen(ring, "f8", (None, 2)) for ring in rings), closed, width_mm, grey, fill, tuple(dash)
            )
            self._add((shape,), None)

    def rectangle(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        width_mm: float = 0.2,
        grey: float = 0.0,
        fill: float | None = None,
        dash: Sequence[float] = (),
    ) -> None:
        """A box, mm; a ``width_mm`` of 0 draws no edge."""
        corners = np.array([(x, y), (x + width, y), (x + width, y + height), (x, y + height)])
        self.line(corners, width_mm, grey, dash, closed=True, fill=fill)

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size_pt: float = 9.0,
        bold: bool = False,
        anchor: Anchor = "start",
        tag: str | None = "P",
        *,
        oblique: bool = False,
        grey: float = 0.0,
        link: str = "",
        rotated_deg: float = 0.0,
        cell: Cell | None = None,
    ) -> None:
        """One line of text with its base line at y; ``anchor`` says which end of it stands at x.

        ``link`` names a bookmark to go to. ``rotated_deg`` turns it counter-clockwise about (x, y). A ``cell`` of a
        table is tagged as one.
        """
        style: Style = "bold" if bold else "oblique" if oblique else "regular"
        long = width_mm(text, size_pt, style)
        back = {"start": 0.0, "middle": long / 2, "end": long}[anchor]
        angle = np.deg2rad(rotated_deg)
        at = x - back * float(np.cos(angle)), y + back * float(np.sin(angle))
        size = size_pt * MM_PER_POINT
        box = (at[0], y - size, long, 1.3 * size) if link else None
        self._add((Line(*at, text, size_pt, style, grey, rotated_deg),), tag, cell=cell, link=link, box=box)

    def paragraph(
        self,
        x: float,
        y: float,
        width_mm: float,
        text: str,
        size_pt: float = 9.0,
        tag: str | None = "P",
        *,
        bold: bool = False,
        oblique: bool = False,
        grey: float = 0.0,
        leading: float = LEADING,
        cell: Cell | None = None,
    ) -> float:
        """Text broken into lines within ``width_mm``, the first one's top at y; returns the height it takes, mm."""
        style: Style = "bold" if bold else "oblique" if oblique else "regular"
        step = size_pt * MM_PER_POINT * leading
        lines = wrapped(text, size_pt, width_mm, style)
        first = y + step / 2 + 0.36 * size_pt * MM_PER_POINT
        things = tuple(
            Line(x, first + step * row, f"{line} " if row + 1 < len(lines) else line, size_pt, style, grey)
            for row, line in enumerate(lines)
            if line
        )
        if things:
            self._add(things, tag, cell=cell)
        return step * len(lines)

    def picture(self, file: bytes, x: float, y: float, width_mm: float, height_mm: float, alt: str) -> None:
        """A PNG or JPEG file in a box; ``alt`` says in words what it shows (empty: it adds nothing to the words)."""
        self._add((Picture(file, x, y, width_mm, height_mm),), "Figure" if alt else None, alt=alt)

    @contextmanager
    def artifact(self) -> Iterator[None]:
        """What is drawn inside is seen but not read: rules, running heads, the numbers of a grid."""
        before, self._silent = self._silent, True
        yield
        self._silent = before

    @contextmanager
    def group(self, tag: str) -> Iterator[None]:
        """What is drawn inside belongs together in the reading order: ``Sect``, ``L``, ``LI``, ``TOC``, ``Table``."""
        before = self._path
        self._groups += 1
        self._path = (*before, (self._groups, tag))
        yield
        self._path = before

    @contextmanager
    def figure(self, alt: str) -> Iterator[None]:
        """All that is drawn inside, lines, letters and pictures, is one figure with words ``alt``."""
        with self.whole("Figure", alt=alt):
            yield

    @contextmanager
    def whole(self, tag: str, *, alt: str = "", link: str = "", box: Box | None = None) -> Iterator[None]:
        """All that is drawn inside is read as one piece; with a ``link``, a click in ``box`` leads there."""
        before, self.elements = self.elements, []
        yield
        drawn, self.elements = self.elements, before
        self._add(tuple(thing for element in drawn for thing in element.things), tag, alt=alt, link=link, box=box)

    @contextmanager
    def clip(self, x: float, y: float, width_mm: float, height_mm: float) -> Iterator[None]:
        """What is drawn inside is cut off at the box."""
        self.elements.append(Element((Clip((x, y, width_mm, height_mm)),), None))
        yield
        self.elements.append(Element((Clip(None),), None))

    def bar(self, x: float, y: float, words: str = "100 mm", length_mm: float = BAR_MM) -> None:
        """A check bar from (x, y) to the right, with a tick every 10 mm and ``words`` under its middle.

        It is ``length_mm`` long from the outer edge of its first tick to the outer edge of its last.
        """
        with self.figure(words):
            self.rectangle(x, y - 0.25, length_mm, 0.5, 0.0, fill=0.0)
            for step in range(int(length_mm // 10) + 1):
                end = step in (0, int(length_mm // 10))
                left = x + min(max(10.0 * step - 0.1, 0.0), length_mm - 0.2)
                tall = 2.5 if end or step == 5 else 1.5
                self.rectangle(left, y - tall, 0.2, tall, 0.0, fill=0.0)
            self.text(x + length_mm / 2, y + 3.6, words, 7.5, anchor="middle")

    def _add(
        self,
        things: tuple[Thing, ...],
        tag: str | None,
        alt: str = "",
        cell: Cell | None = None,
        link: str = "",
        box: Box | None = None,
    ) -> None:
        read = None if self._silent or tag in (None, "None") else cell.tag if cell else tag
        self.elements.append(Element(things, read, self._path, alt, cell, link, box))
