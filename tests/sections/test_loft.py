"""Contours joined into a surface, against the contours and closed forms."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as some
from shapely import box as rectangle
from shapely import difference, intersection, union

from builder.arrays import Floats
from builder.sections.lattice import step_of
from builder.sections.loft import lofted
from builder.sections.sections import Sections
from builder.sections.sliced import body_of, level, sliced
from tests.sections.shapes import ANGLES, ROUND, ROUND_SHARE, TURN, box, farthest, material, mesh_of, stack

COARSE = 100
"""Steps of grid where many forms are tried; what must hold does not depend on it."""


def wave(chance: np.random.Generator, size: tuple[float, float], at: tuple[float, float]) -> Floats:
    """A wavy ring round a point."""
    wide, deep, turn = chance.uniform(*size), chance.uniform(0.0, 0.25), chance.uniform(0.0, 6.2)
    return wide * (1 + deep * np.cos(chance.integers(2, 8) * ANGLES + turn))[:, None] * ROUND + at


def tower(seed: int, kinds: list[str]) -> Sections:
    """Contours unevenly spaced: each one wavy ring, or two apart, or one with a hole."""
    chance = np.random.default_rng(seed)
    rings: list[tuple[Floats, ...]] = []
    for kind in kinds:
        if kind == "two":
            apart = chance.uniform(45.0, 80.0)
            rings.append((wave(chance, (12.0, 30.0), (-apart, 0.0)), wave(chance, (12.0, 30.0), (apart, 0.0))))
        elif kind == "one":
            rings.append((wave(chance, (20.0, 90.0), (chance.uniform(-20.0, 20.0), 0.0)),))
        else:
            rings.append((wave(chance, (60.0, 90.0), (0.0, 0.0)), wave(chance, (10.0, 30.0), (0.0, 0.0))[::-1]))
    gaps = chance.uniform(4.0, 40.0, len(kinds) - 1)
    return stack(rings, np.concatenate([[0.0], np.cumsum(gaps)]).tolist())


@settings(max_examples=25, deadline=None)
@given(
    seed=some.integers(0, 10**6),
    kinds=some.lists(some.sampled_from(["one", "two", "holed"]), min_size=2, max_size=5),
    part=some.floats(0.02, 0.98),
)
def test_a_closed_surface_through_every_contour_and_no_bulge(seed: int, kinds: list[str], part: float) -> None:
    """Closed, wound outwards, within 0.1 mm of every contour in its plane and back.

    Any section lies within a cell of what its two neighbours cover, and holds what they share and is farther than a
    cell from its edge (the proof is in field.py).
    """
    sections = tower(seed, kinds)
    body = lofted(sections, COARSE)
    mesh = mesh_of(body)
    assert np.isfinite(body.vertices).all()
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume > 0
    assert max(farthest(body, contour) for contour in sections.contours) <= 0.1
    cell = np.sqrt(2.0) * step_of(sections, COARSE)
    for one, other in pairwise(sections.contours):
        cut = level(body, one.height_mm + part * (other.height_mm - one.height_mm))
        cover, shared = union(material(one), material(other)), intersection(material(one), material(other))
        # a buffer's arcs are drawn from within, by 16 straight pieces a quarter
        assert difference(cut, cover.buffer(1.01 * cell, quad_segs=16)).is_empty
        assert difference(shared.buffer(-cell), cut).area < 1e-6


def test_a_box() -> None:
    """40 x 60 x 90, its corners kept: volume to a hundredth of a per cent."""
    body = lofted(stack([box(40, 60)] * 4, [0, 20, 50, 90]))
    assert mesh_of(body).volume == pytest.approx(40 * 60 * 90, rel=1e-4)
    assert np.ptp(body.vertices, axis=0) == pytest.approx([40, 60, 90], abs=1e-4)
    assert all(farthest(body, contour) <= 1e-4 for contour in stack([box(40, 60)] * 4, [0, 20, 50, 90]).contours)


def test_a_frustum() -> None:
    """Radii 20 and 10, 30 high: 7 pi 10^3 (CHECKS.md section 5), less what 120 corners leave out. Distances from
    circles about one axis differ by the difference of radii, so straight walls stay straight.
    """
    mesh = mesh_of(lofted(stack([20 * ROUND, 15 * ROUND, 10 * ROUND], [0, 15, 30])))
    assert mesh.volume == pytest.approx(7000 * np.pi * ROUND_SHARE, rel=5e-4)


def test_a_cone_with_its_tip_from_the_profile() -> None:
    """Radius 40, height 80, contours up to 60, the tip drawn in by the profile: V = pi 40^2 80 / 3 (textbook)."""
    profile = np.array([[-40.0, 0.0], [40.0, 0.0], [0.0, 80.0]])
    rings = [40 * (1 - height / 80) * ROUND for height in (0, 20, 40, 60)]
    body = lofted(stack(rings, [0, 20, 40, 60], profile))
    assert mesh_of(body).volume == pytest.approx(np.pi * 1600 * 80 / 3 * ROUND_SHARE, rel=2e-3)
    assert body.vertices[:, 2].max() == pytest.approx(80, abs=0.2)


@pytest.mark.parametrize(("count", "most"), [(7, 0.9), (13, 0.25)])
def test_a_ball_from_contours_and_profile(count: int, most: float) -> None:
    """Of 100 mm radius, the profile over and under its contours: within 0.25 mm in the profile's plane, elsewhere no
    worse than straight walls, .89 and .22 mm (sagitta h^2 / 8R, CHECKS.md section 5), where they slope less than 1 : 1.
    """
    radius = 100.0
    heights = np.linspace(-80, 80, count)
    profile = radius * np.stack([np.cos(TURN), np.sin(TURN)], axis=1)
    body = lofted(stack([np.sqrt(radius**2 - z**2) * ROUND for z in heights], heights.tolist(), profile), 200)
    assert mesh_of(body).is_watertight
    off = np.abs(np.linalg.norm(body.vertices, axis=1) - radius)
    assert off[np.abs(body.vertices[:, 0]) < 1.0].max() <= 0.25
    assert off[np.abs(body.vertices[:, 2]) < 0.7 * radius].max() <= most
    assert off.max() <= 1.5
    assert mesh_of(body).volume == pytest.approx(4 / 3 * np.pi * radius**3, rel=0.01)


def test_a_lying_torus_keeps_its_hole() -> None:
    """R 50, r 20 mm: V = 2 pi^2 R r^2 (Pappus, CHECKS.md section 5); Euler's number 0 all the way through."""
    mesh = trimesh.creation.torus(50.0, 20.0, major_sections=128, minor_sections=64)
    heights = 19.9 * np.sin(np.linspace(-np.pi / 2, np.pi / 2, 11))
    sections = sliced(mesh.vertices, mesh.faces, heights.tolist(), 0.0)
    joined = mesh_of(lofted(Sections(sections.contours), COARSE))
    assert joined.is_watertight
    assert joined.euler_number == 0
    assert joined.volume == pytest.approx(2 * np.pi**2 * 50 * 400, rel=0.01)


def test_a_standing_torus_parts_and_merges() -> None:
    """The same on its edge: one ring, two, and one again; Euler's number 0."""
    mesh = trimesh.creation.torus(50.0, 20.0, major_sections=128, minor_sections=64)
    points = np.asarray(mesh.vertices)[:, [0, 2, 1]] * (1, -1, 1)
    heights = [*np.linspace(-69, -31, 8), *np.linspace(-28, 28, 7), *np.linspace(31, 69, 8)]
    sections = sliced(points, mesh.faces, heights, 0.0)
    assert {len(contour.rings) for contour in sections.contours} == {1, 2}
    joined = mesh_of(lofted(Sections(sections.contours), COARSE))
    assert joined.is_watertight
    assert joined.euler_number == 0
    assert joined.body_count == 1
    assert joined.volume == pytest.approx(2 * np.pi**2 * 50 * 400, rel=0.02)


def test_two_towers_merge() -> None:
    """Two of 20 x 20 up to 30 mm, on which 80 x 20 lies: 2 x 400 x 30 + 1600 x 30, and between them some of the gap."""
    towers = (box(20, 20, -30), box(20, 20, 30))
    body = lofted(stack([towers, towers, box(80, 20), box(80, 20)], [0, 30, 40, 70]))
    mesh = mesh_of(body)
    assert mesh.is_watertight
    assert mesh.body_count == 1
    assert len(level(body, 15.0).geoms) == 2
    assert len(level(body, 55.0).geoms) == 1
    assert 24000 + 48000 + 8000 <= mesh.volume <= 24000 + 48000 + 16000


def test_a_spike_narrower_than_the_grid_reaches_its_end() -> None:
    """A ring with a thin point: the contour's own corner is put into the surface (0.1 mm)."""
    ring = np.array([[-150.0, -20.0], [0.0, -20.0], [150.0, 0.0], [0.0, 20.0], [-150.0, 20.0]])
    sections = stack([ring, ring, ring], [0, 30, 60])
    assert max(farthest(lofted(sections), contour) for contour in sections.contours) <= 0.1


def volumes(mesh: trimesh.Trimesh, count: int) -> tuple[float, float, float]:
    """From contours alone: mid-section slabs, trapezoids, the prismoidal rule (a slab's ends and middle, 1 4 1)."""
    body = body_of(mesh.vertices, mesh.faces)
    low, high = body.vertices[:, 2].min(), body.vertices[:, 2].max()
    heights = np.linspace(low, high, 2 * count + 1)
    inside = heights.clip(low + 1e-9 * (high - low), high - 1e-9 * (high - low))
    areas = np.array([level(body, float(height)).area for height in inside])
    thick = (high - low) / count
    ends, middles = areas[::2], areas[1::2]
    mid, trapezoid = thick * middles.sum(), thick * (ends[:-1] + ends[1:]).sum() / 2
    return mid, trapezoid, (2 * mid + trapezoid) / 3


def test_volume_from_contours_of_a_cone() -> None:
    """Against the mesh: mid -25 / N^2 %, trapezoid +50 / N^2 %, prismoidal exact (CHECKS.md section 5, N = 8)."""
    mesh = trimesh.creation.cone(40.0, 80.0, sections=64)
    mid, trapezoid, prismoidal = volumes(mesh, 8)
    assert 100 * (mid / mesh.volume - 1) == pytest.approx(-0.3906, abs=1e-3)
    assert 100 * (trapezoid / mesh.volume - 1) == pytest.approx(0.7812, abs=1e-3)
    assert prismoidal == pytest.approx(mesh.volume, rel=1e-7)


def test_volume_from_contours_of_a_ball() -> None:
    """Mid +0.5 %, trapezoid -1 %, prismoidal exact (CHECKS.md section 5, N = 10); facets may add 0.01 %."""
    mesh = trimesh.creation.icosphere(6, 100.0)
    mid, trapezoid, prismoidal = volumes(mesh, 10)
    assert 100 * (mid / mesh.volume - 1) == pytest.approx(0.5, abs=0.01)
    assert 100 * (trapezoid / mesh.volume - 1) == pytest.approx(-1.0, abs=0.01)
    assert prismoidal == pytest.approx(mesh.volume, rel=1e-4)


def test_the_lofted_volume_is_the_contours() -> None:
    """A frustum's loft holds what the prismoidal rule finds in its contours (exact to cubic section area)."""
    sections = stack([20 * ROUND, 15 * ROUND, 10 * ROUND], [0, 15, 30])
    low, middle, high = (material(contour).area for contour in sections.contours)
    assert mesh_of(lofted(sections)).volume == pytest.approx(30 / 6 * (low + 4 * middle + high), rel=5e-4)


def test_nothing_lies_below_or_above_flat_ends() -> None:
    """Without a profile the form ends flat at the first and last contour, each end as large as its contour."""
    mesh = mesh_of(lofted(stack([box(40, 60), box(30, 50)], [5, 45])))
    assert mesh.bounds[:, 2].tolist() == [5.0, 45.0]
    for side, area in ((-1.0, 2400.0), (1.0, 1500.0)):
        flat = side * mesh.face_normals[:, 2] > 0.999999
        assert mesh.area_faces[flat & (mesh.triangles_center[:, 2] == (5.0 if side < 0 else 45.0))].sum() == (
            pytest.approx(area, rel=1e-6)
        )
    assert rectangle(-20, -30, 20, 30).buffer(1e-4).contains(level(lofted(stack([box(40, 60)] * 2, [0, 9])), 4.0))


def test_the_same_contours_give_the_same_bytes() -> None:
    """No chance in it."""
    sections = stack([40 * ROUND, 30 * ROUND, 35 * ROUND], [0, 20, 60])
    one, other = lofted(sections, COARSE), lofted(sections, COARSE)
    assert one.vertices.tobytes() == other.vertices.tobytes()
    assert one.faces.tobytes() == other.faces.tobytes()
