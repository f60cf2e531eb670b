"""The light round the planes: the penumbra of a straight edge, against geometry, and no light lost or added."""

from __future__ import annotations

import numpy as np
import pytest

from builder.form.looked import look_at
from builder.light.direct import vertex_irradiance
from builder.light.lit import Emitter
from builder.model.tracer import Tracer
from builder.plates.edges import mixed_faces
from builder.plates.luminance import pixel_light
from builder.plates.planes_around import around_light
from builder.plates.planes_view import view_planes
from tests.planes.known_planes import box_planes, planes_scene
from tests.plates.known_light import eye_at, given_light, look
from tests.scenes import sheet

HEIGHT, FAR, UP = 60.0, 900.0, 400.0
WALL = ((-900.0, 0.0, 0.0), (900.0, 20.0, HEIGHT))


@pytest.fixture(scope="module", params=[20.0, 80.0], ids=["narrow", "wide"])
def seen(request):
    """A long wall on the ground with a lamp behind it, level rims, as wide as given; seen from before it."""
    radius = request.param
    broken = planes_scene(box_planes(WALL), sheet(1600.0, 1600.0, 0.0, 60))
    model = broken.model
    away = np.array([0.0, FAR, UP]) / np.hypot(FAR, UP)
    lamp = Emitter(
        "key", "disc", np.array([0.0, FAR, UP]), -away, [radius, 0.0, 0.0],
        np.cross(away, [radius, 0.0, 0.0]), 1e6 / radius**2,
    )  # fmt: skip
    tracer = Tracer(model.scene)
    direct, unshadowed = vertex_irradiance(model, lamp, tracer)
    lit = given_light(model, [lamp], [direct], [unshadowed], indirect=0.1)
    sight = look(model, eye_at(np.array([0.0, -120.0, 0.0]), 15.0, 55.0, 1500.0, 150.0, (400, 480)))
    view = view_planes(look_at(model, sight), broken)
    mixed = mixed_faces(model, lit)
    return radius, view, lit, tracer, mixed, around_light(view, lit, tracer, mixed)


def test_the_penumbra_of_a_straight_edge(seen):
    """Of a disc the share of the light counts that comes from above the wall's edge: a circle cut by a chord, in level
    strips. Within 0.1 on every pixel (the twelve points that one first looks at may agree by chance), 0.05 on all but
    one in a thousand, and 0.015 rms in the penumbra."""
    radius, view, _, _, _, light = seen
    ground = (view.plane < 0) & (view.looked.sight.face[::2, ::2] >= 0)
    point = view.looked.footing.point[ground].astype(np.float64)
    front = (point[:, 1] < -1.0) & (np.arange(len(point)) % 7 == 0)
    # of the wall's two upper edges the one that the plane through the point and the edge rises more steeply to
    y = point[front, 1]
    rise = np.maximum(HEIGHT / -y, HEIGHT / (20.0 - y))
    # where that plane meets the lamp's upright middle line, as turned as the lamp is
    away = np.array([FAR, UP]) / np.hypot(FAR, UP)
    along = np.array([-away[1], away[0]])
    # centre + s * along lies in the plane through (y, 0) with this rise
    lowest = np.clip((rise * (FAR - y) - UP) / (along[1] - rise * along[0]), -radius, radius)
    # the disc in level strips, each weighted with its height and slant over the fourth power of its distance
    s = (np.arange(4000) + 0.5) / 2000.0 * radius - radius
    width = np.sqrt(radius**2 - s**2)
    share = np.zeros(len(y))
    for i, (place, cut) in enumerate(zip(y, lowest, strict=True)):
        far, up = FAR + s * along[0] - place, UP + s * along[1]
        weight = width * up * (far * away[0] + up * away[1]) / (far**2 + up**2) ** 2
        share[i] = weight[s > cut].sum() / weight.sum()
    got = (light.key[ground] / light.key_open[ground])[front]
    partly = (share > 0.05) & (share < 0.95)
    assert partly.sum() > 1000 and (share < 1e-9).sum() > 1000 and (share > 1 - 1e-9).sum() > 1000
    off = got - share
    assert np.abs(off).max() < 0.1 and np.percentile(np.abs(off), 99.9) < 0.05
    assert np.sqrt((off[partly] ** 2).mean()) < 0.015


def test_as_traced_sample_by_sample(seen):
    """The same picture as the model itself is given, but for a step of grey in the penumbra; light off the sculpture
    alone counts in a pixel, so rims are left out."""
    _, view, lit, tracer, mixed, light = seen
    whole = pixel_light(view.looked.model, lit, view.looked.sight, tracer, mixed)
    off = view.plane < 0
    for name in ("luminance", "key", "key_open"):
        ours, theirs = getattr(light, name)[off], getattr(whole, name)[off]
        assert np.abs(ours - theirs).mean() < 0.003 * theirs.max()
        assert np.percentile(np.abs(ours - theirs), 99.9) < 0.06 * theirs.max()


def test_pixels_of_one_plane_stay_black(seen):
    """They are painted by the planes' own light."""
    _, view, _, _, _, light = seen
    pure = view.plane >= 0
    pure.ravel()[view.rim] = False
    assert pure.any() and not light.luminance[pure].any() and not light.key_open[pure].any()


def test_it_is_the_same_every_time(seen):
    """Twice the same, to the bit."""
    _, view, lit, tracer, mixed, light = seen
    again = around_light(view, lit, tracer, mixed)
    assert np.array_equal(again.luminance, light.luminance) and np.array_equal(again.key, light.key)
