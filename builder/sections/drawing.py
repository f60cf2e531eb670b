"""Contours drawn to true scale in an SVG file, one path each."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import svgelements
from lxml import etree

from builder.arrays import Floats
from builder.errors import ModelError, Problem

FLAT_MM = 0.02
"""A curve is drawn by straight pieces no farther from it than this."""
MOST_BYTES = 20_000_000
MOST_POINTS = 5000
"""Points of one contour."""
_NUMBERED = re.compile(r"(?:contour[ _-]*)?0*([1-9][0-9]{0,2})", re.IGNORECASE)
_LENGTH = re.compile(r"[0-9.]+(mm|cm|in)")
_LABEL = "}label"
"""Ends the key of a name that a drawing program gives, whatever its name space."""
_ORIGIN = "origin"


def drawn(path: Path, where: str) -> dict[int, tuple[Floats, ...]]:
    """Contour number to its rings (n, 2) in mm: x to the right of the drawing, y up it, so that the front is lowest.

    0, 0 is the middle of the mark named ``origin``, or else of the drawing. Raises ModelError for a file that is no
    such drawing; ``where`` is the line of study.yml that names it.
    """
    content = _content(path, where)
    _check(content, path.name, where)
    try:
        svg: Any = svgelements.SVG.parse(io.BytesIO(content), reify=True, ppi=25.4)
        shapes = [one for one in svg.elements() if isinstance(one, svgelements.Shape)]
        named = [(_name(shape), svgelements.Path(shape)) for shape in shapes]
        middle = np.array([float(svg.width) / 2, float(svg.height) / 2])
        for name, outline in named:
            if name.lower() == _ORIGIN and outline.bbox() is not None:
                left, top, right, bottom = (float(side) for side in outline.bbox())
                middle = np.array([(left + right) / 2, (top + bottom) / 2])
        rings = [(name, _rings(outline)) for name, outline in named if name.lower() != _ORIGIN]
    except (ValueError, TypeError, ArithmeticError, IndexError, KeyError, AttributeError, RecursionError) as error:
        raise _wrong(where, path.name, "which cannot be read as a drawing", "export it as plain SVG") from error
    return _by_number(rings, middle, path.name, where)


def _by_number(
    drawn_rings: list[tuple[str, list[Floats]]], middle: Floats, name: str, where: str
) -> dict[int, tuple[Floats, ...]]:
    contours: dict[int, tuple[Floats, ...]] = {}
    for label, rings in drawn_rings:
        match = _NUMBERED.fullmatch(label.strip())
        if match is None:
            found = f"which has a path {f'named `{label[:40]}`' if label else 'without a name'}"
            raise _wrong(where, name, found, "name each path by its contour's number, such as `contour-7`")
        number = int(match[1])
        if number in contours:
            raise _wrong(where, name, f"which has contour {number} twice", "give every path a number of its own")
        if not rings:
            raise _wrong(where, name, f"in which contour {number} has no line", "draw it or take it out")
        if sum(len(ring) for ring in rings) > MOST_POINTS:
            raise _wrong(where, name, f"in which contour {number} has more than {MOST_POINTS:,} points", "simplify it")
        if not all(np.isfinite(ring).all() for ring in rings):
            raise _wrong(where, name, f"in which contour {number} has a place that is no number", "draw it again")
        contours[number] = tuple((ring - middle) * (1.0, -1.0) for ring in rings)
    if not contours:
        raise _wrong(where, name, "which has no path in it", "turn text and pictures into paths")
    return contours


def _content(path: Path, where: str) -> bytes:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise _wrong(where, path.name, "which is larger than 20 MB", "simplify its paths")
        return path.read_bytes()
    except OSError as error:
        raise _wrong(where, path.name, "which cannot be opened", "put the drawing in the study's folder") from error


def _check(content: bytes, name: str, where: str) -> None:
    """What a drawing must be before its lines are read."""
    try:
        root = etree.fromstring(content, etree.XMLParser(resolve_entities=False, no_network=True))
    except (etree.XMLSyntaxError, ValueError) as error:
        raise _wrong(where, name, "which is not an SVG file", "export the drawing as SVG") from error
    if root.tag != "{http://www.w3.org/2000/svg}svg":
        raise _wrong(where, name, "which is not an SVG file", "export the drawing as SVG")
    if root.getroottree().docinfo.internalDTD is not None and b"<!ENTITY" in content:
        raise _wrong(where, name, "which has words that stand for others (entities)", "export it as plain SVG")
    if not all(_LENGTH.fullmatch(root.get(side, "").strip()) for side in ("width", "height")):
        raise _wrong(where, name, "which has no size in mm, cm or in", "give the drawing's width and height in mm")
    for kind, word in (("text", "a text"), ("image", "a picture"), ("use", "a clone")):
        if next(root.iter(f"{{http://www.w3.org/2000/svg}}{kind}"), None) is not None:
            raise _wrong(where, name, f"which has {word} in it", "turn it into a path or take it out")


def _name(shape: Any) -> str:
    """The number in the label comes first: programs give ids of their own."""
    label = next((value for key, value in shape.values.items() if str(key).endswith(_LABEL)), "")
    own = shape.values.get("id") or ""
    for name in (label, own):
        if _NUMBERED.fullmatch(name.strip()) or name.lower() == _ORIGIN:
            return str(name.strip())
    return str(label or own)


def _rings(path: Any) -> list[Floats]:
    rings = []
    for part in path.as_subpaths():
        points = np.array([[point.x, point.y] for point in _points(svgelements.Path(part))], np.float64).reshape(-1, 2)
        if len(points) > 1:
            moved = np.concatenate([[True], np.linalg.norm(np.diff(points, axis=0), axis=1) > 1e-6])
            rings.append(points[moved])
    return rings


def _points(path: Any) -> Iterator[Any]:
    for segment in path:
        if segment.end is None:
            continue
        count = _count(segment)
        for place in range(1, count):
            yield segment.point(place / count)
        yield segment.end


def _count(segment: Any) -> int:
    """Straight pieces: over a piece 1/n of it, a curve is off its chord by at most its second derivative / 8 n^2."""
    if isinstance(segment, svgelements.CubicBezier):
        one, two, three, four = (complex(p.x, p.y) for p in (segment[0], segment[1], segment[2], segment[3]))
        bend = 6 * max(abs(one - 2 * two + three), abs(two - 2 * three + four))
    elif isinstance(segment, svgelements.QuadraticBezier):
        one, two, three = (complex(p.x, p.y) for p in (segment[0], segment[1], segment[2]))
        bend = 2 * abs(one - 2 * two + three)
    elif isinstance(segment, svgelements.Arc):
        bend = max(float(segment.rx), float(segment.ry)) * float(segment.sweep) ** 2
    else:
        return 1
    return int(min(max(np.ceil(np.sqrt(bend / (8 * FLAT_MM))), 1), MOST_POINTS + 1))


def _wrong(where: str, name: str, found: str, do: str) -> ModelError:
    return ModelError(Problem(where, f"`svg` is `{name}`, {found}", "it takes a drawing at true scale", do))
