"""PLY files: the header's promises, held against what the file brings, and the faces or strips in it.

Own reader, because faces of mixed corner counts, triangle strips and files cut short are what scans arrive with, and
those are refused or passed over in silence elsewhere. Format: Greg Turk, "The PLY Polygon File Format" (1994).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from builder.model.polygons import from_polygons, from_strips
from builder.model.source import AGAIN, MeshFile
from builder.model.triangles import Indices

_TYPES = {
    **{"char": "i1", "uchar": "u1", "short": "i2", "ushort": "u2", "int": "i4", "uint": "u4"},
    **{"float": "f4", "double": "f8", "int8": "i1", "uint8": "u1", "int16": "i2", "uint16": "u2"},
    **{"int32": "i4", "uint32": "u4", "float32": "f4", "float64": "f8", "int64": "i8", "uint64": "u8"},
}
_COUNTS = {name for name, kind in _TYPES.items() if kind[0] in "iu"}
_FORMATS = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}


@dataclass(frozen=True, slots=True)
class Property:
    """One column: its numpy type, and for a list the type of its length."""

    name: str
    kind: str
    length: str | None


@dataclass(frozen=True, slots=True)
class Element:
    """One table of the file: its name, how many rows are promised, and its columns."""

    name: str
    rows: int
    properties: tuple[Property, ...]


@dataclass(frozen=True, slots=True)
class Header:
    """What the file promises; ``order`` is the byte order, empty for a text file; the body begins at ``start``."""

    order: str
    elements: tuple[Element, ...]
    start: int


def read_ply(file: MeshFile) -> tuple[NDArray[np.float64], Indices]:
    """Points (n, 3) and faces (m, 3) of a PLY file, polygons cut into triangles; raises :class:`ModelError`."""
    header = read_header(file)
    body = _Text(file, header) if header.order == "" else _Binary(file, header)
    columns: dict[str, dict[str, Any]] = {}
    for element in header.elements:
        columns[element.name] = body.element(element)
    if body.left():
        raise file.refuse(
            "holds more than its PLY header promises, so its numbers cannot be trusted",
            do=AGAIN,
        )
    points = columns.get("vertex", {})
    if not {"x", "y", "z"} <= points.keys():
        raise file.refuse("holds no points with x, y and z")
    vertices = np.stack([np.asarray(points[axis], np.float64) for axis in "xyz"], axis=1)
    faces = [np.zeros((0, 3), np.int64)]
    for name in ("vertex_indices", "vertex_index"):
        if name in columns.get("face", {}):
            faces.append(from_polygons(columns["face"][name]))
        if name in columns.get("tristrips", {}):
            faces.append(from_strips(columns["tristrips"][name]))
    return vertices, np.concatenate(faces)


def read_header(file: MeshFile) -> Header:
    """The header of a PLY file; raises :class:`ModelError` where it is cut short or promises the impossible."""
    end = re.search(rb"^[ \t]*end_header[ \t]*(\r\n|\n|\r)", file.data, re.MULTILINE)
    if end is None:
        raise file.refuse("is cut short in its header", do=AGAIN)
    lines = file.data[: end.start()].decode("latin-1").splitlines()
    order: str | None = None
    elements: list[tuple[str, int, list[Property]]] = []
    for number, line in enumerate(lines[1:], start=2):
        words = line.split()
        match words:
            case [] | ["comment" | "obj_info", *_]:
                pass
            case ["format", name, *_] if name in _FORMATS:
                order = _FORMATS[name]
            case ["element", name, count] if re.fullmatch(r"[0-9]+", count):
                elements.append((name, int(count), []))
            case ["property", "list", length, kind, name] if elements and length in _COUNTS and kind in _TYPES:
                elements[-1][2].append(Property(name, _TYPES[kind], _TYPES[length]))
            case ["property", kind, name] if elements and kind in _TYPES:
                elements[-1][2].append(Property(name, _TYPES[kind], None))
            case _:
                raise file.refuse(f"has a PLY header whose line {number} cannot be read: “{line.strip()[:60]}”")
    if order is None:
        raise file.refuse("has a PLY header that names no known format", f"it may be {', '.join(_FORMATS)}")
    body = len(file.data) - end.end()
    for name, rows, properties in elements:
        if len({p.name for p in properties}) < len(properties):
            raise file.refuse(f"has a PLY header that names a property of “{name}” twice", do=AGAIN)
        if rows > body:
            raise file.refuse(
                f"promises {rows:,} rows of “{name}”, more than its {len(file.data):,} bytes can hold",
                do=AGAIN,
            )
    return Header(order, tuple(Element(name, rows, tuple(own)) for name, rows, own in elements), end.end())


class _Binary:
    """Reads the tables of a binary body one after the other."""

    def __init__(self, file: MeshFile, header: Header) -> None:
        self._file = file
        self._order = header.order
        self._at = header.start

    def _row_type(self, element: Element, lengths: Sequence[int]) -> np.dtype[Any]:
        """The numpy type of a row whose lists have these lengths."""
        left = iter(lengths)
        fields: list[Any] = []
        for p in element.properties:
            if p.length is None:
                fields.append((p.name, self._order + p.kind))
            else:
                fields += [(f"{p.name} length", self._order + p.length), (p.name, self._order + p.kind, (next(left),))]
        return np.dtype(fields)

    def _first_lengths(self, element: Element) -> list[int]:
        """How long each list of the row at the present place is; raises ``ValueError`` where the file ends."""
        lengths: list[int] = []
        place = self._at
        for p in element.properties:
            kind = np.dtype(self._order + (p.length or p.kind))
            if p.length is not None:
                lengths.append(int(np.frombuffer(self._file.data, kind, 1, place)[0]))
                if not 0 <= lengths[-1] <= len(self._file.data):
                    raise self._file.refuse(f"has a list of impossible length in “{element.name}”")
                place += lengths[-1] * np.dtype(p.kind).itemsize
            place += kind.itemsize
        return lengths

    def element(self, element: Element) -> dict[str, Any]:
        """The columns of the next table: arrays, or lists of arrays where lists differ in length."""
        if element.rows == 0 or not element.properties:
            return {p.name: np.zeros(0) if p.length is None else np.zeros((0, 3), np.int64) for p in element.properties}
        try:
            lengths = self._first_lengths(element)
        except ValueError as gone:
            raise _short(self._file, element, 0) from gone
        lists = [p.name for p in element.properties if p.length is not None]
        kind = self._row_type(element, lengths)
        whole = self._at + element.rows * kind.itemsize
        if whole <= len(self._file.data):
            rows = np.frombuffer(self._file.data, kind, element.rows, self._at)
            if all((rows[f"{name} length"] == n).all() for name, n in zip(lists, lengths, strict=True)):
                self._at = whole
                return {p.name: rows[p.name] for p in element.properties}
        elif not lists:
            raise _short(self._file, element, (len(self._file.data) - self._at) // kind.itemsize)
        return self._ragged(element)

    def left(self) -> bool:
        """Whether anything but blank space follows the last table."""
        return bool(self._file.data[self._at :].strip(b"\x00 \t\r\n"))

    def _ragged(self, element: Element) -> dict[str, Any]:
        """The columns of a table whose lists differ in length, row by row."""
        columns: dict[str, list[Any]] = {p.name: [] for p in element.properties}
        known: dict[tuple[int, ...], np.dtype[Any]] = {}
        for row in range(element.rows):
            try:
                lengths = tuple(self._first_lengths(element))
                kind = known.setdefault(lengths, self._row_type(element, lengths))
                values = np.frombuffer(self._file.data, kind, 1, self._at)[0]
            except ValueError as gone:
                raise _short(self._file, element, row) from gone
            self._at += kind.itemsize
            for p in element.properties:
                columns[p.name].append(values[p.name])
        return {p.name: columns[p.name] for p in element.properties}


class _Text:
    """Reads the tables of a text body one after the other."""

    def __init__(self, file: MeshFile, header: Header) -> None:
        self._file = file
        self._at = 0
        words = file.data[header.start :].split()
        try:
            self._values = np.array(words, dtype="S").astype(np.float64) if words else np.zeros(0)
        except ValueError as odd:
            raise file.refuse("holds something else than numbers after its PLY header") from odd

    def _walk(self, element: Element) -> tuple[dict[str, list[Any]], int]:
        """One row from the present place, and the place after it; its columns are arrays."""
        row: dict[str, Any] = {}
        place = self._at
        for p in element.properties:
            length = 1
            if p.length is not None:
                if place >= len(self._values):
                    raise IndexError
                length = int(self._values[place]) if np.isfinite(self._values[place]) else -1
                place += 1
            if length < 0 or place + length > len(self._values):
                raise IndexError
            row[p.name] = self._values[place : place + length]
            place += length
        return row, place

    def element(self, element: Element) -> dict[str, Any]:
        """The columns of the next table: arrays, or lists of arrays where lists differ in length."""
        columns: dict[str, Any] = {p.name: [] for p in element.properties}
        if element.rows == 0 or not element.properties:
            return {p.name: np.zeros(0) if p.length is None else np.zeros((0, 3)) for p in element.properties}
        row = 0
        try:
            one, after = self._walk(element)
            width = after - self._at
            table = self._values[self._at : self._at + width * element.rows]
            if len(table) == width * element.rows and self._same(element, table.reshape(-1, width), one):
                return self._columns(element, table.reshape(-1, width), one)
            for row in range(element.rows):  # noqa: B007
                one, self._at = self._walk(element)
                for name, values in one.items():
                    columns[name].append(values)
        except IndexError as gone:
            raise _short(self._file, element, row) from gone
        return {p.name: np.ravel(columns[p.name]) if p.length is None else columns[p.name] for p in element.properties}

    def left(self) -> bool:
        """Whether any number follows the last table."""
        return self._at < len(self._values)

    def _same(self, element: Element, table: NDArray[np.float64], one: dict[str, Any]) -> bool:
        """Whether every row's lists are as long as those of row ``one``."""
        column = 0
        for p in element.properties:
            if p.length is not None:
                if not (table[:, column] == len(one[p.name])).all():
                    return False
                column += 1
            column += len(one[p.name])
        return True

    def _columns(self, element: Element, table: NDArray[np.float64], one: dict[str, Any]) -> dict[str, Any]:
        """The columns of a table of even rows; moves on past it."""
        self._at += table.size
        columns: dict[str, Any] = {}
        column = 0
        for p in element.properties:
            column += p.length is not None
            width = len(one[p.name])
            columns[p.name] = table[:, column] if p.length is None else table[:, column : column + width]
            column += width
        return columns


def _short(file: MeshFile, element: Element, came: int) -> Exception:
    """The error for a file that ends before its promise is kept."""
    return file.refuse(
        f"is cut short: it promises {element.rows:,} rows of “{element.name}” and ends after {came:,}",
        do=AGAIN,
    )
