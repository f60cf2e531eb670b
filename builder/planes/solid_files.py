"""A planes model as files that a printer or a viewer takes."""

from __future__ import annotations

from typing import Any

import numpy as np
import trimesh

from builder.arrays import Floats
from builder.planes.planes import Planes


def stl_bytes(planes: Planes) -> bytes:
    """Binary STL in millimetres, z up; each triangle with the normal of its plane."""
    return bytes(_export(planes.vertices, planes, "stl"))


def glb_bytes(planes: Planes) -> bytes:
    """Binary glTF 2.0: metres, y up, front towards +z (section 3.4); corners are parted so that planes look flat."""
    x, y, z = planes.vertices.T
    return bytes(_export(np.stack([x, z, -y], axis=1) / 1000, planes, "glb"))


def _export(vertices: Floats, planes: Planes, kind: str) -> Any:
    """The file's bytes."""
    normals = planes.normals[planes.plane]
    if kind == "glb":
        normals = np.stack([normals[:, 0], normals[:, 2], -normals[:, 1]], axis=1)
    mesh = trimesh.Trimesh(
        vertices=vertices[planes.faces].reshape(-1, 3),
        faces=np.arange(3 * len(planes.faces)).reshape(-1, 3),
        face_normals=normals,
        vertex_normals=np.repeat(normals, 3, axis=0),
        process=False,
        validate=False,
    )
    if kind == "stl":
        return mesh.export(file_type="stl")
    return mesh.export(file_type="glb", include_normals=True)
