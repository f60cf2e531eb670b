"""What a mesh file says of itself, held against what it brings, before a reader is let loose on it.

Readers take an STL file that ends too early for a smaller one, and make room for whatever number of points a
glTF header names. Each check here raises :class:`ModelError` with the numbers in it.
"""

from __future__ import annotations

import io
import json
import re
import struct
import zipfile
import zlib
from collections.abc import Callable
from typing import Any
from urllib.parse import unquote

from builder.model.source import AGAIN, MOST_BYTES, MeshFile


def checked(file: MeshFile) -> bytes:
    """The bytes to hand to a reader: the file's own, or with what a reader would misread put right."""
    return _CHECKS[file.kind](file)


def _stl(file: MeshFile) -> bytes:
    """A binary STL file is 84 bytes and 50 for each triangle; a text one closes every facet and the solid."""
    data = file.data
    text = data.lstrip()[:5].lower() == b"solid" and re.search(rb"\bfacet\b", data[:8192], re.IGNORECASE)
    count = struct.unpack_from("<I", data, 80)[0] if len(data) >= 84 else 0
    if len(data) == 84 + 50 * count:
        if count == 0:
            raise file.refuse("holds no triangles", do="export the mesh again")
        return data
    if not text:
        if len(data) < 84:
            raise file.refuse("is cut short in its header", do=AGAIN)
        raise file.refuse(
            f"promises {count:,} triangles, which is {84 + 50 * count:,} bytes, and is {len(data):,} bytes long",
            do=AGAIN,
        )
    words = [len(re.findall(pattern, data, re.IGNORECASE)) for pattern in (rb"\bfacet\s+normal\b", rb"\bendfacet\b")]
    corners = len(re.findall(rb"\bvertex\b", data, re.IGNORECASE))
    if words[0] != words[1] or corners != 3 * words[0] or not re.search(rb"\bendsolid\b", data[-4096:], re.IGNORECASE):
        raise file.refuse(f"is cut short: {words[0]:,} triangles begin in it and {words[1]:,} end", do=AGAIN)
    return data


def _off(file: MeshFile) -> bytes:
    """An OFF file's first numbers count its points and faces, each on a line of its own."""
    text = re.sub(rb"#[^\n]*", b"", file.data).split(b"OFF", 1)[-1]
    lines = [line for line in text.splitlines() if line.strip()]
    try:
        points, faces = (int(word) for word in lines[0].split()[:2])
    except (IndexError, ValueError) as odd:
        raise file.refuse("is cut short or damaged: it does not count its points and faces", do=AGAIN) from odd
    if points < 0 or faces < 0 or points + faces > len(lines) - 1:
        raise file.refuse(
            f"is cut short: it promises {points:,} points and {faces:,} faces and has {len(lines) - 1:,} lines",
            do=AGAIN,
        )
    if (
        faces
        and (words := lines[points + faces].split())
        and len(words) < 1 + int(words[0] if words[0].isdigit() else 0)
    ):
        raise file.refuse("is cut short in its last face", do=AGAIN)
    return file.data


def _glb(file: MeshFile) -> bytes:
    """A GLB file names its own length and that of its JSON part."""
    data = file.data
    if len(data) < 20:
        raise file.refuse("is cut short in its header", do=AGAIN)
    total, part = struct.unpack_from("<II", data, 8)
    if total != len(data) or 20 + part > len(data):
        raise file.refuse(f"promises {total:,} bytes and is {len(data):,} bytes long", do=AGAIN)
    _contents(file, data[20 : 20 + part])
    return data


def _gltf(file: MeshFile) -> bytes:
    """A glTF file is JSON that names its buffers, which must lie in its own folder."""
    _contents(file, file.data)
    folder = file.path.parent.resolve()
    for name in buffers_beside(file.data):
        beside = (folder / name).resolve()
        together = "put all files of the mesh in one folder"
        if not beside.is_relative_to(folder):
            raise file.refuse(f"refers to “{name}”, outside its own folder", do=together)
        if not beside.is_file():
            raise file.refuse(f"refers to “{name}”, which is not there", do=together)
    return file.data


def buffers_beside(data: bytes) -> tuple[str, ...]:
    """The names of the files that a glTF text keeps its numbers in; empty where it cannot be read."""
    try:
        names = [str(one["uri"]) for one in json.loads(data).get("buffers", []) if "uri" in one]
    except (ValueError, TypeError, AttributeError, RecursionError):
        return ()
    return tuple(sorted({unquote(name) for name in names if not name.startswith("data:")}))


def _contents(file: MeshFile, text: bytes) -> None:
    """Check the JSON part of a glTF mesh: nothing packed in a way that is not read, and no more than it can hold."""
    try:
        tree: Any = json.loads(text)
        packed = [name for name in tree.get("extensionsRequired", []) if "compression" in name]
        counts = [int(one.get("count", 0)) for one in tree.get("accessors", [])]
        room = len(file.data) + sum(int(one.get("byteLength", 0)) for one in tree.get("buffers", []) if "uri" in one)
    except (ValueError, TypeError, AttributeError, RecursionError, OverflowError) as odd:
        raise file.refuse("has a description of its contents that cannot be read", do=AGAIN) from odd
    if packed:
        raise file.refuse(f"is compressed ({', '.join(map(str, packed))})", do="export it without compression")
    if counts and (max(counts) > room or min(counts) < 0 or room > MOST_BYTES):
        raise file.refuse(f"promises {max(counts):,} numbers, more than it can hold", do=AGAIN)


def _archive(file: MeshFile) -> bytes:
    """A 3MF file is a zip archive, which must not unpack to more than a mesh file may be."""
    try:
        with zipfile.ZipFile(io.BytesIO(file.data)) as archive:
            unpacked = sum(entry.file_size for entry in archive.infolist())
            damaged = None if unpacked > MOST_BYTES else archive.testzip()
    except (zipfile.BadZipFile, zlib.error, EOFError, ValueError, KeyError, struct.error, OSError) as odd:
        raise file.refuse("is a damaged archive", do=AGAIN) from odd
    except (RuntimeError, NotImplementedError) as odd:
        raise file.refuse("is locked or packed in a way that is not read", do="export it again") from odd
    if unpacked > MOST_BYTES:
        raise file.refuse(f"unpacks to {unpacked:,} bytes", "2 GB can be read", "reduce the mesh before exporting it")
    if damaged is not None:
        raise file.refuse(f"is a damaged archive: “{damaged}” in it cannot be unpacked", do=AGAIN)
    return file.data


_CHECKS: dict[str, Callable[[MeshFile], bytes]] = {
    "STL": _stl,
    "OFF": _off,
    "GLB": _glb,
    "glTF": _gltf,
    "3MF": _archive,
}
