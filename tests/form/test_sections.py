"""Sections of balls, boxes, rods and rings as the eye sees them, against projected circles."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import cKDTree

from builder.arrays import Floats
from builder.camera.projection import directions, project
from builder.form.looked import Looked, look_at
from builder.form.occluding import occluding_strokes
from builder.form.sections import Family, Planes, family_planes, sections, sections_facts, spacing_mm
from builder.form.sections_drawing import HEAVY, PLAIN, sections_drawing
from builder.form.stroke_svg import drawing_svg, mark_size_px
from builder.form.visible import depth_picture
from builder.model.model import Model, Part
from builder.study.description import Guides
from tests.plates.known_light import eye_at, look
from tests.scenes import ball, box, rod, scene_model, smooth

RADIUS = 100.0
FAMILIES: tuple[Family, ...] = ("level", "upright", "oblique")
BALL = scene_model(ball(RADIUS, 6))


def seen_from(
    model: Model, bearing: float, level: float, distance: float, half: float, guides: Guides, size: int = 400
) -> Looked:
    eye = eye_at(model.middle_mm, bearing, level, distance, half, (size, size))
    return look_at(model, look(model, eye), (), guides)


def finely(points: Floats, closed: bool) -> Floats:
    """The points of a line every eighth of a pixel or so."""
    walked = np.vstack([points, points[:1]]) if closed else points
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(walked, axis=0).T)))
    at = np.linspace(0.0, along[-1], int(8 * along[-1]) + 2)
    return np.stack([np.interp(at, along, walked[:, k]) for k in (0, 1)], axis=1)


def circle(planes: Planes, number: int) -> Floats:
    """The circle in which a plane cuts the ball, (n, 3), n = 0 where it misses it."""
    height = planes.offset_mm + planes.spacing_mm * number
    radius = np.sqrt(max(RADIUS**2 - height**2, 0.0))
    across = np.linalg.svd(planes.normal[None])[2][1:]
    turn = np.linspace(0.0, 2 * np.pi, 4000, endpoint=False)
    ring = np.outer(np.cos(turn), across[0]) + np.outer(np.sin(turn), across[1])
    return height * planes.normal + radius * ring[: 4000 if radius > 0 else 0]


def facing(points: Floats, eye: Floats) -> Floats:
    """Cosine between the ball's normal and the way to the eye."""
    away = eye - points
    return np.einsum("ij,ij->i", points / RADIUS, away) / np.linalg.norm(away, axis=1)


@pytest.mark.parametrize(("elevation", "ratio"), [(10.0, 0.17365), (30.0, 0.5), (45.0, 0.70711)])
def test_from_far_the_equator_is_an_ellipse_of_the_right_shape(elevation: float, ratio: float) -> None:
    """minor / major = sin e (CHECKS.md section 3), to a quarter of a pixel, fitted to the visible stroke alone."""
    looked = seen_from(BALL, 25.0, elevation, 1e5, 125.0, Guides(sections_mm=40.0))
    (equator,) = (part for part in sections(looked, "level", depth_picture(looked)) if part.number == 0)
    x, y = (finely(equator.points, equator.closed) - 200.0).T
    (one, other), *_ = np.linalg.lstsq(np.stack([x**2, y**2], axis=1), np.ones(len(x)), rcond=None)
    major, minor = 1 / np.sqrt(one), 1 / np.sqrt(other)
    assert major == pytest.approx(RADIUS * 400 / 250, abs=0.25)
    assert minor == pytest.approx(major * ratio, abs=0.25)


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize(("bearing", "level", "distance"), [(0, 12, 300), (-50, 35, 300), (130, -25, 600)])
def test_from_near_sections_are_the_projected_circles(
    family: Family, bearing: float, level: float, distance: float
) -> None:
    """Each section is one line within half a pixel of its circle's pinhole image, and covers what faces the eye of it.

    Where the surface turns away the triangles' limb lies a little inside the ball's: the last 3 % of facing may lack.
    """
    looked = seen_from(BALL, bearing, level, distance, 130.0, Guides(sections_mm=23.0, oblique_deg=40.0))
    planes = family_planes(looked, family)
    found = {part.number: part for part in sections(looked, family, depth_picture(looked))}
    assert len(found) == len(sections(looked, family, depth_picture(looked)))
    for number in range(-5, 6):
        ring = circle(planes, number)
        front = facing(ring, looked.eye.position)
        must = project(looked.eye, ring[front > 0.03])[0]
        if len(must) and np.ptp(must, axis=0).max() > 10:
            assert number in found
        if number not in found:
            continue
        line = finely(found[number].points, found[number].closed)
        image, _ = project(looked.eye, ring)
        assert cKDTree(image).query(line)[0].max() < 0.5
        if len(must):
            assert cKDTree(line).query(must)[0].max() < 1.0


def test_half_of_a_circle_round_the_eyes_level_is_hidden() -> None:
    """The equator is seen to acos(R / (d cos e)) on either side (textbook): it ends there, to 1.5 px."""
    looked = seen_from(BALL, 0.0, 20.0, 300.0, 130.0, Guides(sections_mm=50.0))
    (equator,) = (part for part in sections(looked, "level", depth_picture(looked)) if part.number == 0)
    half = np.arccos(RADIUS / (300.0 * np.cos(np.radians(20.0))))
    ends = RADIUS * np.array([(np.sin(a), -np.cos(a), 0.0) for a in (-half, half)])
    expected, _ = project(looked.eye, ends)
    got = equator.points[[0, -1]]
    got = got[np.argsort(got[:, 0])]
    assert not equator.closed and np.hypot(*(got - expected).T).max() < 1.5


def test_a_circle_round_the_top_is_seen_whole() -> None:
    """From high up the circle at 80 is closed, the equator is not."""
    looked = seen_from(BALL, 0.0, 70.0, 800.0, 130.0, Guides(sections_mm=40.0))
    closed = {part.number: part.closed for part in sections(looked, "level", depth_picture(looked))}
    assert closed[2] and not closed[0] and -2 not in closed


@settings(max_examples=12)
@given(
    st.sampled_from(FAMILIES),
    st.floats(-180, 180),
    st.floats(-70, 70),
    st.floats(300, 2000),
    st.floats(9, 60),
    st.floats(5, 85),
)
def test_every_point_lies_in_its_plane(
    family: Family, bearing: float, level: float, distance: float, spacing: float, lean: float
) -> None:
    """Put back on the ball along its ray, a point lies as near to its plane as half a pixel allows there."""
    looked = seen_from(BALL, bearing, level, distance, 130.0, Guides(sections_mm=spacing, oblique_deg=lean), 250)
    planes, eye = family_planes(looked, family), looked.eye
    for part in sections(looked, family, depth_picture(looked)):
        ray = directions(eye, part.points)
        square, half = np.einsum("ij,ij->i", ray, ray), ray @ eye.position
        root = half**2 - square * (eye.position @ eye.position - RADIUS**2)
        depth = (-half - np.sqrt(np.maximum(root, 0.0))) / square
        points = eye.position + depth[:, None] * ray
        cosine = facing(points, eye.position)
        sure = (root > 0) & (cosine > 0.2)
        off = np.abs(points @ planes.normal - planes.offset_mm - planes.spacing_mm * part.number)
        pixel_mm = 2 * eye.tan_y * depth / eye.height_px
        assert (off[sure] <= 0.5 * (pixel_mm / cosine)[sure]).all()


def test_rods_show_half_their_rings() -> None:
    """An upright rod has one line in each level plane, as wide as the rod: 2 R / sqrt(d^2 - R^2) at unit depth."""
    model = scene_model(rod(30.0, 200.0, 256))
    looked = seen_from(model, 20.0, 0.0, 500.0, 120.0, Guides(sections_mm=20.0))
    found = sections(looked, "level", depth_picture(looked))
    assert [part.number for part in found] == list(range(1, 10))
    wide = 2 * 30.0 / np.sqrt(500.0**2 - 30.0**2) / (2 * looked.eye.tan_x) * 400
    for part in found:
        assert np.ptp(part.points[:, 0]) == pytest.approx(wide, abs=1.0)


def test_a_ring_hides_its_own_hole() -> None:
    """Points of a torus' sections are seen where a ray to the eye, followed in small steps, stays outside (its implicit
    form): what is drawn is seen all along, and what is seen is drawn, to a pixel and a half.

    Its triangles lean up to 1 degree from the torus, so points that turn away by no more may count as either.
    """
    mesh = trimesh.creation.torus(major_radius=60.0, minor_radius=25.0, major_sections=256, minor_sections=192)
    model = scene_model(smooth(Part.MODEL, np.array(mesh.vertices), np.array(mesh.faces)))
    looked = seen_from(model, 15.0, 30.0, 600.0, 100.0, Guides(sections_mm=11.0))
    turn = np.linspace(0, 2 * np.pi, 1500, endpoint=False)
    found = sections(looked, "level", depth_picture(looked))
    assert {part.number for part in found} >= {-1, 0, 1, 2}
    for number in sorted({part.number for part in found}):
        line = np.vstack([finely(part.points, part.closed) for part in found if part.number == number])
        height = 11.0 * number
        reach = np.sqrt(25.0**2 - height**2)
        circles = [
            np.stack([r * np.cos(turn), r * np.sin(turn), 0 * turn + height], axis=1) for r in (60 - reach, 60 + reach)
        ]
        rings = np.concatenate(circles)
        outward = (rings - 60.0 * rings * [1, 1, 0] / np.linalg.norm(rings[:, :2], axis=1)[:, None]) / 25.0
        to_eye = looked.eye.position - rings
        cosine = np.einsum("ij,ij->i", outward, to_eye) / np.linalg.norm(to_eye, axis=1)
        on_way = rings[:, None] + np.linspace(0.004, 0.3, 200)[None, :, None] * to_eye[:, None]
        inside = (np.hypot(on_way[..., 0], on_way[..., 1]) - 60.0) ** 2 + on_way[..., 2] ** 2 < 25.0**2 - 1.0
        free = ~inside.any(axis=1)
        places, _ = project(looked.eye, rings)
        assert cKDTree(places[free & (cosine > -0.0175)]).query(line)[0].max() < 1.5
        assert cKDTree(line).query(places[free & (cosine > 0.0175)])[0].max() < 1.5


def test_nothing_shows_through_a_thin_plate() -> None:
    """A ball 2 mm behind a plate 1 mm thick has no section inside the plate's image, 1 px from its border."""
    plate = box(120.0, 1.0, 120.0, Part.MODEL).moved(0.0, -104.0, -60.0)
    model = scene_model(ball(RADIUS, 5), plate)
    eye = eye_at(np.zeros(3), 0.0, 0.0, 700.0, 140.0, (400, 400))
    looked = look_at(model, look(model, eye), (), Guides(sections_mm=15.0))
    corner, _ = project(eye, np.array([(60.0, -104.5, 60.0)]))
    half = abs(corner[0] - 200.0) - 1.0
    for family in FAMILIES:
        for part in sections(looked, family, depth_picture(looked)):
            points = finely(part.points, part.closed)
            covered = points[(np.abs(points - 200.0) < half).all(axis=1)]
            ray = directions(eye, covered)
            on_plate = eye.position + ray * ((-104.5 - eye.position[1]) / ray[:, 1])[:, None]
            planes = family_planes(looked, family)
            off = (on_plate @ planes.normal - planes.offset_mm) / planes.spacing_mm - part.number
            assert (np.abs(off) * planes.spacing_mm < 0.5).all()  # a pixel is 0.6 mm there


def test_spacing_is_the_studys_or_a_fifteenth_of_the_height() -> None:
    """270 mm high: every 18 mm; 1 mm at least; symmetrical about the middle, and from the base up."""
    model = scene_model(box(101.0, 60.0, 270.0, Part.MODEL))
    looked = seen_from(model, 30.0, 20.0, 2000.0, 200.0, Guides())
    assert spacing_mm(looked) == 18.0
    assert sorted({part.number for part in sections(looked, "level", depth_picture(looked))}) == list(range(1, 15))
    assert sorted({part.number for part in sections(looked, "upright", depth_picture(looked))}) == [-2, -1, 0, 1, 2]
    assert sections_facts(looked, "level") == {"sections_spacing_mm": 18.0, "sections_level_planes": 14}
    assert sections_facts(looked, "upright") == {"sections_spacing_mm": 18.0, "sections_upright_planes": 5}
    # from corner to corner (60 + 270) / sqrt 2 = 233.3 mm: 6 planes to either side of the middle one
    leaning = {"sections_spacing_mm": 18.0, "sections_oblique_planes": 13, "sections_lean_deg": 45.0}
    assert sections_facts(looked, "oblique") == leaning
    small = scene_model(ball(3.0, 4))
    assert spacing_mm(seen_from(small, 0.0, 0.0, 30.0, 5.0, Guides())) == 1.0
    assert spacing_mm(dataclasses.replace(looked, guides=Guides(sections_mm=7.5))) == 7.5


def test_drawing_counts_by_fives_and_marks_heights_apart() -> None:
    """Every fifth line is heavier; heights stand beside the outline, none on another, and the silhouette lies first."""
    model = scene_model(box(100.0, 60.0, 270.0, Part.MODEL))
    looked = seen_from(model, 30.0, 20.0, 2000.0, 200.0, Guides())
    drawing = sections_drawing(looked, "level", occluding_strokes(looked), depth_picture(looked))
    kinds = [stroke.kind for stroke in drawing.strokes]
    assert kinds[0] == "silhouette" and kinds.count("section-fifth") == 2 and kinds.count("section") == 12
    assert {stroke.weight for stroke in drawing.strokes[1:]} == {PLAIN, HEAVY}
    assert [mark.text for mark in drawing.marks] == ["180 mm", "90 mm"]
    apart = np.diff([mark.y for mark in drawing.marks])
    assert (apart > mark_size_px(drawing)).all()
    assert all(
        mark.x > looked.box_px[2] or (mark.anchor == "end" and mark.x < looked.box_px[0]) for mark in drawing.marks
    )
    assert sections_drawing(looked, "upright", occluding_strokes(looked), depth_picture(looked)).marks == ()


def test_drawings_are_the_same_each_time() -> None:
    """The same sight gives the same bytes."""
    looked = seen_from(BALL, 33.0, 21.0, 500.0, 130.0, Guides())
    assert [
        drawing_svg(sections_drawing(looked, family, occluding_strokes(looked), depth_picture(looked)))
        for family in FAMILIES
    ] == [
        drawing_svg(sections_drawing(looked, family, occluding_strokes(looked), depth_picture(looked)))
        for family in FAMILIES
    ]
