"""A drawing read back as a program that knows nothing of ours would: XML, path commands, polygons."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import reduce
from xml.etree import ElementTree

import numpy as np
import shapely

SVG = "{http://www.w3.org/2000/svg}"
_TOKEN = re.compile(r"[MmLlHhVvZz]|[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
FIGURE = (0.556, 0.718)
"""Advance width and cap height of Helvetica's figures, in font sizes (Adobe font metrics; from memory)."""


@dataclass(frozen=True)
class Shape:
    """A path of the drawing: its class, its rings, and the area they enclose by the even-odd rule."""

    label: int
    rings: list[np.ndarray]
    area: shapely.Geometry


@dataclass(frozen=True)
class Number:
    """A text of the drawing: its class, its words, the box of its figures."""

    label: int
    words: str
    box: shapely.Polygon


def read_shapes(svg: bytes) -> list[Shape]:
    """Every path with a class ``shape-<label>``, in order."""
    shapes = []
    for path in ElementTree.fromstring(svg).iter(f"{SVG}path"):
        kind = path.attrib["class"]
        if kind.startswith("shape-"):
            rings = [points for points, closed in lines_of(path.attrib["d"]) if closed]
            area = reduce(shapely.symmetric_difference, [enclosed(ring) for ring in rings])
            shapes.append(Shape(int(kind.removeprefix("shape-")), rings, area))
    return shapes


def enclosed(ring: np.ndarray) -> shapely.Geometry:
    """What a ring encloses by the even-odd rule; where it is but a line, nothing."""
    parts = shapely.get_parts(shapely.make_valid(shapely.Polygon(ring))) if len(ring) > 2 else []
    return shapely.union_all([part for part in parts if part.geom_type.endswith("Polygon")])


def read_numbers(svg: bytes) -> list[Number]:
    """Every text, set about its x and standing on its y."""
    numbers = []
    for text in ElementTree.fromstring(svg).iter(f"{SVG}text"):
        x, y, size = (float(text.attrib[name]) for name in ("x", "y", "font-size"))
        words = text.text or ""
        half = FIGURE[0] * size * len(words) / 2
        box = shapely.box(x - half, y - FIGURE[1] * size, x + half, y)
        numbers.append(Number(int(text.attrib["class"].removeprefix("shape-")), words, box))
    return numbers


def lines_of(path: str) -> list[tuple[np.ndarray, bool]]:
    """The lines of a path's data, as points and whether closed; straight pieces only."""
    assert re.sub(r"[\s,]", "", re.sub(_TOKEN, "", path)) == ""
    tokens = _TOKEN.findall(path)
    lines: list[tuple[list[tuple[float, float]], bool]] = []
    at, command, i = (0.0, 0.0), "", 0
    while i < len(tokens):
        if tokens[i].isalpha():
            command, i = tokens[i], i + 1
            if command in "Zz":
                lines[-1] = (lines[-1][0], True)
                at = lines[-1][0][0]
            continue
        x, y = at if command.islower() else (0.0, 0.0)
        if command in "Hh":
            at, i = (x + float(tokens[i]), at[1]), i + 1
        elif command in "Vv":
            at, i = (at[0], y + float(tokens[i])), i + 1
        else:
            at, i = (x + float(tokens[i]), y + float(tokens[i + 1])), i + 2
        if command in "Mm":
            lines.append(([], False))
            command = "L" if command == "M" else "l"
        lines[-1][0].append(at)
    # Sums of decimal numbers are not exact in binary; a millionth is far below what is written.
    return [(np.round(points, 6), closed) for points, closed in lines]


def pixel_border(labels: np.ndarray) -> shapely.Geometry:
    """All sides of pixels between different labels, and the picture's edge."""
    outer = np.pad(labels.astype(int), 1, constant_values=-1)
    sides = [((x, y), (x + 1, y)) for y, x in zip(*np.nonzero(outer[:-1, 1:-1] != outer[1:, 1:-1]), strict=True)]
    sides += [((x, y), (x, y + 1)) for y, x in zip(*np.nonzero(outer[1:-1, :-1] != outer[1:-1, 1:]), strict=True)]
    return shapely.MultiLineString(sides)


def apart_px(shapes: list[Shape], labels: np.ndarray) -> float:
    """How far the drawn borders and those of the pixels lie apart, px: the Hausdorff distance, both ways."""
    border = pixel_border(labels)
    drawn = shapely.MultiLineString([np.vstack([ring, ring[:1]]) for shape in shapes for ring in shape.rings])
    ways = []
    for one, other in ((border, drawn), (drawn, border)):
        points = shapely.points(shapely.get_coordinates(shapely.segmentize(one, 0.5)))
        tree = shapely.STRtree(shapely.get_parts(_pieces(other)))
        ways.append(float(np.max(tree.query_nearest(points, return_distance=True, all_matches=False)[1])))
    return max(ways)


def _pieces(lines: shapely.Geometry) -> shapely.Geometry:
    pieces = []
    for line in shapely.get_parts(lines):
        points = shapely.get_coordinates(line)
        pieces.append(np.stack([points[:-1], points[1:]], axis=1))
    return shapely.MultiLineString(list(np.concatenate(pieces)))


def area_of_labels(shapes: list[Shape], count: int) -> np.ndarray:
    """Area drawn for each label, px."""
    area = np.zeros(count)
    for shape in shapes:
        area[shape.label] += shape.area.area
    return area
