"""OBJ files: points and faces, in the text's own order.

Own reader: an OBJ file counts nothing, so one that was cut short is taken elsewhere for a smaller model, and faces that
count their points backwards, or from 0, for other faces. Format: Wavefront, "Object Files (.obj)", appendix B1.
"""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray

from builder.model.polygons import from_polygons
from builder.model.source import AGAIN, MeshFile
from builder.model.triangles import Indices

UNUSED_MOST = 0.25
"""A file in which more of the points than this belong to no face ends too early: faces follow the points."""


def read_obj(file: MeshFile) -> tuple[NDArray[np.float64], Indices]:
    """Points (n, 3) and faces (m, 3) of an OBJ file, polygons cut into triangles; raises :class:`ModelError`.

    Normals, texture places, groups and materials are left.
    """
    data = file.data.replace(b"\r\n", b"\n").replace(b"\r", b"\n").replace(b"\\\n", b" ")
    if b"\x00" in data:
        raise file.refuse("holds bytes that no OBJ file holds", do=AGAIN)
    lines = data.split(b"\n")
    rows: list[list[bytes]] = []
    polygons: list[Indices] = []
    for number, line in enumerate(lines, start=1):
        words = line.split()
        if not words or words[0] not in (b"v", b"f"):
            continue
        if len(words) < 4:
            if not any(line.strip() for line in lines[number:]):
                raise file.refuse(f"is cut short: its last line is “{_shown(line)}”", do=AGAIN)
            raise file.refuse(f"has {len(words) - 1} numbers on line {number}, “{_shown(line)}”, and needs 3")
        if words[0] == b"v":
            rows.append(words[1:4])
        else:
            polygons.append(_corners(file, number, words[1:], len(rows)))
    points = _points(file, rows)
    faces = from_polygons(polygons)
    unused = len(points) - len(np.unique(faces))
    if len(faces) and faces.max() < len(points) and unused > UNUSED_MOST * len(points):
        raise file.refuse(
            f"has {unused:,} points of {len(points):,} that belong to no face, as a file that was cut short has",
            do=AGAIN,
        )
    return points, faces


def _shown(line: bytes) -> str:
    """A line of the file as it may stand in a message."""
    return line.strip()[:60].decode("latin-1")


def _points(file: MeshFile, rows: list[list[bytes]]) -> NDArray[np.float64]:
    """(n, 3) from the words of the file's points."""
    try:
        return np.array(rows, dtype="S").astype(np.float64).reshape(-1, 3)
    except ValueError as odd:
        if any(re.search(rb"\d,\d", word) for row in rows for word in row):
            raise file.refuse(
                "has decimal commas in its numbers", "only decimal points are read", "export it with those"
            ) from odd
        raise file.refuse("has points that are not numbers", do=AGAIN) from odd


def _corners(file: MeshFile, number: int, words: list[bytes], points: int) -> Indices:
    """The points of the face on line ``number``, from 0; those counted backwards count from the ``points`` so far."""
    try:
        corners = np.array([int(word.partition(b"/")[0]) for word in words], np.int64)
    except (ValueError, OverflowError) as odd:
        raise file.refuse(f"has a face on line {number} that cannot be read: “{_shown(b' '.join(words))}”") from odd
    if (corners == 0).any():
        raise file.refuse(f"has a face on line {number} with point 0", "OBJ files count their points from 1")
    corners = np.where(corners < 0, corners + points, corners - 1)
    if (corners < 0).any():
        raise file.refuse(f"has a face on line {number} that counts back before the first point")
    return corners
