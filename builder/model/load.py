"""From a mesh file to bare triangles in the file's own axes and unit."""

from __future__ import annotations

import io
import struct
import warnings
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import trimesh
from numpy.typing import NDArray

from builder.arrays import Bools
from builder.errors import Notice
from builder.model.counts import counted
from builder.model.obj import read_obj
from builder.model.ply import read_ply
from builder.model.promises import buffers_beside, checked
from builder.model.source import AGAIN, MeshFile, open_mesh
from builder.model.triangles import Indices, Triangles

_FOREIGN = (
    ValueError,
    IndexError,
    KeyError,
    TypeError,
    AttributeError,
    NameError,
    AssertionError,
    ArithmeticError,
    NotImplementedError,
    RecursionError,
    MemoryError,
    StopIteration,
    EOFError,
    OSError,
    struct.error,
    zlib.error,
    zipfile.BadZipFile,
    SyntaxError,
)
"""What trimesh and the readers under it have been seen to raise on damaged files."""


FARTHEST = 1e30
"""Numbers beyond this are errors like those that are none: their cubes and squares would overflow."""


@dataclass(frozen=True, slots=True, eq=False)
class Read:
    """What a mesh file held: triangles in the file's axes and unit, and what the tutor should know of it."""

    where: str
    triangles: Triangles
    unit: str | None
    """The unit that the file itself names, where it does (3MF)."""
    notices: tuple[Notice, ...]


def read_mesh(path: Path, where: str) -> Read:
    """Read a mesh file of any kind that :data:`builder.model.source.KINDS` lists.

    ``where`` names the file in messages. Points that are not numbers go, with their faces, and so do points that no
    face uses. Several parts of one file are put together where the file places them; colours and textures are left.
    Raises :class:`ModelError` when the file is no mesh, is damaged, or holds no faces.
    """
    file = open_mesh(path, where)
    unit: str | None = None
    if file.kind == "PLY":
        vertices, faces = read_ply(file)
    elif file.kind == "OBJ":
        vertices, faces = read_obj(file)
    else:
        vertices, faces, unit = _by_trimesh(file)
    if len(faces) == 0:
        found = f"holds {len(vertices):,} points and no faces" if len(vertices) else "holds no faces"
        raise file.refuse(found, "a drawing needs a surface", "make a surface of the points and export that")
    if faces.min() < 0 or faces.max() >= len(vertices):
        wrong = int(faces.min() if faces.min() < 0 else faces.max())
        raise file.refuse(
            f"has a face that refers to point number {wrong:,}, and only 0 to {len(vertices) - 1:,} are there", do=AGAIN
        )
    notices = []
    finite: Bools = np.asarray((np.abs(vertices) <= FARTHEST).all(axis=1))
    keep: Bools = np.asarray(finite[faces].all(axis=1))
    if not finite.all():
        lost = int((~keep).sum())
        bad = counted(int((~finite).sum()), "point")
        notices.append(Notice(where, f"{bad} without a finite place left out, with {counted(lost, 'face')}"))
    used = np.zeros(len(vertices), np.bool_)
    used[faces.ravel()] = True
    unused = int((~used).sum())
    if unused:
        notices.append(Notice(where, f"{counted(unused, 'point')} of no face left out"))
    if not keep.any():
        raise file.refuse("has no face whose points are all numbers", do=AGAIN)
    safe = np.where(finite[:, None], vertices, 0.0)
    return Read(where, Triangles(safe, faces).chosen(keep), unit, tuple(notices))


def _by_trimesh(file: MeshFile) -> tuple[NDArray[np.float64], Indices, str | None]:
    """Points, faces and unit of a file that trimesh reads; its parts put where the file's scene places them."""
    data = checked(file)
    resolver = trimesh.resolvers.FilePathResolver(str(file.path.parent)) if file.kind == "glTF" else None
    try:
        with warnings.catch_warnings(), np.errstate(all="ignore"):
            warnings.simplefilter("ignore")
            scene = trimesh.load_scene(
                io.BytesIO(data), file_type=file.kind.lower(), resolver=resolver, process=False, skip_materials=True
            )
            points, faces = _parts(scene)
            unit = scene.metadata.get("units") if file.kind == "3MF" else None
    except (IndexError, KeyError) as missing:
        raise file.refuse("is damaged: it refers to points or parts that it does not hold", do=AGAIN) from missing
    except _FOREIGN as foreign:
        raise file.refuse(f"cannot be read as {file.kind}: it is damaged or cut short", do=AGAIN) from foreign
    return points, faces, str(unit) if unit else None


def _parts(scene: Any) -> tuple[NDArray[np.float64], Indices]:
    """Every mesh of a trimesh scene as one set of points (n, 3) and faces (m, 3), each placed by its transform."""
    points = [np.zeros((0, 3))]
    faces = [np.zeros((0, 3), np.int64)]
    offset = 0
    for node in sorted(scene.graph.nodes_geometry, key=str):
        placed, name = scene.graph[node]
        part = scene.geometry[name]
        own = np.asarray(part.vertices, np.float64)
        if own.ndim != 2 or own.shape[1] != 3:
            continue
        points.append(own @ placed[:3, :3].T + placed[:3, 3])
        corners = np.asarray(getattr(part, "faces", np.zeros((0, 3))), np.int64).reshape(-1, 3)
        if len(corners) and (corners.min() < 0 or corners.max() >= len(own)):
            raise IndexError
        mirrored = np.linalg.det(placed[:3, :3]) < 0
        faces.append((corners[:, ::-1] if mirrored else corners) + offset)
        offset += len(own)
    return np.concatenate(points), np.concatenate(faces)


def mesh_files(path: Path) -> tuple[Path, ...]:
    """Every file that the mesh at ``path`` is made of, itself first: a .gltf file keeps its numbers beside it.

    Only names; nothing is checked, so that a missing file is reported by :func:`read_mesh`.
    """
    if path.suffix.lower() != ".gltf" or not path.is_file():
        return (path,)
    folder = path.parent.resolve()
    beside = [path.parent / name for name in buffers_beside(path.read_bytes())]
    return (path, *(one for one in beside if one.is_file() and one.resolve().is_relative_to(folder)))
