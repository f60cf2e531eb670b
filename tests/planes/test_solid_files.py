"""Planes as files: read back byte by byte, by what the formats say of themselves."""

from __future__ import annotations

import json
import struct

import numpy as np
import pytest

from builder.planes.break_up import break_up
from builder.planes.planes import Planes
from builder.planes.solid_files import glb_bytes, stl_bytes
from builder.study.description import PlaneChoice
from tests.planes.shapes import CUBE, solid

UNIT = 1.0 / np.sqrt(30.0**2 + 20.0**2 + 50.0**2)


@pytest.fixture(scope="module")
def block() -> Planes:
    """A block of 3 : 2 : 5, its corners 1 mm from its middle."""
    choice = PlaneChoice((6, 6, 6), mirrored=False)
    return break_up(solid(CUBE * (30.0, 20.0, 50.0), radius=1.0)[0], choice).small


def test_stl_is_binary_in_millimetres(block: Planes) -> None:
    # 80 bytes of header, a count, then 50 bytes a triangle: a normal, three corners, two bytes (fbi, 3D Systems 1989,
    # from memory)
    data = stl_bytes(block)
    assert data == stl_bytes(block)
    count = struct.unpack_from("<I", data, 80)[0]
    assert count == 12 and len(data) == 84 + 50 * count
    rows = np.frombuffer(data, np.dtype([("at", "<f4", (4, 3)), ("end", "<u2")]), count, 84)["at"].astype(float)
    a, b, c = rows[:, 1], rows[:, 2], rows[:, 3]
    volume = float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)
    assert volume == pytest.approx(8 * 30.0 * 20.0 * 50.0 * UNIT**3, rel=1e-5)
    turned = np.cross(b - a, c - a)
    assert np.allclose(rows[:, 0], turned / np.linalg.norm(turned, axis=1)[:, None], atol=1e-5)


def test_glb_is_in_metres_with_y_up_and_flat(block: Planes) -> None:
    # glTF 2.0, 4.4: magic, version, length; then chunks of length, type, data, JSON first
    data = glb_bytes(block)
    assert data == glb_bytes(block)
    assert struct.unpack_from("<4sII", data) == (b"glTF", 2, len(data))
    long, kind = struct.unpack_from("<I4s", data, 12)
    assert kind == b"JSON"
    said = json.loads(data[20 : 20 + long])
    (primitive,) = said["meshes"][0]["primitives"]
    at, normal = (said["accessors"][primitive["attributes"][name]] for name in ("POSITION", "NORMAL"))
    assert at["count"] == normal["count"] == 36  # no corner is shared, so that each plane keeps its own normal
    # 30 wide, 20 deep, 50 high in our frame: y is up and the front looks along z (glTF 2.0, 3.4)
    assert np.allclose(at["max"], np.array((30.0, 50.0, 20.0)) * UNIT / 1000, rtol=1e-5)
    assert np.allclose(at["min"], -np.array((30.0, 50.0, 20.0)) * UNIT / 1000, rtol=1e-5)
