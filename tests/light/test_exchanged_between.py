"""Light thrown from square to square, against the handbook, and from ground right under a lamp, against an integral."""

from __future__ import annotations

import math

import numpy as np
import pytest

from builder.light.direct import vertex_irradiance
from builder.light.exchanged import body_looks, exchanged
from builder.light.lit import Emitter
from builder.model.model import Part
from builder.model.tracer import Tracer
from tests.planes.known_planes import FRONT, LEFT, RIGHT, TOP, box_planes, planes_scene
from tests.plates.known_light import away, given_light
from tests.scenes import sheet

SIDE = 100.0
DARK = -60.0
"""Stops of an ambient that gives nothing."""
FLOOR = sheet(10.0, 10.0, -5.0)
"""A little ground that no square sees, so that the scene has one."""
FACING, AT_RIGHT_ANGLES = 0.1998249, 0.2000438
"""View factors of two equal squares, a side's length apart (Howell, catalogue of radiation configuration factors, C-11)
and with an edge in common (C-14)."""


def far_lamp(bearing_deg: float, level_deg: float, shift=(0.0, 0.0, 0.0)) -> Emitter:
    """A small lamp so far off that it lights a square evenly."""
    way = away(bearing_deg, level_deg)
    across = np.cross(way, [0.0, 1.0, 0.0])
    across /= np.linalg.norm(across)
    return Emitter("key", "disc", 1e5 * way + np.array(shift), -way, 5 * across, 5 * np.cross(way, across), 4e8)


def exchanged_light(broken, lamp, reflectance):
    """The light on the planes of a scene under one lamp and nothing else."""
    model, tracer = broken.model, Tracer(broken.model.scene)
    direct, unshadowed = vertex_irradiance(model, lamp, tracer)
    before = given_light(model, [lamp], [direct], [unshadowed], reflectance=reflectance)
    return exchanged(model, before, DARK, body_looks(model, tracer), tracer)


def plane_mean(broken, light, plane):
    """The mean over a plane's area."""
    faces = broken.model.scene.faces[: broken.model.body_faces][broken.plane_of_face == plane]
    p, q, r = (broken.model.scene.vertices[faces[:, k]] for k in range(3))
    area = np.linalg.norm(np.cross(q - p, r - p), axis=1)
    return float(np.average(light[faces].mean(axis=1), weights=area))


@pytest.mark.parametrize(
    ("boxes", "lamp", "lit", "dark", "factor"),
    [
        pytest.param(
            (((-80.0, -50.0, 0.0), (-50.0, 50.0, SIDE)), ((50.0, -50.0, 0.0), (80.0, 50.0, SIDE))),
            far_lamp(90.0, 60.0), RIGHT, 6 + LEFT, FACING, id="C-11",
        ),
        pytest.param(
            (((-30.0, -50.0, 20.0), (0.0, 50.0, 20.0 + SIDE)), ((0.0, -50.0, 0.0), (SIDE, 50.0, 20.0))),
            far_lamp(0.0, 90.0, (-20.0, 0.0, 0.0)), 6 + TOP, RIGHT, AT_RIGHT_ANGLES, id="C-14",
        ),
    ],
)  # fmt: skip
def test_a_square_gets_what_the_handbook_says(boxes, lamp, lit, dark, factor):
    """One square evenly lit, the other turned away from the lamp: that gets the view factor times the reflectance of
    the first one's light, and what goes to and fro between them, (factor x reflectance)^2 of it, 0.04 % here. Within
    2 %: the rays of some three hundred vertices."""
    reflectance = 0.1
    broken = planes_scene(box_planes(*boxes), FLOOR)
    light = exchanged_light(broken, lamp, (reflectance, reflectance, 0.0, 0.0))
    sent = plane_mean(broken, light.direct[0], lit)
    assert sent > 0.1 and plane_mean(broken, light.direct[0], dark) < 1e-4 * sent
    assert plane_mean(broken, light.indirect, dark) / (reflectance * sent) == pytest.approx(factor, rel=0.02)


def test_ground_right_under_a_low_lamp_lights_a_plane():
    """A small lamp 30 mm over the ground shines down, 60 mm in front of an upright plane. What the ground throws on to
    the plane is the sum over its points of inverse squares, from the lamp and on to the plane, by numerical integral;
    within 2 %, though but a few rays of each vertex meet the spot."""
    height, apart, radius, reflectance = 30.0, 60.0, 3.0, 0.2
    broken = planes_scene(box_planes(((-50.0, -50.0, 0.0), (50.0, 50.0, SIDE))), sheet(600.0, 600.0, 0.0, 60))
    lamp = Emitter(
        "key", "disc", np.array([0.0, -50.0 - apart, height]), np.array([0.0, 0.0, -1.0]), [radius, 0.0, 0.0],
        [0.0, radius, 0.0], 50.0,
    )  # fmt: skip
    light = exchanged_light(broken, lamp, (0.01, 0.01, reflectance, 0.0))
    assert light.reflectance[Part.GROUND] == np.float32(reflectance)

    # cells of 2 mm of ground in front of the plane, and of 5 mm on the plane
    x, y = np.meshgrid(np.arange(-299.0, 300.0, 2.0), np.arange(-299.0, -50.0, 2.0))
    square = x**2 + (y + 50.0 + apart) ** 2 + height**2
    # a disc on its axis gives radiance x pi R^2 cos^2 / r^2; over pi, as the light is kept
    sent = lamp.radiance * radius**2 * height**2 / (square * (square + radius**2))
    u, z = np.meshgrid(np.arange(-47.5, 50.0, 5.0), np.arange(2.5, SIDE, 5.0))
    got = np.zeros(u.shape)
    for at in np.ndindex(u.shape):
        off = (x - u[at]) ** 2 + (y + 50.0) ** 2 + z[at] ** 2
        got[at] = (reflectance * sent * -(y + 50.0) * z[at] / off**2).sum() * 4.0 / math.pi
    assert plane_mean(broken, light.indirect, FRONT) == pytest.approx(got.mean(), rel=0.02)
