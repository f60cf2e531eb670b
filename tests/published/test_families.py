"""Light families against closed forms: on a ball, a cylinder, a gable roof and a pole.

Eyes and lamps stand so far away that their rays are as good as parallel. p is the angle between the eye's direction and
the lamp's. A cap of a unit ball that is seen whole has the projected area pi sin^2(half-width) cos(angle of its middle
to the eye): the flat disc that bounds it, foreshortened. All of it is textbook geometry; sources stand at each check,
author and year from memory.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, Point

from builder.arrays import Bytes, Floats
from builder.camera.sight import Sight
from builder.form.looked import look_at
from builder.light.direct import vertex_irradiance
from builder.light.lit import Lit
from builder.light.solve import solve
from builder.light.transport import gather
from builder.model.model import Model, Part
from builder.model.tracer import Tracer
from builder.plates.causes import (
    BACK_STOPS,
    BAND_DEG,
    GLOSS_DEG,
    LIT,
    SHADOW,
    SLANT_DEG,
    Family,
)
from builder.plates.clean import narrowest_px
from builder.plates.families import cut_families
from builder.plates.family_lines import met_lines
from builder.plates.outlines import find_outlines
from builder.plates.shown import show
from builder.study.description import Finish, Lamp, Length, Lighting
from tests.plates.known_light import cosine_light, disc_lamp, eye_at, given_light, look, moon
from tests.scenes import Piece, ball, joined, rod, scene_model, sheet

FAR = 1e5
SIZE = 256
RADIUS_PX = SIZE * 0.4


def labels(model: Model, lit: Lit, sight: Sight, traced: bool = False) -> Bytes:
    """Families of the pixels; when ``traced``, every sample looks at the lamp itself."""
    mixed = np.full((len(lit.emitters), len(model.scene.faces)), traced) if traced else None
    return show(look_at(model, sight), lit, Tracer(model.scene), mixed).family


def area(chosen: np.ndarray) -> float:
    """Pixels as a share of the unit ball's radius squared."""
    return chosen.sum() / RADIUS_PX**2


def cap(half_width_deg: float, off_deg: float) -> float:
    """Projected area of a cap of the unit ball that is seen whole."""
    assert half_width_deg + off_deg <= 90
    return float(np.pi * np.sin(np.radians(half_width_deg)) ** 2 * np.cos(np.radians(off_deg)))


def ball_under(p_deg: float, elsewhere: Floats | float = 0.0) -> Bytes:
    """Labels of a ball under a lamp p degrees from the eye; elsewhere: light from elsewhere, given by facing."""
    model, lit, sight = moon(p_deg, size=SIZE)
    return labels(model, replace(lit, indirect=np.broadcast_to(elsewhere, lit.indirect.shape)), sight)


@pytest.mark.parametrize("p_deg", [0, 30, 60, 90, 120, 150])
def test_light_and_shadow_of_a_ball(p_deg):
    """The light family covers (1 + cos p) / 2 of the disc (phase of a sphere, textbook), form shadow the rest; nothing
    is cast on a ball."""
    label = ball_under(p_deg)
    lit = (1 + np.cos(np.radians(p_deg))) / 2
    assert area(np.isin(label, LIT)) / np.pi == pytest.approx(lit, abs=0.006)
    assert area(np.isin(label, SHADOW)) / np.pi == pytest.approx(1 - lit, abs=0.006)
    assert not (label == Family.CAST).any()


@pytest.mark.parametrize("p_deg", [0, 40, 90, 120])
def test_highlight_of_a_ball(p_deg):
    """A cap about the direction halfway between eye and lamp: area pi sin^2(gloss) cos(p / 2), its middle at
    sin(p / 2) of the radius towards the lamp (J. F. Blinn, SIGGRAPH 1977: the half vector)."""
    bright = ball_under(p_deg) == Family.HIGHLIGHT
    assert area(bright) == pytest.approx(cap(GLOSS_DEG, p_deg / 2), rel=0.04)
    y, x = np.nonzero(bright)
    middle = np.cos(np.radians(GLOSS_DEG / 2)) ** 2  # of a cap: its centroid lies inside the ball by this share
    assert x.mean() + 0.5 - SIZE / 2 == pytest.approx(middle * RADIUS_PX * np.sin(np.radians(p_deg / 2)), abs=0.7)
    assert y.mean() + 0.5 == pytest.approx(SIZE / 2, abs=0.5)


@pytest.mark.parametrize("p_deg", [0, 15, 30])
def test_halftone_of_a_ball(p_deg):
    """Light of less than half strikes all of the lit side but a cap of 60 degrees (J. H. Lambert, Photometria, 1760:
    the cosine law; half of the light at 60 degrees)."""
    label = ball_under(p_deg)
    full = cap(SLANT_DEG, p_deg)
    halftone = np.pi * (1 + np.cos(np.radians(p_deg))) / 2 - full
    assert area(label == Family.HALFTONE) == pytest.approx(halftone, rel=0.02)
    assert area(label == Family.LIGHT) == pytest.approx(full - cap(GLOSS_DEG, p_deg / 2), rel=0.02)


def test_halftone_on_the_axis():
    """Under a frontal lamp the disc's share with N.L > t is 1 - t^2 (textbook): a quarter of the disc, its rim, is
    halftone at t = 1/2."""
    assert area(ball_under(0) == Family.HALFTONE) / np.pi == pytest.approx(0.5**2, abs=0.01)


@pytest.mark.parametrize("p_deg", [168, 174, 180])
def test_core_band_of_a_ball(p_deg):
    """With more light on all that lies beyond the band than in it, the core is the band alone: form shadow less a cap
    of 90 degrees minus the band's width about the point opposite the lamp."""
    model, lit, sight = moon(p_deg, size=SIZE)
    facing = model.scene.normals @ -lit.emitters[0].normal
    # Twice the light beyond the band, and a ramp short enough not to move the border by a pixel.
    elsewhere = np.interp(-facing, np.sin(np.radians([BAND_DEG - 2.0, BAND_DEG])), [0.1, 0.2])
    label = labels(model, replace(lit, indirect=elsewhere), sight)
    beyond = cap(90 - BAND_DEG, 180 - p_deg)
    form = np.pi * (1 - np.cos(np.radians(p_deg))) / 2
    assert area(label == Family.REFLECTED) == pytest.approx(beyond, rel=0.01)
    assert area(label == Family.CORE) == pytest.approx(form - beyond, abs=0.03)


def test_reflected_light_begins_half_a_stop_above_the_core():
    """Light from elsewhere that grows as 1 + 2 f with the turn f = -N.L past the terminator: zones of a sphere of equal
    height have equal area (Archimedes), so the band's median lies at f = sin(band) / 2, and reflected light begins
    where 1 + 2 f is 2^0.5 times as much."""
    model, lit, sight = moon(180, size=SIZE)
    facing = model.scene.normals @ -lit.emitters[0].normal
    label = labels(model, replace(lit, indirect=0.1 * (1 - 2 * facing)), sight)
    level = 1 + np.sin(np.radians(BAND_DEG))
    turn = (2**BACK_STOPS * level - 1) / 2
    assert turn > np.sin(np.radians(BAND_DEG))
    assert area(label == Family.REFLECTED) == pytest.approx(np.pi * (1 - turn**2), rel=0.01)


def over_a_floor(reflectance: float) -> tuple[Model, Lighting, Finish]:
    """A ball ten radii above a wide floor, the lamp far to the right at 30 degrees, no other light."""
    model = scene_model(ball(10.0, 5).moved(0, 0, 110), sheet(20_000, 20_000, 0, 40))
    lamp = Lamp(90.0, 30.0, Length(1e6), "disc", Length(1e4), Length(1e4))
    return model, Lighting("far", "Far", lamp, ambient_stops=-20.0), Finish(0.8, reflectance, 0.3)


def floor_light(n_z: Floats | float) -> Floats | float:
    """Share of a wide level floor in what a tilted patch sees (B. Y. H. Liu, R. C. Jordan, Solar Energy 7, 1963)."""
    return (1 - n_z) / 2


def test_reflected_light_over_a_floor():
    """Light from a wide floor comes to a patch as (1 - n_z) / 2. On the dark side of a ball the level of the core is
    its median over the band, found here by quadrature; below the height where it is half a stop more there is reflected
    light, above there is not. Solved with every bounce, to a twentieth of the radius."""
    model, lighting, finish = over_a_floor(0.5)
    lit = solve(model, lighting, finish, gather(model))
    # From the side opposite the lamp, level: x of the picture is across the lamp's direction, y is height.
    sight = look(model, eye_at(model.middle_mm, -90.0, 0.0, FAR, 12.5, (SIZE, SIZE)))
    label = labels(model, lit, sight)
    z, turn = np.meshgrid(np.linspace(-1, 1, 2001), np.linspace(0, 2 * np.pi, 721)[:-1])
    facing = np.cos(np.pi / 6) * np.sqrt(1 - z**2) * np.cos(turn) + np.sin(np.pi / 6) * z
    band = (facing <= 0) & (facing > -np.sin(np.radians(BAND_DEG)))
    level = float(np.median(floor_light(z[band])))
    height = 1 - 2 * 2**BACK_STOPS * level
    assert -0.8 < height < -0.3
    column = label[:, SIZE // 2]
    top = np.flatnonzero(column == Family.REFLECTED)[0]
    assert (SIZE / 2 - top) / RADIUS_PX == pytest.approx(height, abs=0.05)
    assert set(column[top + 3 : SIZE // 2 + int(RADIUS_PX * 0.8)]) == {Family.REFLECTED}


def test_no_light_back_no_reflected_light():
    """Over a floor that gives nothing back all of the form shadow is core."""
    model, lighting, finish = over_a_floor(0.0)
    lit = solve(model, lighting, finish, gather(model))
    label = labels(model, lit, look(model, eye_at(model.middle_mm, -90.0, 0.0, FAR, 12.5, (SIZE, SIZE))))
    assert not (label == Family.REFLECTED).any() and (label == Family.CORE).any()


def pillar(radius: float, half_height: float, sides: int = 256) -> Piece:
    """The side of an upright cylinder with smooth normals."""
    turn = np.arange(sides) * (2 * np.pi / sides)
    normals = np.stack([np.cos(turn), np.sin(turn), np.zeros(sides)], axis=1)
    vertices = np.concatenate([normals * radius + [0, 0, z] for z in (-half_height, half_height)])
    here, beside = np.arange(sides), (np.arange(sides) + 1) % sides
    faces = np.concatenate(
        [np.stack([here, beside, beside + sides], axis=1), np.stack([here, beside + sides, here + sides], axis=1)]
    )
    return Piece(Part.MODEL, vertices, faces, np.tile(normals, (2, 1)))


@pytest.mark.parametrize("lamp_deg", [35.0, 60.0, 85.0])
def test_bands_of_a_cylinder(lamp_deg):
    """Seen from afar a point of an upright cylinder turned b from the eye stands at R sin b. Form shadow begins a right
    angle from the lamp, halftone at 60 degrees from it, the core ends a band's width past the terminator: upright
    edges, each within a pixel."""
    model = scene_model(pillar(100.0, 100.0))
    lamp = disc_lamp(model.middle_mm, lamp_deg, 0.0, FAR, 100.0)
    light, facing = cosine_light(model, lamp), model.scene.normals @ -lamp.normal
    lit = given_light(model, [lamp], [light], [light], reflectance=(0.5,) * 4)
    elsewhere = np.interp(-facing, np.sin(np.radians([BAND_DEG - 3.0, BAND_DEG])), [0.1, 0.2])
    sight = look(model, eye_at(model.middle_mm, 0.0, 0.0, FAR, 125.0, (SIZE, SIZE)))
    label = labels(model, replace(lit, indirect=elsewhere), sight)
    ends = {
        Family.HALFTONE: lamp_deg - SLANT_DEG,
        Family.CORE: lamp_deg - 90,
        Family.REFLECTED: lamp_deg - 90 - BAND_DEG,
    }
    for row in label[SIZE // 2 - 80 : SIZE // 2 + 80]:
        for family, turn_deg in ends.items():
            right = np.flatnonzero(row == family)[-1] + 1
            assert right - SIZE / 2 == pytest.approx(RADIUS_PX * np.sin(np.radians(turn_deg)), abs=1.0)


@pytest.mark.parametrize("p_deg", [30, 60, 75, 105, 130, 150])
def test_terminator_of_a_ball_is_half_an_ellipse(p_deg):
    """The circle where light ends is seen as half an ellipse with semi-axes R and R cos p (descriptive geometry). The
    smooth line and it are within a pixel of each other, but for the tips, where the crescent is too narrow to draw."""
    model, lit, sight = moon(p_deg, size=SIZE)
    shown = show(look_at(model, sight), lit, Tracer(model.scene))
    found = met_lines(find_outlines(cut_families(shown)), 0, shown.footing, sight.eye)
    assert len(found.terminator) == 1 and not found.cast_edge
    turn = np.radians(np.linspace(-90, 90, 721))
    across = -np.cos(np.radians(p_deg)) * np.cos(turn)
    line = LineString(found.terminator[0].astype(float))
    ellipse = LineString(np.stack([across, np.sin(turn)], axis=1) * RADIUS_PX + SIZE / 2)
    inside = Point(SIZE / 2, SIZE / 2).buffer(RADIUS_PX - narrowest_px((SIZE, SIZE)) - 1, quad_segs=90)
    for one, other in ((line, ellipse), (ellipse, line)):
        places = [Point(place) for place in one.segmentize(1.0).coords if inside.contains(Point(place))]
        assert len(places) > RADIUS_PX / 2
        assert max(other.distance(place) for place in places) <= 1.0


@pytest.mark.parametrize("lamp_deg", [35.0, 60.0, 110.0])
def test_terminator_of_a_cylinder_is_upright(lamp_deg):
    """An upright cylinder's terminator is a straight upright line at R sin(lamp - 90), to a pixel."""
    model = scene_model(pillar(100.0, 100.0))
    lamp = disc_lamp(model.middle_mm, lamp_deg, 0.0, FAR, 100.0)
    light = cosine_light(model, lamp)
    lit = given_light(model, [lamp], [light], [light], reflectance=(0.5,) * 4)
    shown = show(
        look_at(model, look(model, eye_at(model.middle_mm, 0.0, 0.0, FAR, 125.0, (SIZE, SIZE)))),
        lit,
        Tracer(model.scene),
    )
    found = met_lines(find_outlines(cut_families(shown)), 0, shown.footing, shown.sight.eye)
    assert len(found.terminator) == 1 and not found.cast_edge
    x, y = found.terminator[0].T
    assert np.abs(x - SIZE / 2 + RADIUS_PX * np.cos(np.radians(lamp_deg))).max() <= 1.0
    assert np.ptp(y) == pytest.approx(2 * RADIUS_PX, abs=2)


def slope(sign: float, cells: int = 8) -> Piece:
    """One side of a roof of 45 degrees along y, ridge at z = 70.7."""
    return (
        sheet(100, 200, 0, cells, Part.MODEL)
        .moved(sign * 50, 0, 0)
        .turned(0, sign * np.pi / 4, 0)
        .moved(0, 0, 70.710678)
    )


def test_a_gable_roof_has_a_side_in_form_shadow():
    """A lamp at 30 degrees strikes one side of a roof of 45 degrees at 15 degrees from its normal and passes the other
    at 105 (plane geometry): light and core meet at the ridge, and nothing is cast."""
    model = scene_model(joined(Part.MODEL, [slope(-1.0), slope(1.0)]))
    lamp = disc_lamp(model.middle_mm, -90.0, 30.0, FAR, 100.0)
    tracer = Tracer(model.scene)
    direct, unshadowed = vertex_irradiance(model, lamp, tracer)
    lit = given_light(model, [lamp], [direct], [unshadowed], backdrop=0.0)
    label = labels(model, lit, look(model, eye_at(model.middle_mm, 0.0, 60.0, FAR, 130.0, (SIZE, SIZE))), traced=True)
    assert set(np.unique(label)) == {Family.LIGHT, Family.CORE, Family.NONE}
    left, right = label[:, : SIZE // 2], label[:, SIZE // 2 :]
    assert set(np.unique(left)) == {Family.LIGHT, Family.NONE}
    assert set(np.unique(right)) == {Family.CORE, Family.NONE}
    assert (left == Family.LIGHT).sum() == pytest.approx((right == Family.CORE).sum(), rel=0.01)


@pytest.mark.parametrize(("elevation_deg", "expected"), [(30, 1.7321), (45, 1.0), (60, 0.5774)])
def test_a_pole_casts_its_shadow(elevation_deg, expected):
    """The shadow of a pole of height h reaches h / tan(elevation) over the ground (gnomon, textbook) from each point of
    its top, to a hundredth. Seen from above it is a disc drawn out to that length, less the disc that
    the pole's top hides: its area is length times width, to 2 %. All of it is cast shadow."""
    pole, width = 100.0, 4.0
    model = scene_model(rod(width / 2, pole, 48), sheet(500, 500, 0, 2))
    lamp = disc_lamp(np.zeros(3), -90.0, elevation_deg, FAR, 1.0)
    light = cosine_light(model, lamp)
    lit = given_light(model, [lamp], [light], [light])
    scale = 300.0 / 600
    eye = eye_at(np.array([60.0, 0.0, 0.0]), 0.0, 90.0, FAR, 75.0, (600, 300))
    label = labels(model, lit, look(model, eye), traced=True)
    y, x = np.nonzero(label == Family.CAST)
    reach = ((x.max() + 1) * scale - 150.0 + 60.0 - width / 2) / pole
    assert reach == pytest.approx(expected, abs=0.01)
    assert len(x) * scale**2 == pytest.approx(width * pole * expected, rel=0.02)
    assert np.abs(y + 0.5 - 150).max() * scale < width / 2
    assert (label[label != Family.CAST] != Family.CORE).mean() > 0.99
