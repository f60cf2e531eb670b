"""The light on each pixel: a ball whose picture is known, and shadow edges finer than the mesh."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from builder.camera.sight import SUPERSAMPLE, Sight
from builder.errors import PlateError
from builder.form.looked import look_at
from builder.form.subject import subject_pixels
from builder.light.direct import vertex_irradiance
from builder.light.lit import Emitter
from builder.model.model import Part
from builder.model.tracer import Tracer
from builder.plates.luminance import pixel_light
from builder.plates.shown import show
from tests.plates.known_light import cosine_light, disc_lamp, eye_at, given_light, look, moon
from tests.scenes import ball, box, scene_model, sheet

DISC_PX = 0.4 * 128


def disc_coordinates(size: int) -> tuple[np.ndarray, np.ndarray]:
    """Centres of the pixels in radii of the ball's disc, x to the right and y up."""
    place = (np.arange(size) + 0.5 - size / 2) / (0.4 * size)
    return np.meshgrid(place, -place)


@pytest.mark.parametrize("bearing", [0.0, 45.0, 90.0, 135.0])
def test_a_ball_shows_the_cosine_of_its_normal(bearing):
    """Every pixel within the disc has half the cosine between normal and lamp (Lambert), to 0.005."""
    model, lit, sight = moon(bearing)
    x, y = disc_coordinates(128)
    inside = np.hypot(x, y) < 0.96
    z = np.sqrt(np.clip(1 - x**2 - y**2, 0, None))
    b = np.radians(bearing)
    expected = 0.5 * np.clip(x * np.sin(b) + z * np.cos(b), 0, None)
    shown = pixel_light(model, lit, sight, Tracer(model.scene)).luminance
    assert np.abs(shown - expected)[inside].max() < 0.005


@pytest.mark.parametrize(("bearing", "lit_share"), [(0, 1.0), (45, 0.85355), (60, 0.75), (90, 0.5), (135, 0.14645)])
def test_lit_share_of_a_balls_disc(bearing, lit_share):
    """A far lamp at an angle p from the eye lights (1 + cos p) / 2 of the disc (phase of a sphere), to 0.01."""
    model, lit, sight = moon(bearing)
    shown = show(look_at(model, sight), lit, Tracer(model.scene))
    assert (shown.luminance[shown.subject] > 1e-4).mean() == pytest.approx(lit_share, abs=0.01)


@pytest.mark.parametrize("bearing", [45.0, 60.0, 110.0])
def test_terminator_is_half_an_ellipse(bearing):
    """The edge of the light stands at -cos p of the disc's half width in every row, within a pixel."""
    model, lit, sight = moon(bearing)
    x, y = disc_coordinates(128)
    shown = pixel_light(model, lit, sight, Tracer(model.scene)).luminance
    for row in np.flatnonzero(np.abs(y[:, 0]) < 0.9):
        lit_px = np.flatnonzero(shown[row] * (np.abs(x[row]) < np.sqrt(1 - y[row, 0] ** 2)) > 1e-4)
        edge = -np.cos(np.radians(bearing)) * np.sqrt(1 - y[row, 0] ** 2)
        assert abs((x[row, lit_px[0]] - edge) * DISC_PX) <= 1.0


def test_baked_light_is_the_mean_of_four_samples():
    """Where nothing is traced a pixel is the mean, over its samples, of exposure x reflectance x interpolated light,
    and of the exposed backdrop where a sample meets nothing."""
    model = scene_model(ball(100.0, 2), sheet(260, 260, -100, 3, Part.GROUND))
    rng = np.random.default_rng(3)
    count = len(model.scene.vertices)
    direct = rng.random((2, count))
    lamps = [disc_lamp(model.middle_mm, b, 40.0, 1e4, 10.0) for b in (-30.0, 50.0)]
    lit = given_light(model, lamps, direct, direct + 0.1, 0.07, (0.8, 0.6, 0.4, 0.3), exposure=1.7, backdrop=0.2)
    sight = look(model, eye_at(model.middle_mm, 20.0, 25.0, 2000.0, 180.0, (24, 30)))
    total = direct.astype("f4").sum(axis=0, dtype="f8") + lit.indirect
    corners = total[model.scene.faces[sight.face]]
    weights = np.stack([1 - sight.u.astype("f8") - sight.v, sight.u, sight.v], axis=-1)
    samples = 1.7 * lit.reflectance[model.scene.parts[sight.face]] * (corners * weights).sum(axis=-1)
    samples[sight.face < 0] = 1.7 * 0.2
    expected = samples.reshape(30, 2, 24, 2).mean(axis=(1, 3))
    untraced = np.zeros((2, len(model.scene.faces)), np.bool_)
    shown = pixel_light(model, lit, sight, Tracer(model.scene), untraced).luminance
    assert (sight.face < 0).any()
    np.testing.assert_allclose(shown, expected, rtol=2e-6)


def edge_of_a_roof(bearing: float) -> tuple[np.ndarray, np.ndarray]:
    """Where samples lie across the edge of a roof's shadow on a coarse floor, mm, and the share of the lamp seen.

    A square lamp of 200 mm hangs 2,000 mm over the floor straight above the straight edge of a roof at 500 mm.
    """
    floor = sheet(1600, 1600, 0.0, 20, Part.MODEL)
    roof = box(1600, 1600, 2, Part.PLINTH).moved(-800, 0, 500 - 1)
    model = scene_model(floor, roof)
    turn = np.radians(bearing)
    across, along = np.array([np.cos(turn), np.sin(turn), 0]) * 100, np.array([-np.sin(turn), np.cos(turn), 0]) * 100
    lamp = Emitter("key", "rectangle", np.array([0, 0, 2000.0]), np.array([0, 0, -1.0]), across, along, 100.0)
    tracer = Tracer(model.scene)
    direct, unshadowed = vertex_irradiance(model, lamp, tracer)
    # Reflectance 1: luminance is irradiance over pi, and its share of the unshadowed light what is seen of the lamp.
    lit = given_light(model, [lamp], [direct], [unshadowed], reflectance=(1, 1, 1, 1))
    sight = look(model, eye_at(np.zeros(3), 90.0, 20.0, 50_000.0, 25.0, (150, 60)))
    shown = pixel_light(model, lit, sight, tracer).luminance
    corners = model.scene.faces[sight.face]
    weights = np.stack([1 - sight.u - sight.v, sight.u, sight.v], axis=-1)
    x = (model.scene.vertices[corners][..., 0] * weights).sum(-1)
    given = (unshadowed[corners] * weights).sum(-1)

    def pixels(samples):
        return samples.reshape(60, SUPERSAMPLE, 150, SUPERSAMPLE).mean(axis=(1, 3))

    on_floor = pixels((model.scene.parts[sight.face] == Part.MODEL).astype(float)) == 1.0
    assert on_floor.all()
    return pixels(x)[on_floor], (shown / pixels(given))[on_floor]


def test_penumbra_finer_than_the_mesh():
    """A lamp of width s at height H over an edge at height b throws a penumbra s b / (H - b) wide, here 66.7 mm on a
    floor meshed at 80 mm: a straight ramp, 0.800 of it between 10 and 90 % (similar triangles)."""
    x, seen = edge_of_a_roof(0.0)
    width = 200 * 500 / (2000 - 500)
    assert np.abs(seen - np.clip(0.5 + x / width, 0, 1)).max() < 0.04
    order = np.argsort(x)
    x, seen = x[order], seen[order]
    between = x[(seen > 0.1) & (seen < 0.9)]
    sample_mm = 50 / 60 / np.sin(np.radians(20)) / 2
    assert np.ptp(between) == pytest.approx(0.8 * width, abs=sample_mm + 0.03 * 0.8 * width)


def test_penumbra_is_free_of_grain():
    """Pixels side by side along a shadow's edge are equally dark: within 1 / 64 of the light, the step of the lamp's
    points, whichever way the lamp is turned. (At the sides, where pixels lack neighbours, by the points' own error.)"""
    for bearing in (0.0, 30.0):
        x, seen = edge_of_a_roof(bearing)
        rows = seen.reshape(60, 150)[:, 4:-4]
        assert np.ptp(x.reshape(60, 150), axis=1).max() < 1e-2
        assert np.ptp(rows, axis=1).max() <= 1 / 64 + 1e-3


def test_no_seam_round_traced_triangles():
    """Tracing a ball that nothing shadows changes nothing but the ring where the light ends."""
    model, lit, sight = moon(40.0, 30.0)
    everything = np.ones((1, len(model.scene.faces)), np.bool_)
    baked = pixel_light(model, lit, sight, Tracer(model.scene), ~everything).luminance
    traced = pixel_light(model, lit, sight, Tracer(model.scene), everything).luminance
    facing = np.append((lit.open[0][model.scene.faces] > 0).all(axis=1), False)[sight.face]
    away_from_the_end = facing.reshape(128, 2, 128, 2).all(axis=(1, 3))
    assert away_from_the_end.mean() > 0.3
    np.testing.assert_allclose(traced[away_from_the_end], baked[away_from_the_end], rtol=1e-5)
    assert np.abs(traced - baked).max() < 0.01


def test_lamps_add():
    """The picture under two lamps is the sum of the pictures under each."""
    model = scene_model(ball(100.0, 3), sheet(600, 600, -100, 12, Part.GROUND))
    tracer = Tracer(model.scene)
    lamps = [disc_lamp(model.middle_mm, b, 45.0, 1500.0, 100.0, role) for b, role in ((-50.0, "key"), (70.0, "fill"))]
    light = [vertex_irradiance(model, lamp, tracer) for lamp in lamps]
    sight = look(model, eye_at(model.middle_mm, 0.0, 20.0, 1000.0, 150.0, (60, 75)))
    mixed = np.random.default_rng(1).random((2, len(model.scene.faces))) < 0.5

    def under(chosen):
        lit = given_light(
            model, [lamps[k] for k in chosen], [light[k][0] for k in chosen], [light[k][1] for k in chosen], backdrop=0
        )
        return pixel_light(model, lit, sight, tracer, mixed[list(chosen)]).luminance

    np.testing.assert_allclose(under((0, 1)), under((0,)) + under((1,)), atol=2e-6)


def test_same_input_same_bytes():
    """Two runs give identical pictures, shadow edges included."""
    model, lit, sight = moon(60.0)
    lamp = disc_lamp(model.middle_mm, 60.0, 0.0, 800.0, 150.0)
    tracer = Tracer(model.scene)
    direct, unshadowed = vertex_irradiance(model, lamp, tracer)
    lit = given_light(model, [lamp], [direct], [unshadowed])
    first = pixel_light(model, lit, sight, tracer).luminance
    assert pixel_light(model, lit, sight, Tracer(model.scene)).luminance.tobytes() == first.tobytes()
    assert first.dtype == np.float32 and first.min() >= 0


def test_light_of_the_key_is_told_apart():
    """With no other light the key's part is all there is; a fill of the same strength adds nothing to it; and where
    nothing stands between, the key's part is what it would be unshadowed, traced or not."""
    model, lit, sight = moon(60.0)
    tracer, traced = Tracer(model.scene), np.ones((1, len(model.scene.faces)), np.bool_)
    alone = pixel_light(model, lit, sight, tracer, ~traced)
    assert np.array_equal(alone.key, alone.luminance) and np.array_equal(alone.key, alone.key_open)
    fill = disc_lamp(model.middle_mm, -60.0, 0.0, 1e5, 100.0, "fill")
    other = cosine_light(model, fill)
    both = given_light(
        model, [*lit.emitters, fill], [lit.direct[0], other], [lit.open[0], other], 0.2, (0.5,) * 4, backdrop=0.0
    )
    filled = pixel_light(model, both, sight, tracer, np.zeros((2, len(model.scene.faces)), np.bool_))
    np.testing.assert_allclose(filled.key, alone.key, atol=1e-6)
    assert (filled.luminance >= filled.key).all() and filled.luminance.sum() > 1.3 * filled.key.sum()
    edges = pixel_light(model, lit, sight, tracer, traced)
    np.testing.assert_allclose(edges.key, alone.key, atol=0.01)
    np.testing.assert_allclose(edges.key_open, alone.key_open, atol=0.01)


def test_subject_pixels_are_those_mostly_on_the_sculpture():
    """Three or four of a pixel's four samples lie on it; two do not do."""
    model, _, sight = moon(0.0, size=40)
    counts = (sight.face >= 0).reshape(40, 2, 40, 2).sum(axis=(1, 3))
    assert set(np.unique(counts)) >= {0, 2, 3, 4}
    assert np.array_equal(subject_pixels(model, sight), counts >= 3)


def test_other_parts_are_not_the_subject():
    """Ground seen is not sculpture."""
    model = scene_model(ball(100.0, 2), sheet(2000, 2000, -100, 3, Part.GROUND))
    sight = look(model, eye_at(model.middle_mm, 0.0, 60.0, 2000.0, 200.0, (20, 20)))
    assert (sight.face >= 0).all()
    assert 0.1 < subject_pixels(model, sight).mean() < 0.4


def test_a_view_past_the_sculpture_is_refused():
    """Where no pixel shows the sculpture, one sentence names the view and what to change."""
    model, lit, sight = moon(0.0, size=20)
    nothing = Sight(
        dataclasses.replace(sight.eye, number=7), np.full_like(sight.face, -1), sight.u * 0, sight.v * 0, "rays"
    )
    with pytest.raises(PlateError) as caught:
        show(look_at(model, nothing), lit, Tracer(model.scene))
    assert str(caught.value) == (
        "view 7: the sculpture does not cover a single pixel; a view shows at least part of it; "
        "change the bearing, the eye level or the distance."
    )


def test_cosine_light_of_the_moon_is_not_all_there_is():
    """The scenes above do end in shadow: a guard against a lamp that lights everything."""
    model, lit, _ = moon(60.0)
    dark = cosine_light(model, lit.emitters[0]) == 0
    assert 0.4 < dark.mean() < 0.6
