"""The bytes of a mesh file, and which kind of file they really are."""

from __future__ import annotations

import io
import re
import struct
import zipfile
from dataclasses import dataclass
from pathlib import Path

from builder.errors import ModelError, Problem

KINDS = {
    ".ply": "PLY",
    ".obj": "OBJ",
    ".stl": "STL",
    ".off": "OFF",
    ".glb": "GLB",
    ".gltf": "glTF",
    ".3mf": "3MF",
}
"""File suffixes that can be read, and the kind of mesh each stands for."""

AGAIN = "export or copy the file again"

MOST_BYTES = 2 * 1024**3
"""Larger files are refused: a mesh of 2 GB holds some 40 million faces, a hundred times what a plate can show."""

_STRANGERS = (
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"II*\x00", "a TIFF picture"),
    (b"MM\x00*", "a TIFF picture"),
    (b"RIFF", "a picture or sound"),
    (b"%PDF", "a PDF document"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"7z\xbc\xaf", "a 7z archive"),
    (b"Rar!", "a RAR archive"),
)


@dataclass(frozen=True, slots=True)
class MeshFile:
    """A mesh file's content: ``where`` names it in messages, ``kind`` is a value of :data:`KINDS`."""

    path: Path
    where: str
    kind: str
    data: bytes

    def refuse(self, found: str, allowed: str = "", do: str = "") -> ModelError:
        """The error that says what is wrong with this file."""
        return ModelError(Problem(self.where, found, allowed, do))


def open_mesh(path: Path, where: str) -> MeshFile:
    """Read a mesh file whole and make sure that its content is what its name says.

    Raises :class:`ModelError` when the file is missing, cannot be read, has an unknown suffix, is empty, or holds
    something else than its suffix promises.
    """

    def refuse(found: str, allowed: str = "", do: str = "") -> ModelError:
        return ModelError(Problem(where, found, allowed, do))

    suffixes = f"the mesh may be {', '.join(KINDS)}"
    kind = KINDS.get(path.suffix.lower())
    if path.is_dir():
        raise refuse("is a folder", suffixes, "name the mesh file in it")
    if kind is None:
        named = f"has the suffix {path.suffix}, which is not read" if path.suffix else "has no suffix"
        raise refuse(named, suffixes, "export the mesh as PLY or OBJ")
    try:
        if path.stat().st_size > MOST_BYTES:
            raise refuse("is larger than 2 GB", do="reduce the mesh before exporting it")
        data = path.read_bytes()
    except FileNotFoundError as missing:
        raise refuse("there is no such file", do="check the mesh path in study.yml") from missing
    except OSError as closed:
        raise refuse(f"cannot be opened ({closed.strerror})", do="check the file's permissions") from closed
    if not data.strip():
        raise refuse("is empty", do="export the mesh again")
    seen = content(data)
    if seen is None:
        raise refuse(f"does not hold {_a(kind)} mesh", do="export the mesh again")
    if seen in KINDS.values() and seen != kind:
        suffix = next(suffix for suffix, name in KINDS.items() if name == seen)
        raise refuse(f"holds {_a(seen)} mesh but is named {path.suffix}", do=f"rename it to {path.stem}{suffix}")
    if seen not in KINDS.values():
        raise refuse(f"holds {seen}, not {_a(kind)} mesh", do="name the mesh file itself")
    return MeshFile(path, where, kind, data)


def _a(kind: str) -> str:
    """A kind of mesh with its article, as it is spoken: an OBJ, a PLY."""
    return f"an {kind}" if kind[0] in "OS" else f"a {kind}"


def content(data: bytes) -> str | None:
    """What the bytes are: a value of :data:`KINDS`, a description of something else, or ``None`` where unknown."""
    head = data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n")
    lower = head.lower()
    if re.match(rb"ply\s", head):
        return "PLY"
    if data[:4] == b"glTF":
        return "GLB"
    if data[:2] == b"PK":
        return _archive(data)
    stranger = next((name for start, name in _STRANGERS if data.startswith(start)), None)
    if len(data) >= 84 and len(data) == 84 + 50 * struct.unpack_from("<I", data, 80)[0]:
        return "STL"
    if stranger is not None:
        return stranger
    if lower.startswith((b"<!doctype html", b"<html", b"<head")):
        return "a web page"
    if head.startswith(b"<"):
        return "an XML document"
    if head.startswith(b"{"):
        return "glTF" if b'"asset"' in data else "a JSON document"
    if re.search(rb"^\s*(?:ST)?C?N?4?n?OFF\b", re.sub(rb"#[^\n]*", b"", head)):
        return "OFF"
    if lower.startswith(b"solid") and re.search(rb"\bfacet\b", data[:8192], re.IGNORECASE):
        return "STL"
    if re.search(rb"^[ \t]*v[ \t]+[-+.0-9na]", data, re.MULTILINE):
        return "OBJ"
    if len(data) >= 84 and b"\x00" in data:
        return "STL"  # not a whole one; only its length can tell, and the reader says so
    if not re.search(rb"[\x00-\x08\x0e-\x1f]", data[:4096]):
        return "plain text"
    return None


def _archive(data: bytes) -> str:
    """What kind of zip archive the bytes are."""
    try:
        names = zipfile.ZipFile(io.BytesIO(data)).namelist()
    except (zipfile.BadZipFile, ValueError, struct.error, NotImplementedError, OSError):
        return "a damaged zip archive"
    return "3MF" if any("3d/3dmodel.model" in name.lower() for name in names) else "a zip archive"
