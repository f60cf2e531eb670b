"""A table or turntable that came with the scan, cut away."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
import trimesh

from builder.errors import ModelError
from builder.model.base import sawn
from builder.model.flat import filled
from builder.model.model import Model
from builder.model.reduce import farthest
from builder.model.triangles import Triangles, edges_of
from tests.model.test_damage import joined, ply, told

Built = Callable[..., Model]


@pytest.fixture(scope="module")
def on_table(bust: trimesh.Trimesh) -> trimesh.Trimesh:
    """The form grown together with a round table 40 mm thick, as one closed body: table's top at z = 0."""
    sharp = bust.copy()
    # the foot's own flat base goes, and what is left of it reaches a little into the table
    sharp.vertices[sharp.vertices[:, 2] < 1e-9] -= (0.0, 0.0, 5.0)
    table = trimesh.creation.cylinder(200.0, 40.0, sections=96).apply_translation((0.0, 0.0, -20.0))
    one, other = sawn(Triangles(sharp.vertices, sharp.faces), 0.0), Triangles(table.vertices, table.faces)
    # a wall that comes down on a lid with the same rim: both lids go, the rim and the table's top are joined anew
    foot = (one.vertices[one.faces][:, :, 2] == 0.0).all(axis=1)
    top = (other.vertices[other.faces][:, :, 2] > -1e-9).all(axis=1)
    wall, block = one.chosen(~foot), other.chosen(~top)
    points = np.concatenate([wall.vertices, block.vertices])
    open_ = Triangles(points, np.concatenate([wall.faces, block.faces + len(wall.vertices)]))
    ring = [np.flatnonzero((np.abs(points[:, 2]) < 1e-9) & (np.arange(len(points)) < len(wall.vertices)))]
    ring.append(np.flatnonzero((np.abs(points[:, 2]) < 1e-9) & (np.arange(len(points)) >= len(wall.vertices))))
    rings = [r[np.argsort(np.arctan2(points[r, 1], points[r, 0]))] for r in ring]
    lid = filled([rings[1], rings[0]], points[:, :2])
    return trimesh.Trimesh(points, np.concatenate([open_.faces, lid]), process=True)


def test_a_table_grown_together_with_the_form_is_cut_away(
    on_table: trimesh.Trimesh, bust: trimesh.Trimesh, built: Built
) -> None:
    # one closed body with a table of known thickness: what is left is the form above the table, closed, flat below
    assert on_table.is_watertight and on_table.body_count == 1
    model = built(ply(on_table.vertices, on_table.faces), cut_below_mm=40.0)
    assert told(model)[0].startswith("cut level 40 mm above its lowest point: ")
    assert model.facts.closed and model.facts.holes_left == 0
    assert model.facts.height_mm == pytest.approx(bust.extents[2], abs=1e-6)
    assert model.facts.volume_mm3 == pytest.approx(bust.volume, rel=2e-2)
    body = Triangles(model.scene.vertices[: model.body_vertices], model.scene.faces[: model.body_faces])
    middle = (bust.vertices.min(axis=0) + bust.vertices.max(axis=0)) / 2
    own = bust.vertices[bust.vertices[:, 2] > 30.0] - (middle[0], middle[1], 0.0)
    assert farthest(own, body) < 1e-6


@pytest.mark.parametrize("height", [None, 300.0, 600.0])
def test_the_cut_counts_in_true_millimetres_also_where_a_height_is_given(
    on_table: trimesh.Trimesh, built: Built, height: float | None
) -> None:
    # the height is that of what remains, so a table twice the size in truth is cut at twice the height
    top = float(on_table.vertices[:, 2].max())
    scale = 1.0 if height is None else height / top
    model = built(ply(on_table.vertices, on_table.faces), cut_below_mm=40.0 * scale, height_mm=height)
    assert model.facts.height_mm == pytest.approx(top * scale)
    left = on_table.slice_plane((0.0, 0.0, 1e-6), (0.0, 0.0, 1.0), cap=True)
    assert model.facts.volume_mm3 == pytest.approx(left.volume * scale**3, rel=1e-6)


def test_a_turntable_that_stands_apart_goes_with_the_cut(bust: trimesh.Trimesh, built: Built) -> None:
    # the file's lowest point is the turntable's, though it is no part of the form; crumbs lower still do not count
    table = trimesh.creation.cylinder(225.0, 60.0, sections=64).apply_translation((0.0, 0.0, -30.0))
    crumb = trimesh.creation.icosphere(subdivisions=1, radius=1.5).apply_translation((0.0, 0.0, -400.0))
    model = built(joined(table, bust, crumb), cut_below_mm=60.0)
    assert model.facts.volume_mm3 == pytest.approx(bust.volume, rel=1e-9)
    assert model.facts.height_mm == pytest.approx(bust.extents[2])


def test_a_turntable_that_the_form_is_sunk_into_goes_with_the_cut(bust: trimesh.Trimesh, built: Built) -> None:
    # two bodies that run through each other, 20 mm of the form below the turntable's top
    table = trimesh.creation.cylinder(225.0, 60.0, sections=64).apply_translation((0.0, 0.0, -10.0))
    model = built(joined(table, bust), cut_below_mm=60.0)
    expected = trimesh.intersections.slice_mesh_plane(bust, (0, 0, 1), (0, 0, 20.0), cap=True)
    assert model.facts.closed
    assert model.facts.height_mm == pytest.approx(bust.extents[2] - 20.0)
    assert model.facts.volume_mm3 == pytest.approx(expected.volume, rel=1e-9)


@pytest.mark.parametrize("turn", ["as it is", "inside out"])
@pytest.mark.parametrize("level", [-37.5, 0.0, 10.0, 30.0])
def test_a_tube_is_cut_to_a_tube(level: float, turn: str) -> None:
    # two rims, one in the other: the floor is a ring; volume of what is left in closed form. At -37.5 and 0 the cut
    # runs through points and along edges of the mesh
    tube = trimesh.creation.annulus(20.0, 40.0, 100.0, sections=48).subdivide().subdivide().subdivide()
    faces = tube.faces[:, ::-1] if turn == "inside out" else tube.faces
    left = sawn(Triangles(tube.vertices, faces), level)
    assert edges_of(left).closed
    assert left.vertices[:, 2].min() == level
    assert abs(left.volumes().sum()) == pytest.approx(tube.volume * (50.0 - level) / 100.0, rel=1e-9)


def test_a_cut_above_everything_is_refused(bust: trimesh.Trimesh, built: Built) -> None:
    # one sentence with both heights
    with pytest.raises(ModelError) as refused:
        built(ply(bust.vertices, bust.faces), cut_below_mm=400.0)
    assert str(refused.value) == (
        "models/egg/egg.ply: nothing of the model lies above the cut at 400 mm: it reaches "
        f"{bust.extents[2]:.4g} mm; the cut counts from "
        "the lowest point of the file, at true size; lower `cut below` in study.yml to where the model begins."
    )
