"""Whatever happens to a mesh file, the answer is a sound model or one sentence: 2,007 cases, the same on every run.

The damage is of the kinds that general fuzzers use (bytes flipped, cut, spliced, numbers put in; common practice, no
source), over every kind of file that is read.
"""

from __future__ import annotations

import base64
import functools
import json
import re
import time
from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from builder.errors import ModelError
from builder.model.load import read_mesh
from builder.model.working import working
from builder.study.description import MeshSource

KINDS = ("ply", "ply_text", "stl", "stl_ascii", "obj", "off", "glb", "gltf", "3mf")
EACH = 223
LONGEST_S = 5.0
"""No case of a mesh of 80 faces may take more processor time: a hang."""
NUMBERS = (
    b"-1",
    b"0",
    b"1e999",
    b"nan",
    b"-inf",
    b"4294967295",
    b"2147483648",
    b"99999999999999999999",
    b"3,5",
    b"0x1f",
)
RAW = (b"\xff\xff\xff\xff", b"\x00\x00\x00\x80", b"\x00\x00\xc0\x7f", b"\x00\x00\x80\x7f", b"\x00\x00\x00\x00", b"\xff")


@functools.cache
def whole(kind: str) -> bytes:
    ball = trimesh.creation.icosphere(subdivisions=1, radius=40.0)
    if kind == "gltf":
        files = trimesh.exchange.gltf.export_gltf(trimesh.Scene(ball))
        tree = json.loads(files["model.gltf"])
        for buffer in tree["buffers"]:
            packed = base64.b64encode(files[buffer["uri"]]).decode()
            buffer["uri"] = f"data:application/octet-stream;base64,{packed}"
        return json.dumps(tree).encode()
    data = ball.export(file_type="ply", encoding="ascii") if kind == "ply_text" else ball.export(file_type=kind)
    return data.encode() if isinstance(data, str) else data


def damaged(data: bytes, draw: st.DataObject) -> bytes:
    """The bytes after one to three accidents."""
    some = bytearray(data)
    for _ in range(draw.draw(st.integers(1, 3))):
        if not some:
            break
        place = st.integers(0, len(some) - 1)
        way = draw.draw(st.sampled_from(["cut", "flip", "head", "leave out", "splice", "number", "raw", "other head"]))
        at = draw.draw(place)
        if way == "cut":
            del some[at:]
        elif way == "leave out":
            del some[at : at + draw.draw(st.integers(1, 200))]
        elif way == "splice":
            start = draw.draw(place)
            some[at:at] = some[start : start + draw.draw(st.integers(1, 300))]
        elif way == "number":
            # in the place of a number that stands there, where one does
            spots = [spot.span() for spot in re.finditer(rb"-?\d[\d.e+-]*", bytes(some))][:400] or [(at, at + 1)]
            first, last = draw.draw(st.sampled_from(spots))
            some[first:last] = draw.draw(st.sampled_from(NUMBERS))
        elif way == "raw":
            value = draw.draw(st.sampled_from(RAW))
            some[at : at + len(value)] = value
        elif way == "other head":
            other = whole(draw.draw(st.sampled_from(KINDS)))
            size = draw.draw(st.integers(4, 200))
            some[:size] = other[:size]
        else:
            bound = len(some) if way == "flip" else min(300, len(some))
            for _ in range(draw.draw(st.integers(1, 6))):
                some[draw.draw(st.integers(0, bound - 1))] ^= 1 << draw.draw(st.integers(0, 7))
    return bytes(some)


def source_of(path: Path) -> MeshSource:
    """As it is read with every step of cleaning on."""
    return MeshSource(path, "mm", "+z", "-y", None, cut_below_mm=5.0, smooth="light")


@pytest.fixture(scope="module", autouse=True)
def compiled(tmp_path_factory: pytest.TempPathFactory) -> None:
    """What is compiled at its first call, before the clock runs."""
    path = tmp_path_factory.mktemp("whole") / "ball.ply"
    path.write_bytes(whole("ply"))
    working(read_mesh(path, "ball").triangles, source_of(path), "ball")


@pytest.mark.parametrize("kind", KINDS)
@settings(
    max_examples=EACH,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.generate, Phase.shrink],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(draw=st.data())
def test_a_damaged_file_gives_a_sound_surface_or_a_sentence(tmp_path: Path, kind: str, draw: st.DataObject) -> None:
    # as far as the working model, with every step on
    path = tmp_path / f"ball.{kind.split('_')[0]}"
    path.write_bytes(damaged(whole(kind), draw))
    source = source_of(path)
    start = time.process_time()
    try:
        made = working(read_mesh(path, "ball").triangles, source, "ball")
    except ModelError as refused:
        assert str(refused).startswith("ball: ")
        assert len(refused.problems) == 1
        assert "\n" not in str(refused) and len(str(refused)) < 400
    else:
        surface = made.clean.triangles
        assert np.isfinite(surface.vertices).all()
        assert 0 <= surface.faces.min() <= surface.faces.max() < len(surface.vertices)
        assert surface.vertices[:, 2].min() == 0.0
        assert surface.volumes().sum() > 0.0
    assert time.process_time() - start < LONGEST_S
