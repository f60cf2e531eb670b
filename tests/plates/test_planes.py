"""Planes in flat values: Lambert's cosine law on a cube, the shadow of a pole, and borders as clean as they look."""

from __future__ import annotations

import numpy as np
import pytest

from builder.camera.projection import project
from builder.form.looked import look_at
from builder.light.lit import Emitter
from builder.light.value import codes_of_luminance
from builder.model.tracer import Tracer
from builder.plates.cast_shadow import LIGHT, NEITHER, SHADOW
from builder.plates.edges import mixed_faces
from builder.plates.plane_facts import FACINGS, facings
from builder.plates.plane_light import plane_light
from builder.plates.planes import make_planes
from builder.plates.planes_shown import PlanesShown, show_planes
from builder.plates.planes_view import view_planes
from tests.planes.known_planes import FRONT, RIGHT, TOP, UNDER, box_planes, planes_scene
from tests.plates.known_light import away, cosine_light, disc_lamp, eye_at, given_light, look

CUBE = ((-50.0, -50.0, 0.0), (50.0, 50.0, 100.0))
POLE = ((-4.0, -4.0, 20.0), (4.0, 4.0, 100.0))
SLAB = ((-150.0, -150.0, 0.0), (150.0, 150.0, 20.0))


def shown(broken, lit, bearing=30.0, level=30.0, half=110.0, drawn_in="full", distance=2000.0) -> PlanesShown:
    model = broken.model
    eye = eye_at(model.middle_mm, bearing, level, distance, half, (480, 600))
    view = view_planes(look_at(model, look(model, eye)), broken)
    return show_planes(view, lit, Tracer(model.scene), mixed_faces(model, lit), drawn_in)


def cosine_lit(broken, lamp: Emitter):
    """The light of a lamp so far away that only the cosine counts, shadows left to the rays."""
    light = cosine_light(broken.model, lamp)
    return given_light(broken.model, [lamp], [light], [light])


def test_a_cube_is_lit_by_the_cosine():
    """Under a far lamp without other light each face is of one value, the reflectance times the cosine of the angle
    between its normal and the lamp (J. H. Lambert, Photometria, 1760); turned away it is black."""
    broken = planes_scene(box_planes(CUBE))
    lamp = disc_lamp(broken.model.middle_mm, 50.0, 40.0, 1e6, 100.0)
    light = plane_light(broken, cosine_lit(broken, lamp))
    cosine = broken.planes.normals @ away(50.0, 40.0)
    assert np.allclose(light.value[:, LIGHT], 0.8 * np.maximum(cosine, 0.0), atol=1e-6)
    assert light.value[TOP, LIGHT] / light.value[FRONT, LIGHT] == pytest.approx(cosine[TOP] / cosine[FRONT], rel=1e-4)
    assert light.faces_key.tolist() == (cosine > 0).tolist()


def test_each_face_is_painted_flat():
    """Of the three faces seen each is one code of grey, but for the rim where a pixel sees more than one thing."""
    broken = planes_scene(box_planes(CUBE))
    lamp = disc_lamp(broken.model.middle_mm, 50.0, 40.0, 1e6, 100.0)
    made = shown(broken, cosine_lit(broken, lamp))
    plate = make_planes(made, 0)
    whole = made.view.plane.copy()
    whole.ravel()[made.view.rim] = -1
    cosine = broken.planes.normals @ away(50.0, 40.0)
    assert sorted(set(whole[whole >= 0].tolist())) == sorted([TOP, FRONT, RIGHT])
    for plane in (TOP, FRONT, RIGHT):
        codes = np.unique(plate.grey[whole == plane])
        assert codes.tolist() == [codes_of_luminance(0.8 * cosine[plane])]
    assert plate.facts["planes_big_count"] == 6 and plate.facts["planes_big_seen"] == 3
    assert plate.drawing.count(b"<path") == 9


def test_rims_lie_between_what_they_show():
    """A pixel that sees two faces is no lighter and no darker than both."""
    broken = planes_scene(box_planes(CUBE))
    made = shown(broken, cosine_lit(broken, disc_lamp(broken.model.middle_mm, 50.0, 40.0, 1e6, 100.0)))
    grey = make_planes(made, 0).grey
    y, x = np.divmod(made.view.rim, grey.shape[1])
    for row, column in zip(y.tolist(), x.tolist(), strict=True):
        near = grey[row - 1 : row + 2, column - 1 : column + 2]
        assert near.min() <= grey[row, column] <= near.max()


def test_the_shadow_of_a_pole_lies_where_it_must():
    """A pole of height 80 under a lamp 30 degrees high throws a shadow of length 80 / tan 30 straight away from it, as
    wide as the pole is seen from there; it has one value, that of a plane which the key does not reach."""
    broken = planes_scene(box_planes(SLAB, POLE))
    bearing, level = 200.0, 30.0  # behind and to the side, so that the shadow falls in front
    lamp = disc_lamp(np.array([0.0, 0.0, 60.0]), bearing, level, 1e5, 50.0)
    made = shown(broken, cosine_lit(broken, lamp), bearing=0.0, level=50.0, half=190.0)
    way = -away(bearing, 0.0)
    side = np.array([-way[1], way[0], 0.0])
    length = 80.0 / np.tan(np.radians(level))
    # a square of 8 seen at an angle b to its side is 8 (|cos b| + |sin b|) wide
    half_width = 4.0 * (abs(np.cos(np.radians(bearing))) + abs(np.sin(np.radians(bearing))))
    foot = np.array([0.0, 0.0, 20.0])

    def state(along: float, across: float) -> int:
        place, _ = project(made.view.looked.eye, (foot + way * along + side * across)[None])
        return int(made.state[int(place[0, 1]), int(place[0, 0])])

    for along in np.linspace(12.0, length - 8.0, 12):
        assert state(along, 0.0) == state(along, half_width - 1.5) == state(along, 1.5 - half_width) == SHADOW
        assert state(along, half_width + 1.5) == state(along, -half_width - 1.5) == LIGHT
    assert state(length + 10.0, 0.0) == LIGHT
    value = made.value[TOP]
    assert value[LIGHT] == pytest.approx(0.8 * np.sin(np.radians(level)), rel=1e-3) and value[SHADOW] == 0.0
    # two values and a border between them: nothing else on the slab's top
    top = np.flatnonzero((made.view.plane == TOP).ravel())
    top = np.setdiff1d(top, made.view.rim)
    grey = make_planes(made, 0).grey.ravel()[top]
    flat = np.isin(grey, codes_of_luminance(value))
    assert 0.01 < (grey == 0).mean() < 0.2 and flat.mean() > 0.97


def test_a_plane_turned_away_has_one_value_and_is_shadow():
    """No ray is asked on it; off the sculpture there is neither."""
    broken = planes_scene(box_planes(CUBE))
    lit = cosine_lit(broken, disc_lamp(broken.model.middle_mm, -120.0, 20.0, 1e6, 100.0))
    made = shown(broken, lit)
    assert set(made.state[made.view.plane == FRONT].tolist()) == {SHADOW}
    assert set(made.state[made.view.plane < 0].tolist()) == {NEITHER}
    assert made.value[FRONT, LIGHT] == made.value[FRONT, SHADOW]


def test_in_pencil_lights_stay_lighter_than_shadows():
    """The draughtsman's rule within a pencil's reach: no painted shadow is as light as the darkest light; and every
    plane is still flat."""
    broken = planes_scene(box_planes(SLAB, POLE))
    lamp = disc_lamp(np.array([0.0, 0.0, 60.0]), 200.0, 30.0, 1e5, 50.0)
    light = cosine_light(broken.model, lamp)
    lit = given_light(broken.model, [lamp], [light], [light], indirect=0.4)
    made = shown(broken, lit, bearing=0.0, level=50.0, half=190.0, drawn_in="pencil")
    seen = {
        (k, s) for k, s in zip(made.view.plane.ravel().tolist(), made.state.ravel().tolist(), strict=True) if k >= 0
    }
    lights = [made.value[k, s] for k, s in seen if s == LIGHT]
    shadows = [made.value[k, s] for k, s in seen if s == SHADOW]
    assert lights and shadows and max(shadows) < min(lights)
    assert min(shadows) > 0.03 and max(lights) < 0.85  # graphite and paper


@pytest.mark.parametrize(
    ("normal", "word"),
    [
        ((0, 0, 1), "top"),
        ((0, -np.cos(np.radians(29)), np.sin(np.radians(29))), "front"),
        ((0, -np.cos(np.radians(31)), np.sin(np.radians(31))), "top"),
        ((0, -np.cos(np.radians(31)), -np.sin(np.radians(31))), "under"),
        ((np.sin(np.radians(44)), -np.cos(np.radians(44)), 0), "front"),
        ((np.sin(np.radians(46)), -np.cos(np.radians(46)), 0), "side right"),
        ((-1, 0, 0), "side left"),
    ],
)
def test_facings_by_angle(normal, word):
    """By the angles that the module states, as an eye in front sees them."""
    eye = eye_at(np.zeros(3), 0.0, 0.0, 1000.0, 100.0, (48, 60))
    assert FACINGS[facings(np.array([normal], float), np.zeros((1, 3)), eye)[0]] == word


def test_the_facts_of_the_middle_level():
    """A cube seen with its front turned by 30 degrees: the front is the largest, upright, and 30 degrees from the eye
    (seen from far off, level)."""
    broken = planes_scene(box_planes(CUBE))
    lit = cosine_lit(broken, disc_lamp(broken.model.middle_mm, 50.0, 40.0, 1e6, 100.0))
    facts = make_planes(shown(broken, lit, bearing=30.0, level=0.0, distance=2e4), 1).facts
    assert facts["largest_plane_facing"] == "front"
    assert facts["largest_plane_off_level_deg"] == pytest.approx(90.0)
    assert facts["largest_plane_from_eye_deg"] == pytest.approx(30.0, abs=0.1)
    # widths go as the cosines: cos 30 to sin 30
    share = np.cos(np.radians(30)) / (np.cos(np.radians(30)) + np.sin(np.radians(30)))
    assert facts["largest_plane_share"] == pytest.approx(share, abs=0.005)
    assert facts["planes_side_share"] == pytest.approx(1 - share, abs=0.005)
    assert facts["planes_top_share"] == facts["planes_under_share"] == 0.0
    assert UNDER == 0
