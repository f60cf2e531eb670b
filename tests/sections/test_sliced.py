"""Cutting surfaces into contours, against areas known in closed form."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as some
from shapely.geometry import LinearRing

from builder.sections.sliced import body_of, level, sliced, upright


def torus() -> trimesh.Trimesh:
    return trimesh.creation.torus(1.0, 0.4, major_sections=256, minor_sections=128)


@pytest.mark.parametrize(("height", "area"), [(0.0, 5.026548), (0.1, 4.866934), (0.3, 3.324749)])
def test_torus_keeps_its_hole(height: float, area: float) -> None:
    """Level sections of a torus: 4 pi R sqrt(r2 - z2) (CHECKS.md section 5, Pappus; sections within 0.07 %)."""
    mesh = torus()
    material = level(body_of(mesh.vertices, mesh.faces), height)
    assert len(material.geoms) == 1
    assert len(material.geoms[0].interiors) == 1
    assert material.area == pytest.approx(area, rel=7e-4)


def test_upright_section_of_a_torus_is_two_discs() -> None:
    """Area 2 pi r2."""
    mesh = torus()
    material = upright(body_of(mesh.vertices, mesh.faces), 0.0)
    assert len(material.geoms) == 2
    assert material.area == pytest.approx(2 * np.pi * 0.16, rel=1e-3)
    assert sorted(round(part.centroid.x, 3) for part in material.geoms) == [-1.0, 1.0]


def test_rings_turn_left_round_material() -> None:
    """As the noun says: counter-clockwise outside, clockwise round the hole."""
    mesh = torus()
    rings = sliced(mesh.vertices, mesh.faces, [0.05], 0.0).contours[0].rings
    assert [LinearRing(ring).is_ccw for ring in rings] == [True, False]


def test_bodies_that_overlap_count_once() -> None:
    """Two boxes one in another: the level section is their union, 2 x 1 + 1 x 1."""
    one = trimesh.creation.box([2, 1, 1])
    other = trimesh.creation.box([1, 2, 1])
    mesh = trimesh.util.concatenate([one, other])
    assert level(body_of(mesh.vertices, mesh.faces), 0.2).area == pytest.approx(3.0)


def test_box_inside_a_hollow_box() -> None:
    """A solid in the hollow of another is material again."""
    outer, hollow, core = (trimesh.creation.box([side] * 3) for side in (6.0, 4.0, 2.0))
    hollow.invert()
    mesh = trimesh.util.concatenate([outer, hollow, core])
    assert level(body_of(mesh.vertices, mesh.faces), 0.3).area == pytest.approx(36 - 16 + 4)


def test_split_vertices_and_a_vertex_on_the_plane_do_not_open_a_ring() -> None:
    """Each triangle with corners of its own, cut through corners: still one closed square."""
    mesh = trimesh.creation.box([2, 2, 2]).subdivide()
    corners = mesh.vertices[mesh.faces].reshape(-1, 3)
    material = level(body_of(corners, np.arange(len(corners)).reshape(-1, 3)), 0.0)
    assert [part.area for part in material.geoms] == [pytest.approx(4.0)]


def test_heights_beyond_the_form_are_empty() -> None:
    """Above and below there is nothing, and no profile beside it."""
    mesh = trimesh.creation.box([2, 2, 2])
    sections = sliced(mesh.vertices, mesh.faces, [-5.0, 5.0], 9.0)
    assert [contour.rings for contour in sections.contours] == [(), ()]
    assert sections.profile is None


@settings(max_examples=40, deadline=None)
@given(height=some.floats(-0.95, 0.95), x=some.floats(-0.95, 0.95))
def test_any_section_of_a_ball_is_a_disc(height: float, x: float) -> None:
    """Area pi (R2 - h2), less what flat triangles leave out (CHECKS.md section 5: at most 0.22 % of volume)."""
    mesh = trimesh.creation.icosphere(4)
    body = body_of(mesh.vertices, mesh.faces)
    for material, place in ((level(body, height), height), (upright(body, x), x)):
        assert len(material.geoms) == 1
        assert material.area == pytest.approx(np.pi * (1 - place**2), rel=6e-3, abs=6e-3)
