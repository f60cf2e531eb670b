"""Outlines written as SVG: to be printed and drawn from, laid over the picture, or filled shape by shape."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from types import MappingProxyType
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from builder.form.stroke_svg import DASH, STROKE_SHARE, svg_opening
from builder.plates.outlines import Outlines
from builder.plates.rings import Rings, find_rings
from builder.plates.rooms import Rooms, find_rooms

_DASHED = {"terminator"}
"""Kinds of line drawn in dashes over the plain border."""
SMALLEST_SHARE, LARGEST_SHARE = 0.012, 0.025
"""Font size of numbers against the picture's shorter side: 1.6 to 3.3 mm on a print 133 mm wide. Chosen by eye."""
_FIGURE_WIDTH, _FIGURE_HEIGHT = 0.56, 0.72
"""Width and height of a figure in a plain sans serif, against the font size. From memory: in Helvetica 0.556, 0.72."""
_FILLED = 0.9
"""How much of the circle's width a number takes."""


def outline_svg(
    outlines: Outlines,
    names: Mapping[int, str],
    title: str,
    lines: Mapping[str, Sequence[NDArray[Any]]] = MappingProxyType({}),
) -> bytes:
    """The outlines as a complete SVG file, one unit a pixel, the picture's top left corner being the origin.

    One path for each shape, even-odd, so that it can be filled; in all shapes with a label in ``names`` that have room
    for it (:func:`font_size_px`), what it is called. Lines and letters have the current colour, black in a file opened
    by itself; both kinds of element have the class ``shape-<label>``, so that a page can colour them. Coordinates are
    tenths of px. ``title`` is what the whole is called. ``lines``, each (m, 2) px, are drawn again, twice as wide, one
    path for each kind, which is its class; a terminator in dashes. Printed by itself the file is as wide as the plate
    on the sheet.
    """
    rings = find_rings(outlines)
    rooms = find_rooms(outlines.runs, rings)
    width, height = outlines.width_px, outlines.height_px
    stroke = min(width, height) * STROKE_SHARE
    parts = [
        *svg_opening(title, width, height),
        f'<g fill="none" fill-rule="evenodd" stroke="currentColor" stroke-width="{stroke:.2f}"'
        ' stroke-linejoin="round">',
        *_paths(outlines, rings),
        *(
            f'<path class="{kind}" stroke-width="{2 * stroke:.2f}"{_dashed(kind, stroke)} d="{_open(some)}"/>'
            for kind, some in lines.items()
            if some
        ),
        "</g>",
        '<g fill="currentColor" font-family="sans-serif" text-anchor="middle">',
        *_names(outlines, rooms, names),
        "</g>",
        "</svg>",
    ]
    return ("\n".join(parts) + "\n").encode()


def font_size_px(radius_px: float, name: str, shorter_px: int) -> float:
    """Size in which ``name`` is written into a circle of ``radius_px``, in a picture whose shorter side is
    ``shorter_px``; 0 where it would be smaller than can be read.
    """
    half_diagonal = 0.5 * float(np.hypot(_FIGURE_WIDTH * len(name), _FIGURE_HEIGHT))
    size = min(_FILLED * radius_px / half_diagonal, LARGEST_SHARE * shorter_px)
    return size if size >= SMALLEST_SHARE * shorter_px else 0.0


def _names(outlines: Outlines, rooms: Rooms, names: Mapping[int, str]) -> list[str]:
    written = []
    shorter = min(outlines.width_px, outlines.height_px)
    for shape, label in enumerate(outlines.runs.step_of_shape.tolist()):
        size = font_size_px(float(rooms.radius_px[shape]), names[label], shorter) if label in names else 0.0
        if size > 0.0:
            x, y = rooms.centre[shape].tolist()
            base = y + 0.5 * _FIGURE_HEIGHT * size  # letters stand on y
            written.append(
                f'<text class="shape-{label}" x="{_number(x)}" y="{_number(base)}" font-size="{_number(size)}">'
                f"{escape(names[label])}</text>"
            )
    return written


def _dashed(kind: str, stroke: float) -> str:
    if kind not in _DASHED:
        return ""
    return f' stroke-dasharray="{" ".join(f"{length * stroke:.1f}" for length in DASH)}"'


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _paths(outlines: Outlines, rings: Rings) -> list[str]:
    data, ends = _commands(rings.points, rings.first, closed=True)
    count = len(outlines.runs.step_of_shape)
    bounds = np.append(0, ends)[np.searchsorted(rings.shape, np.arange(count + 1))].tolist()
    labels = outlines.runs.step_of_shape.tolist()
    return [
        f'<path class="shape-{label}" d="{data[bounds[shape] : bounds[shape + 1]]}"/>'
        for shape, label in enumerate(labels)
    ]


def _open(lines: Sequence[NDArray[Any]]) -> str:
    return _commands(np.concatenate(lines), np.cumsum([0, *map(len, lines)]), closed=False)[0]


def _commands(points: NDArray[Any], first: NDArray[np.int64], closed: bool) -> tuple[str, NDArray[np.int64]]:
    """Path commands of lines, one after the other, and where each ends; line i has the points from ``first[i]`` on."""
    tenths = np.rint(10.0 * points).astype(np.int32)
    # A number has a sign or space, a point and a digit for each place; a line three letters.
    longest = 3 + len(str(int(np.abs(tenths).max(initial=0))))
    text = np.zeros(2 * longest * len(tenths) + 3 * len(first), np.uint8)
    ends = _write(tenths, first, closed, text)
    return text[: ends[-1] if len(ends) else 0].tobytes().decode("ascii"), ends


@njit(cache=True, nogil=True)
def _write(tenths: Any, first: Any, closed: bool, text: Any) -> Any:
    """Fill in the commands as ASCII; where those of each line end."""
    at = 0
    ends = np.zeros(len(first) - 1, np.int64)
    for ring in range(len(first) - 1):
        x, y = tenths[first[ring]]
        text[at] = ord("M")
        at = _write_number(y, _write_number(x, at + 1, text, False), text, True)
        text[at] = ord("l")
        at += 1
        follows = False
        for i in range(first[ring] + 1, first[ring + 1]):
            dx, dy = tenths[i, 0] - x, tenths[i, 1] - y
            if dx != 0 or dy != 0:
                at = _write_number(dy, _write_number(dx, at, text, follows), text, True)
                x, y, follows = tenths[i, 0], tenths[i, 1], True
        if not follows:  # a line that is one point
            text[at], text[at + 1], text[at + 2] = ord("0"), ord(" "), ord("0")
            at += 3
        if closed:
            text[at] = ord("z")
            at += 1
        ends[ring] = at
    return ends


@njit(cache=True, nogil=True)
def _write_number(tenths: int, at: int, text: Any, follows: bool) -> int:
    """Write a number of tenths as shortly as can be, parted from what it ``follows``; where the text then ends."""
    if tenths < 0:
        text[at] = ord("-")
        at += 1
    elif follows:
        text[at] = ord(" ")
        at += 1
    whole, tenth = abs(tenths) // 10, abs(tenths) % 10
    if whole > 0 or tenth == 0:
        power = 1
        while power * 10 <= whole:
            power *= 10
        while power > 0:
            text[at] = ord("0") + whole // power % 10
            at += 1
            power //= 10
    if tenth > 0:
        text[at], text[at + 1] = ord("."), ord("0") + tenth
        at += 2
    return at
