"""Narrow tunnels are filled before a body is divided, wide ones stay, and a level that fails is left out."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from builder.model.triangles import Triangles
from builder.planes import break_up as stage
from builder.planes.skin import Skin, sewn
from builder.planes.tunnels import without_tunnels
from builder.study.description import PlaneChoice
from tests.planes.shapes import ball, check_flat


def ring(across: float) -> Skin:
    """A torus whose tube is 40 wide and whose hole is ``across`` wide."""
    mesh = trimesh.creation.torus(20.0 + across / 2, 20.0, major_sections=64, minor_sections=32)
    return sewn(Triangles(np.array(mesh.vertices), np.array(mesh.faces)))


def test_a_narrow_tunnel_is_filled_and_a_wide_one_stays() -> None:
    # diagonals 130 and 271: the greatest reach is a twentieth, so that holes up to 13 and 27 wide are filled
    narrow, wide = ring(8.0), ring(100.0)
    assert narrow.euler == wide.euler == 0  # genus 1
    filled = without_tunnels(narrow)
    assert filled.closed and filled.euler == 2
    assert without_tunnels(wide) is wide
    # the rest lies where it lay, to a step of the grid, an eightieth of the diagonal
    for k in range(3):
        assert filled.vertices[:, k].max() == pytest.approx(narrow.vertices[:, k].max(), abs=130 / 80)
    # closed form: a torus of radii R, r holds 2 pi^2 R r^2; filled it holds more, less than its convex hull
    volume = trimesh.Trimesh(filled.vertices, filled.faces, process=False).volume
    assert 2 * np.pi**2 * 24.0 * 20.0**2 < volume < np.pi * 44.0**2 * 40.0


def test_a_level_that_fails_is_left_out_with_a_notice(monkeypatch: pytest.MonkeyPatch) -> None:
    real = stage.carved_well

    def failing(patches, block, aim):  # type: ignore[no-untyped-def]
        if aim.wanted == 14:
            raise np.linalg.LinAlgError("did not converge")
        return real(patches, block, aim)

    monkeypatch.setattr(stage, "carved_well", failing)
    levels = stage.break_up(ball((60.0, 80.0, 100.0)), PlaneChoice((8, 14, 24)))
    assert levels.numbers == (0, 2)
    assert [notice.text for notice in levels.notices] == [
        "no middle planes are drawn: the form could not be made of about 14 flat planes"
    ]
    assert set(levels.small.parent.tolist()) == set(range(levels.big.count))
    check_flat(levels.small)
