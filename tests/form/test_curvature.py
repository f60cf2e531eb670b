"""Curvature and neighbours on surfaces where both are known."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from builder.form.curvature import curvature_of
from builder.form.neighbours import OPEN, neighbours_of
from builder.model.model import Part
from tests.scenes import Piece, ball, box, scene_model, smooth


def matrices(bends: np.ndarray) -> np.ndarray:
    xx, yy, zz, xy, yz, zx = bends.T
    return np.stack([np.stack([xx, xy, zx], 1), np.stack([xy, yy, yz], 1), np.stack([zx, yz, zz], 1)], 1)


@pytest.mark.parametrize("radius", [20.0, 300.0])
def test_a_ball_bends_alike_every_way(radius: float) -> None:
    """Principal curvatures 1/R, 1/R, and 0 along the normal, to 2 %."""
    model = scene_model(ball(radius, 5))
    values = np.linalg.eigvalsh(matrices(curvature_of(model).bends)) * radius
    np.testing.assert_allclose(np.median(values, axis=0), [0.0, 1.0, 1.0], atol=0.02)
    assert np.abs(values[:, 1:] - 1).max() < 0.05


def test_a_torus_bends_as_its_formula_says() -> None:
    """1/r round the tube; cos b / (R + r cos b) the other way: less than nothing on the inner side."""
    mesh = trimesh.creation.torus(100.0, 40.0, major_sections=256, minor_sections=128)
    model = scene_model(smooth(Part.MODEL, np.array(mesh.vertices), np.array(mesh.faces)))
    vertices = model.scene.vertices
    out = np.hypot(vertices[:, 0], vertices[:, 1]) - 100.0
    values = np.sort(np.linalg.eigvalsh(matrices(curvature_of(model).bends)), axis=1)
    other = out / 40 / (100 + out)
    expected = np.sort(np.stack([np.zeros_like(out), np.full_like(out, 1 / 40), other], axis=1), axis=1)
    assert np.abs(values - expected).max() < 0.05 / 40


def test_a_cubes_creases_are_its_edges_and_it_is_flat() -> None:
    """Twelve edges of four pieces each, seen from two sides; all sides have neighbours; nothing bends."""
    model = scene_model(box(100, 100, 100, Part.MODEL, cells=4))
    beside = neighbours_of(model)
    assert beside.crease.sum() == 12 * 4 * 2 and (beside.across != OPEN).all()
    back = beside.across[beside.across]
    assert (back == np.arange(len(beside.across))[:, None, None]).any(axis=2).all()
    assert len(np.unique(beside.point)) == 6 * 16 + 2
    assert np.abs(curvature_of(model).bends).max() < 1e-9


def test_a_sheet_is_open_all_round_and_the_room_is_left_out() -> None:
    """A box without its top has four open sides; a plinth that touches it is not joined to it."""
    part = box(100, 100, 100, Part.MODEL)
    top = np.isclose(part.vertices[part.faces][:, :, 2].min(axis=1), 100)
    lidless = Piece(Part.MODEL, part.vertices, part.faces[~top], part.normals)
    beside = neighbours_of(scene_model(lidless, box(100, 100, 20).moved(0, 0, -20)))
    assert (beside.across[: (~top).sum()] == OPEN).sum() == 4
    assert (beside.across[(~top).sum() :] >= (~top).sum()).all()
