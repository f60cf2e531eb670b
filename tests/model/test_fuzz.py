"""Whatever happens to a mesh file on its way, the answer is a sound model or one sentence."""

from __future__ import annotations

import functools
from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from builder.errors import ModelError
from builder.model.axes import standing
from builder.model.clean import found, mended
from builder.model.load import read_mesh

KINDS = ("ply", "ply_text", "stl", "stl_ascii", "obj", "off", "glb", "3mf")


@functools.cache
def whole(kind: str) -> bytes:
    ball = trimesh.creation.icosphere(subdivisions=2, radius=40.0)
    data = ball.export(file_type="ply", encoding="ascii") if kind == "ply_text" else ball.export(file_type=kind)
    return data.encode() if isinstance(data, str) else data


@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(damage=st.data())
def test_a_damaged_file_gives_a_sound_surface_or_a_sentence(tmp_path: Path, kind: str, damage: st.DataObject) -> None:
    # cut off anywhere, bytes overwritten, or a piece left out of the middle
    data = bytearray(whole(kind))
    way = damage.draw(st.sampled_from(["cut", "overwrite", "leave out", "header"]))
    if way == "cut":
        del data[damage.draw(st.integers(0, len(data) - 1)) :]
    elif way == "leave out":
        start = damage.draw(st.integers(0, len(data) - 1))
        del data[start : start + damage.draw(st.integers(1, 200))]
    else:
        last = len(data) - 1 if way == "overwrite" else min(300, len(data) - 1)
        for place, value in damage.draw(
            st.lists(st.tuples(st.integers(0, last), st.integers(0, 255)), min_size=1, max_size=8)
        ):
            data[place] = value
    path = tmp_path / f"ball.{kind.split('_')[0]}"
    path.write_bytes(bytes(data))
    try:
        raw, _ = found(read_mesh(path, "ball").triangles, "ball", None)
        clean = mended(standing(raw, None), "ball")
    except ModelError as refused:
        assert str(refused).startswith("ball: ")
        assert len(refused.problems) == 1
    else:
        surface = clean.triangles
        assert np.isfinite(surface.vertices).all()
        assert 0 <= surface.faces.min() <= surface.faces.max() < len(surface.vertices)
        assert surface.vertices[:, 2].min() == 0.0
        assert surface.volumes().sum() > 0.0
