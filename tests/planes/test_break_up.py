"""Models broken into planes: whole, nested, mirrored, the same each time, whatever the model."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.arrays import digest
from builder.model.triangles import Triangles
from builder.planes.break_up import break_up
from builder.planes.planes import PlaneLevels, Planes
from builder.planes.skin import sewn, skin_of
from builder.study.description import PlaneChoice, Zone
from tests.planes.shapes import (
    CUBE,
    ball,
    bumpy_ball,
    check_counted,
    check_flat,
    check_whole,
    farthest_corner,
    mesh_of,
    model_of,
    solid,
)
from tests.scenes import bumpy, scene_model

COUNTS = (8, 14, 24)
BUMPY_COUNTS = (10, 24, 60)


@cache
def bumpy_levels() -> PlaneLevels:
    return break_up(scene_model(bumpy(100.0, 4)), PlaneChoice(BUMPY_COUNTS))


def test_a_bumpy_ball_is_whole_nested_and_nearer_level_by_level() -> None:
    levels = bumpy_levels()
    check_whole(levels)
    assert not levels.mirrored
    check_counted(levels, BUMPY_COUNTS)
    big, middle, small = (planes.rms_mm for planes in levels.levels)
    assert big > middle > small
    for planes in levels.levels:
        assert planes.areas_mm2.sum() == pytest.approx(mesh_of(planes).area, rel=1e-12)
        check_flat(planes)


@pytest.mark.parametrize(
    ("seed", "height", "mirrored"), [(1, 1.0, False), (3, 1.0, False), (5, 1.2, False), (2, 1.0, True)]
)
def test_no_bumpy_ball_has_slivers_or_another_number_of_planes(seed: int, height: float, mirrored: bool) -> None:
    levels = break_up(bumpy_ball(seed, height, mirrored), PlaneChoice(BUMPY_COUNTS))
    assert levels.mirrored == mirrored
    check_whole(levels)
    check_counted(levels, BUMPY_COUNTS)
    for planes in levels.levels:
        check_flat(planes)


@settings(max_examples=5)
@given(
    st.tuples(*[st.floats(20.0, 90.0)] * 3),
    st.booleans(),
    st.booleans(),
)
def test_any_box_or_ellipsoid_keeps_every_plane(size: tuple[float, float, float], round_: bool, mirrored: bool) -> None:
    model = ball(size) if round_ else solid(CUBE * size, radius=100.0)[0]
    levels = break_up(model, PlaneChoice(COUNTS, mirrored=mirrored))
    check_whole(levels)
    assert levels.mirrored == mirrored
    # a merge in a mirrored body takes away two planes at once
    for planes, wanted in zip(levels.levels, COUNTS, strict=True):
        assert wanted - 2 <= planes.count <= max(1.05 * wanted, wanted + 1)
        check_flat(planes)


def test_mirrored_planes_are_mirror_images() -> None:
    model = ball((60.0, 80.0, 100.0))
    levels = break_up(model, PlaneChoice(COUNTS))
    assert levels.mirrored
    assert levels.mirror_x_mm == pytest.approx(0.0, abs=1e-6)
    for planes in levels.levels:
        image = planes.vertices * (-1, 1, 1) + (2 * levels.mirror_x_mm, 0, 0)
        apart = np.linalg.norm(image[:, None] - planes.vertices[None], axis=2).min(axis=1)
        assert apart.max() < 1e-12 * 200


def test_a_lopsided_body_is_not_mirrored_unless_asked() -> None:
    mesh = trimesh.creation.icosphere(subdivisions=3)
    vertices = np.array(mesh.vertices) * 100.0
    vertices[:, 0] *= np.where(vertices[:, 0] > 0, 1.0 + 0.8 * (vertices[:, 2] > 20), 1.0)
    model = model_of(vertices, mesh.faces)
    assert not break_up(model, PlaneChoice(COUNTS)).mirrored
    forced = break_up(model, PlaneChoice(COUNTS, mirrored=True))
    assert forced.mirrored
    check_whole(forced)


def test_a_torus_keeps_its_hole() -> None:
    mesh = trimesh.creation.torus(80.0, 35.0, major_sections=48, minor_sections=24)
    levels = break_up(model_of(mesh.vertices, mesh.faces), PlaneChoice((12, 30, 60), mirrored=False))
    check_whole(levels, euler=0)
    for planes in levels.levels:
        check_flat(planes)


def test_the_same_model_gives_the_same_bytes() -> None:
    def bytes_of(planes: Planes) -> str:
        return digest(planes.vertices, planes.faces, planes.plane, planes.normals, planes.parent)

    model = scene_model(bumpy(100.0, 3))
    one, other = break_up(model, PlaneChoice(COUNTS)), break_up(model, PlaneChoice(COUNTS))
    assert [bytes_of(planes) for planes in one.levels] == [bytes_of(planes) for planes in other.levels]


def test_bodies_that_touch_along_an_edge_keep_their_own_planes() -> None:
    one, _ = solid(CUBE, radius=50 * np.sqrt(3))
    body = one.scene.vertices[: one.body_vertices]
    faces = one.scene.faces[: one.body_faces]
    # the second stands beside the first, an edge in common
    both = model_of(
        np.concatenate([body, body + np.array((100.0, 100.0, 0.0))]), np.concatenate([faces, faces + len(body)])
    )
    skin = skin_of(both)
    assert skin.closed and skin.euler == 4
    levels = break_up(both, PlaneChoice((12, 12, 12)))
    check_whole(levels, euler=4)
    assert levels.small.count == 12
    assert mesh_of(levels.small).volume == pytest.approx(2e6, rel=1e-6)


def test_an_open_body_stays_open_and_is_not_mirrored() -> None:
    model, _ = solid(CUBE)
    body = Triangles(model.scene.vertices, model.scene.faces)
    walls = body.chosen(body.vertices[body.faces][:, :, 2].min(axis=1) < body.vertices[:, 2].max() - 1e-6)
    levels = break_up(model_of(walls.vertices, walls.faces), PlaneChoice((5, 5, 5), mirrored=True))
    assert not levels.mirrored
    assert "not mirrored" in levels.notices[0].text
    assert levels.small.count == 5
    assert mesh_of(levels.small).euler_number == 1  # a disc
    assert levels.small.greatest_mm < 1e-3


def test_a_zone_gets_more_planes() -> None:
    model = ball((100.0, 100.0, 100.0), 4)
    zone = Zone((0.0, -100.0, 0.0), 80.0, 6.0)
    plain, more = (break_up(model, PlaneChoice((6, 14, 50), one, False)).small for one in (None, zone))

    def inside(planes: Planes) -> int:
        return int((np.linalg.norm(planes.centres - zone.point_mm, axis=1) < zone.radius_mm).sum())

    assert inside(more) >= 1.5 * inside(plain)


def test_a_body_stands_where_it_stood() -> None:
    levels = break_up(ball((50.0, 60.0, 80.0)), PlaneChoice(COUNTS))
    for planes in levels.levels:
        assert planes.vertices[:, 2].min() == pytest.approx(-80.0, abs=1e-9)


def test_faces_that_share_no_clean_edge_are_cut_apart() -> None:
    # three sheets along one edge: no two of them belong together
    points = np.array([(0, 0, 0), (0, 0, 1), (1, 0, 0), (0, 1, 0), (-1, -1, 0)], float)
    skin = sewn(Triangles(points, np.array([(0, 1, 2), (0, 1, 3), (0, 1, 4)])))
    assert (skin.beside == -1).all()
    assert len(skin.vertices) == 9


def test_a_thin_slab_keeps_its_sides() -> None:
    # thinner (10 mm) than the sides of a border that are drawn together on rounded forms (a fifth of 60 mm), and wider
    # than a sliver (a tenth)
    plate = trimesh.creation.box((100.0, 90.0, 10.0)).subdivide_to_size(4.0)
    levels = break_up(model_of(plate.vertices, plate.faces), PlaneChoice((6, 6, 6), mirrored=False))
    check_whole(levels)
    corners = np.array([(x, y, z) for x in (-50, 50) for y in (-45, 45) for z in (-5, 5)], float)
    assert levels.small.count == 6
    # points are shaken by a hundred thousandth of the size, 0.001 mm, before they are thinned out
    assert farthest_corner(levels.small, corners) < 1e-3
