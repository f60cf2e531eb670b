"""Light against closed forms: form factors, solid angles, shadows, penumbrae, enclosures.

"Howell" is J. R. Howell's catalogue of radiation configuration factors; its row numbers are from memory, the formulas
were each checked against numerical integration. A form factor F is what a face of radiance 1 adds to irradiance / pi.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from builder.light.areas import vertex_areas
from builder.light.direct import lamp_irradiance, vertex_irradiance
from builder.light.lit import Emitter
from builder.light.solve import gathered, solve
from builder.light.transport import gather
from builder.model.model import Part
from builder.model.tracer import Tracer
from builder.study.description import Finish, Lamp, Length, Lighting
from tests.scenes import Piece, ball, box, joined, rod, scene_model, sheet, surface

UP = np.array([0.0, 0.0, 1.0])
POINTS = 64


def nothing() -> Tracer:
    """A tracer with nothing in the way."""
    return Tracer(surface(sheet(1, 1, -5)))


def overhead(
    shape: str, half_width: float, half_height: float, height: float, x: float = 0.0, y: float = 0.0
) -> Emitter:
    """A lamp of radiance 1 that looks straight down from (x, y, height)."""
    return Emitter("key", shape, [x, y, height], -UP, [half_width, 0, 0], [0, half_height, 0], 1.0)


def aimed(distance: float, bearing_deg: float, elevation_deg: float, radius: float, radiance: float = 1.0) -> Emitter:
    """A disc aimed at the origin."""
    b, e = math.radians(bearing_deg), math.radians(elevation_deg)
    towards = np.array([math.sin(b) * math.cos(e), -math.cos(b) * math.cos(e), math.sin(e)])
    across = np.array([math.cos(b), math.sin(b), 0.0])
    return Emitter(
        "key", "disc", distance * towards, -towards, radius * across, radius * np.cross(towards, across), radiance
    )


def far_lamp(bearing_deg: float, elevation_deg: float) -> Emitter:
    """A lamp so far and small that its rays are as good as parallel, with irradiance pi at the origin."""
    return aimed(5000.0, bearing_deg, elevation_deg, 1.0, 5000.0**2 + 1.0)


def factor(emitter: Emitter, normal: np.ndarray = UP) -> float:
    """Form factor of a lamp for a patch at the origin."""
    direct, unshadowed = lamp_irradiance(np.zeros((1, 3)), normal[None], emitter, POINTS, 0, nothing())
    assert direct[0] == unshadowed[0]
    return float(direct[0])


@pytest.mark.parametrize(("radius", "height", "expected"), [(1, 1, 0.5), (1, 2, 0.2), (0.1, 1, 0.00990099)])
def test_a_disc_over_the_patch(radius: float, height: float, expected: float) -> None:
    # Howell B-12: R^2 / (R^2 + h^2)
    assert factor(overhead("disc", radius, radius, height)) == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize(
    ("height", "radius", "shift", "expected"), [(1, 0.5, 0.5, 0.1464466), (1, 1, 1, 0.2763932), (2, 1, 3, 0.0256584)]
)
def test_a_disc_to_one_side(height: float, radius: float, shift: float, expected: float) -> None:
    # Howell B-13, planes parallel
    assert factor(overhead("disc", radius, radius, height, shift)) == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize(
    ("a", "b", "c", "expected"),
    [(1, 1, 1, 0.1385316), (0.5, 0.5, 1, 0.0598641), (2, 1, 1, 0.1673750), (1, 2, 3, 0.0522678)],
)
def test_a_rectangle_with_its_corner_over_the_patch(a: float, b: float, c: float, expected: float) -> None:
    # Howell B-4; also P. Tregenza, S. Sharples, Daylighting algorithms (1993), algorithm 3.14
    assert factor(overhead("rectangle", a / 2, b / 2, c, a / 2, b / 2)) == pytest.approx(expected, rel=1e-5)


def test_a_square_over_the_patch() -> None:
    # four corners of Howell B-4
    assert factor(overhead("rectangle", 0.5, 0.5, 1)) == pytest.approx(0.2394565, rel=1e-5)


@pytest.mark.parametrize(
    ("high", "wide", "away", "expected"), [(1, 1, 1, 0.0557342), (2, 1, 1, 0.0950679), (1, 2, 1, 0.0686973)]
)
def test_a_rectangle_standing_on_the_patch_plane(high: float, wide: float, away: float, expected: float) -> None:
    # Howell B-5: planes perpendicular, the patch opposite a lower corner
    emitter = Emitter(
        "key", "rectangle", [wide / 2, away, high / 2], [0, -1, 0], [wide / 2, 0, 0], [0, 0, high / 2], 1.0
    )
    assert factor(emitter) == pytest.approx(expected, rel=1e-5)


def test_a_rectangle_half_below_the_horizon_counts_for_its_upper_half() -> None:
    # the same row of Howell B-5, the lamp reaching as far down as up
    emitter = Emitter("key", "rectangle", [0.5, 1, 0], [0, -1, 0], [0.5, 0, 0], [0, 0, 1], 1.0)
    assert factor(emitter) == pytest.approx(0.0557342, rel=1e-5)


def test_unit_squares_face_to_face() -> None:
    # Howell C-11: mean over one of two unit squares at distance 1
    side = (np.arange(24) + 0.5) / 24 - 0.5
    x, y = (grid.ravel() for grid in np.meshgrid(side, side))
    points = np.stack([x, y, 0 * x], axis=1)
    direct, _ = lamp_irradiance(points, np.tile(UP, (len(x), 1)), overhead("rectangle", 0.5, 0.5, 1), 4, 0, nothing())
    assert direct.mean() == pytest.approx(0.1998249, rel=1e-3)


@pytest.mark.parametrize(
    ("radius", "distance", "steradians"), [(1, 1, 1.840302), (0.5, 1, 0.663334), (0.25, 1.5, 0.085489)]
)
def test_the_solid_angle_of_a_disc(radius: float, distance: float, steradians: float) -> None:
    # 2 pi (1 - d / sqrt(R^2 + d^2)); the mean of the form factor over all directions a patch may face is 1 / (4 pi) of
    # it, since the cosine's positive part has mean 1/4
    count = 20001
    z = 1 - (2 * np.arange(count) + 1) / count
    turn = np.arange(count) * math.tau * (math.sqrt(5) - 1) / 2
    normals = np.stack([np.sqrt(1 - z**2) * np.cos(turn), np.sqrt(1 - z**2) * np.sin(turn), z], axis=1)
    _, unshadowed = lamp_irradiance(
        np.zeros((count, 3)), normals, overhead("disc", radius, radius, distance), 1, 0, nothing()
    )
    assert 4 * math.pi * unshadowed.mean(dtype=np.float64) == pytest.approx(steradians, rel=2e-4)


def test_light_falls_off_with_the_square_of_the_distance() -> None:
    # CIE e-ILV 17-25-104, photometric distance law
    near, middle, far = (factor(overhead("disc", 1e-3, 1e-3, distance)) for distance in (1.0, 2.0, 4.0))
    assert [middle / near, far / near] == pytest.approx([1 / 4, 1 / 16], rel=1e-4)


@pytest.mark.parametrize(("diameters", "error"), [(1, 0.25), (2, 0.0625), (3, 0.02778), (5, 0.01), (10, 0.0025)])
def test_the_five_times_rule(diameters: float, error: float) -> None:
    # IES LS-1, 9.1.1: at five times its size a disc is within a hundredth of the inverse square
    exact = factor(overhead("disc", 0.5, 0.5, diameters))
    by_square = 0.5**2 / diameters**2
    assert by_square / exact - 1 == pytest.approx(error, abs=2e-5)


@pytest.mark.parametrize("bearing", [0, 45, 90, 135])
def test_a_ball_under_a_far_lamp_follows_the_cosine(bearing: float) -> None:
    # Lambert's cosine law: luminance = reflectance x max(0, N.L), here with a reflectance of 1/2
    model = scene_model(ball(1.0, 4))
    emitter = far_lamp(bearing, 0)
    direct, _ = vertex_irradiance(model, emitter, Tracer(model.scene))
    expected = np.maximum(model.scene.normals @ -emitter.normal, 0)
    assert np.abs(0.5 * direct - 0.5 * expected).max() < 0.001


@pytest.mark.parametrize(
    ("phase_deg", "lit", "mean"),
    [(0, 1, 0.66667), (45, 0.85355, 0.50361), (60, 0.75, None), (90, 0.5, 0.21221), (135, 0.14645, 0.03220)],
)
def test_the_lit_part_of_a_ball_seen_from_afar(phase_deg: float, lit: float, mean: float | None) -> None:
    # (1 + cos p) / 2 of the disc is lit; mean light (2/3)(sin p + (pi - p) cos p) / pi, the Lambert sphere's phase law
    piece = ball(1.0, 5).turned(0.3, 0.5, 0.7)
    model = scene_model(piece)
    direct, _ = vertex_irradiance(model, far_lamp(phase_deg, 0), Tracer(model.scene))
    seen = vertex_areas(model.scene) * np.maximum(piece.normals @ np.array([0.0, -1.0, 0.0]), 0)
    assert float(seen @ (direct > 1e-3)) / seen.sum() == pytest.approx(lit, abs=0.005)
    if mean is not None:
        assert float(seen @ direct) / seen.sum() == pytest.approx(mean, abs=0.001)


@pytest.mark.parametrize(("distance", "share"), [(2, 0.25), (3, 1 / 3), (5, 0.4)])
def test_the_part_of_a_ball_that_a_near_lamp_reaches(distance: float, share: float) -> None:
    # (1 - R/d) / 2 of the surface: a spherical cap
    model = scene_model(ball(1.0, 6))
    direct, _ = vertex_irradiance(model, aimed(distance, 30, 20, 1e-3), Tracer(model.scene))
    area = vertex_areas(model.scene)
    assert float(area @ (direct > 0)) / area.sum() == pytest.approx(share, abs=0.003)


@pytest.mark.parametrize(("elevation", "area"), [(30, 1.5708), (45, 1.1107), (60, 0.9069)])
def test_the_shadow_of_a_resting_ball(elevation: float, area: float) -> None:
    # parallel light: an ellipse 2R by 2R / sin e, area pi R^2 / sin e, here R = 1/2
    radius, cells = 0.5, 500
    tracer = Tracer(surface(ball(radius, 6).moved(0, 0, radius)))
    x, y = np.meshgrid(np.linspace(-1, 1, cells), np.linspace(-1, 2.5, cells))
    points = np.stack([x.ravel(), y.ravel(), np.zeros(x.size)], axis=1)
    direct, unshadowed = lamp_irradiance(points, np.tile(UP, (x.size, 1)), far_lamp(0, elevation), 1, 0, tracer)
    dark = (direct < unshadowed / 2).sum() * (2 / (cells - 1)) * (3.5 / (cells - 1))
    assert dark == pytest.approx(area, rel=0.005)


@pytest.mark.parametrize("elevation", [30, 45, 60])
def test_the_shadow_of_a_rod(elevation: float) -> None:
    # h / tan e from the foot, for the middle line of a thin upright rod of height 1
    tracer = Tracer(surface(rod(1e-3, 1.0)))
    out = np.linspace(0.1, 2.5, 20001)
    points = np.stack([0 * out, out, 0 * out], axis=1)
    direct, unshadowed = lamp_irradiance(points, np.tile(UP, (len(out), 1)), far_lamp(0, elevation), 1, 0, tracer)
    tip = out[direct < unshadowed / 2].max()
    assert tip == pytest.approx(1 / math.tan(math.radians(elevation)), abs=0.002)


def penumbra(emitter: Emitter, edge_height: float, points: int) -> tuple[np.ndarray, np.ndarray]:
    """Share of light across the shadow of a long straight edge over x = 0, and where."""
    tracer = Tracer(surface(sheet(100, 100, edge_height).moved(-50, 0, 0)))
    x = np.linspace(-0.15, 0.15, 6001)
    at = np.stack([x, 0 * x, 0 * x], axis=1)
    direct, unshadowed = lamp_irradiance(at, np.tile(UP, (len(x), 1)), emitter, points, 0, tracer)
    return x, direct / unshadowed


@pytest.mark.parametrize("points", [64, 256])
@pytest.mark.parametrize(
    ("width", "height", "edge", "expected"),
    [(0.2, 2, 0.5, 0.066667), (0.4, 2, 0.5, 0.133333), (0.2, 2, 0.25, 0.028571)],
)
def test_the_penumbra_of_a_straight_edge(
    width: float, height: float, edge: float, expected: float, points: int
) -> None:
    # s b / (H - b), similar triangles; the first and the last lamp point stand half a step within the lamp
    x, share = penumbra(overhead("rectangle", width / 2, width / 2, height), edge, points)
    partly = x[(share > 0) & (share < 1)]
    assert np.ptp(partly) == pytest.approx(expected * (1 - 1 / points), rel=0.03)


@pytest.mark.parametrize(("shape", "part"), [("rectangle", 0.8), ("disc", 0.68705)])
def test_where_the_penumbra_is_between_a_tenth_and_nine_tenths(shape: str, part: float) -> None:
    # a square lamp darkens evenly, a disc by the area of a circle's segment
    x, share = penumbra(overhead(shape, 0.1, 0.1, 2), 0.5, 256)
    within = x[(share > 0.1) & (share < 0.9)]
    assert np.ptp(within) == pytest.approx(part * 0.066667, rel=0.03)


def test_light_never_falls_towards_the_open_side_of_a_penumbra() -> None:
    # with the number of lamp points that vertices use: a ramp in one direction, in steps no eye can see
    for shape in ("rectangle", "disc"):
        _, share = penumbra(overhead(shape, 0.1, 0.1, 2), 0.5, POINTS)
        assert np.diff(share).min() >= -1e-6
        assert np.diff(share).max() < 3 / POINTS


def test_the_length_of_an_umbra() -> None:
    # w a / (s - w) behind an occluder of width w at a from a wider lamp s, similar triangles
    lamp, occluder, away = 0.5, 0.2, 1.0
    tracer = Tracer(surface(sheet(occluder, 100, 0)))
    below = np.linspace(0.3, 1.0, 7001)
    points = np.stack([0 * below, 0 * below, -below], axis=1)
    emitter = overhead("rectangle", lamp / 2, lamp / 2, away)
    direct, _ = lamp_irradiance(points, np.tile(UP, (len(below), 1)), emitter, 1024, 0, tracer)
    assert below[direct == 0].max() == pytest.approx(occluder * away / (lamp - occluder), rel=0.01)


@pytest.mark.parametrize("reflectance", [1.0, 0.8])
def test_a_convex_body_in_even_light_all_round_shows_its_reflectance(reflectance: float) -> None:
    # the white furnace: luminance = reflectance x 1 everywhere
    for body in (ball(1.0, 3), box(1, 2, 3, Part.MODEL, cells=3)):
        model = scene_model(body)
        transport = gather(model, 64)
        nowhere = np.zeros(len(model.scene.vertices), np.float32)
        light, _ = gathered(transport, nowhere + np.float32(reflectance), nowhere, 1.0)
        assert np.abs(reflectance * light - reflectance).max() < 1e-3


@pytest.mark.parametrize(("reflectance", "expected"), [(0.5, 2.0), (0.8, 5.0)])
def test_a_closed_glowing_cavity(reflectance: float, expected: float) -> None:
    # integrating sphere: luminance = emitted / (1 - reflectance), wherever one looks
    model = scene_model(ball(1.0, 4).inside_out())
    transport = gather(model, 64)
    assert not transport.sky.any()
    first = np.full(len(transport.sky), 1 / reflectance, np.float32)
    light, _ = gathered(transport, np.full(len(first), reflectance, np.float32), first, 0.0)
    assert np.abs(reflectance * (first + light) / expected - 1).max() < 0.01


def sky_share(place: tuple[float, float, float], normal: np.ndarray, around: Piece) -> float:
    """Share of the sky that a small patch sees beside a piece: the mean of many patches at one place."""
    turn = np.linalg.svd(normal[None])[2][1:]
    corners = np.array([[0.0, 0.0], [1e-4, 0.0], [0.0, 1e-4]]) @ turn
    order = [0, 1, 2] if np.cross(corners[1], corners[2]) @ normal > 0 else [0, 2, 1]
    patch = Piece(Part.MODEL, corners + np.array(place), np.array([order]), np.tile(normal, (3, 1)))
    patches = joined(Part.MODEL, [patch] * 400)
    transport = gather(scene_model(patches, around))
    return float(transport.sky[: len(patches.vertices)].mean(dtype=np.float64))


@pytest.mark.parametrize(
    ("distance", "tilt_deg", "expected"),
    [
        (2, 0, 0.25),
        (2, 60, 0.125),
        (3, 45, 0.0785674),
        (2, 75, 0.0704104),
        (2, 90, 0.0288344),
        (1.5, 90, 0.0741101),
    ],
)
def test_the_share_of_sky_that_a_ball_takes(distance: float, tilt_deg: float, expected: float) -> None:
    # Howell B-38 and following: (R/d)^2 cos(tilt) wholly above the horizon, less where the horizon cuts it
    tilt = math.radians(tilt_deg)
    normal = np.array([math.sin(tilt), 0.0, math.cos(tilt)])
    taken = 1 - sky_share((0, 0, 0), normal, ball(1.0, 5).moved(0, 0, distance))
    assert taken == pytest.approx(expected, rel=0.005, abs=5e-5)


@pytest.mark.parametrize(("angle_deg", "expected"), [(45, 0.853553), (63.4349, 0.723607)])
def test_the_sky_beside_a_long_wall(angle_deg: float, expected: float) -> None:
    # (1 + cos g) / 2, g the angle up to its top: a strip's form factor
    height = math.tan(math.radians(angle_deg))
    assert sky_share((0, 0, 0), UP, box(1e-3, 600, height).moved(1 + 5e-4, 0, 0)) == pytest.approx(expected, rel=0.003)


@pytest.mark.parametrize(("away", "expected"), [(1, 0.646447), (2, 0.910557), (3, 0.968377)])
def test_the_sky_on_the_floor_beside_a_resting_ball(away: float, expected: float) -> None:
    # 1 - cos / d^2 with d^2 = D^2 + 1, cos = 1/d, D from the point of contact, R = 1
    assert sky_share((away, 0, 0), UP, ball(1.0, 5).moved(0, 0, 1)) == pytest.approx(expected, rel=0.003)


def test_a_level_floor_under_open_sky_has_the_ambient_that_was_asked_for() -> None:
    # E = pi L under a uniform dome: the floor's light over pi is the dome's radiance, 2^stops of the key's
    model = scene_model(sheet(1000, 1000, 0, 4, Part.MODEL), ball(100, 3).moved(0, 0, 9000))
    key = Lamp(0, 45, Length(3000), "disc", Length(300), Length(300))
    lit = solve(model, Lighting("even", "Even", key, ambient_stops=-3.0), Finish(model=0.0), gather(model))
    assert lit.indirect[:25] == pytest.approx(2.0**-3, rel=0.002)
