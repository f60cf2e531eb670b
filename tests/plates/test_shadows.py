"""The share of a lamp seen near shadow edges: against brute force, and rays spent only where light and dark meet."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage

from builder.camera.sight import SUPERSAMPLE
from builder.light.direct import lamp_sight, open_factors, seen_shares
from builder.light.lamps import lamp_patterns
from builder.light.lit import Emitter
from builder.light.origins import shading_normals, smooth_points
from builder.model.model import Model, Part
from builder.model.tracer import Tracer
from builder.plates.shadows import FIRST_PHASES, FIRST_POINTS, PHASES, POINTS, lamp_shares
from tests.plates.known_light import away, disc_lamp, eye_at, look
from tests.scenes import ball, scene_model, sheet

SIZE = 100
MOST_POINTS = FIRST_POINTS + POINTS


class Counting(Tracer):
    """A tracer that counts its rays."""

    rays = 0

    def blocked(self, origins, directions, reach=None):
        self.rays += len(origins)
        return super().blocked(origins, directions, reach)


def window(model: Model) -> Emitter:
    """A large upright rectangle to one side, half as high as it is far away."""
    towards = away(50.0, 40.0)
    across = np.array([np.cos(np.radians(50.0)), np.sin(np.radians(50.0)), 0.0])
    return Emitter(
        "key",
        "rectangle",
        model.middle_mm + towards * 900,
        -towards,
        across * 220,
        np.cross(towards, across) * 300,
        5.0,
    )


def lamp(model: Model) -> Emitter:
    return disc_lamp(model.middle_mm, 50.0, 40.0, 900.0, 40.0)


def over_ground() -> Model:
    return scene_model(ball(100.0, 4), sheet(1200, 1200, -100, 8))


def samples(model: Model):
    """Every sample of a view that meets something: row, column, points, normals."""
    sight = look(model, eye_at(model.middle_mm + np.array([-60.0, 60.0, -60.0]), 0.0, 30.0, 900.0, 210.0, (SIZE, SIZE)))
    row, column = (place.astype(np.int32) for place in np.nonzero(sight.face >= 0))
    face, u, v = (picture[row, column] for picture in (sight.face, sight.u, sight.v))
    return row, column, smooth_points(model.scene, face, u, v), shading_normals(model.scene, face, u, v)


def brute(points, normals, emitter: Emitter, tracer: Tracer, count: int = 256) -> np.ndarray:
    """Shares by many lamp points for every sample."""
    patterns = lamp_patterns(emitter, count, np.array([7], np.int32))
    return seen_shares(*lamp_sight(points, normals, emitter, patterns, np.zeros(len(points), np.int32), tracer))


def pixel_means(row, column, shares) -> np.ndarray:
    """Mean over the samples of each pixel, (SIZE, SIZE), NaN where there is none."""
    pixel = row // SUPERSAMPLE * SIZE + column // SUPERSAMPLE
    count = np.bincount(pixel, minlength=SIZE * SIZE)
    total = np.bincount(pixel, shares, SIZE * SIZE)
    return np.divide(total, count, out=np.full(SIZE * SIZE, np.nan), where=count > 0).reshape(SIZE, SIZE)


@pytest.mark.parametrize(("kind", "rms", "worst"), [(lamp, 0.004, 0.05), (window, 0.004, 0.035)])
def test_shares_are_those_of_many_lamp_points(kind, rms, worst):
    """Against 256 lamp points for every sample: within a step or two of the points looked at in every pixel, seams
    included, and right on the whole."""
    model = over_ground()
    emitter, tracer = kind(model), Tracer(model.scene)
    row, column, points, normals = samples(model)
    found = lamp_shares(row, column, points, normals, emitter, tracer)
    true = brute(points, normals, emitter, tracer)
    # as light on the surface, against the most there is: a share of nothing does not matter
    given = open_factors(points, normals, emitter)
    given /= given.max()
    off = pixel_means(row, column, (found - true) * given)
    share = pixel_means(row, column, true)
    partly = (share > 0.02) & (share < 0.98)
    assert partly.mean() > 0.03
    assert np.sqrt(np.nanmean(off**2)) < rms
    assert np.nanmax(np.abs(off)) < worst
    assert abs(off[partly].mean()) < 0.005


def test_one_ray_a_sample_where_nothing_casts_a_shadow():
    """Open ground costs one ray a sample and is lit to the last bit."""
    model = scene_model(ball(1.0, 1).moved(0, 0, 50), sheet(1200, 1200, -100, 8))
    emitter, tracer = lamp(model), Counting(model.scene)
    row, column = (place.ravel().astype(np.int32) for place in np.mgrid[:60, :60])
    points = np.stack([300.0 + column, 200.0 - row, np.full(3600, -100.0)], axis=1)
    normals = np.tile([0.0, 0.0, 1.0], (3600, 1))
    shares = lamp_shares(row, column, points, normals, emitter, tracer)
    # all but the corners, whose pixels have too few probes round them, need no more
    assert tracer.rays <= 3600 + 4 * 4 * MOST_POINTS
    assert (shares == 1.0).all()


@pytest.mark.parametrize("kind", [lamp, window])
def test_many_rays_only_where_light_and_dark_meet(kind):
    """No pixel farther than three from one that sees part of the lamp, or whose samples differ, is looked at again."""
    model = over_ground()
    emitter, tracer = kind(model), Counting(model.scene)
    row, column, points, normals = samples(model)
    shares = brute(points, normals, emitter, tracer)
    mean = pixel_means(row, column, shares)
    # two pixels of differing shares side by side are an edge, too; so are those at the end of what is seen
    filled = np.where(np.isnan(mean), 0.0, mean)
    apart = ndimage.maximum_filter(filled, 3) - ndimage.minimum_filter(filled, 3)
    near = ndimage.binary_dilation(apart > 0, np.ones((3, 3)), 2)
    tracer.rays = 0
    lamp_shares(row, column, points, normals, emitter, tracer)
    allowed = int(near[row // SUPERSAMPLE, column // SUPERSAMPLE].sum())
    assert near.mean() < 0.8
    assert tracer.rays <= len(row) + allowed * MOST_POINTS


def test_a_penumbra_is_looked_at_to_its_end():
    """No pixel of the ground that sees part of the lamp is left to its probes, which can only say all or none."""
    model = over_ground()
    emitter, tracer = window(model), Tracer(model.scene)
    row, column, points, normals = samples(model)
    ground = points[:, 2] < -99.9
    row, column, points, normals = row[ground], column[ground], points[ground], normals[ground]
    found = pixel_means(row, column, lamp_shares(row, column, points, normals, emitter, tracer))
    share = pixel_means(row, column, brute(points, normals, emitter, tracer))
    partly = (share > 0.05) & (share < 0.95)
    assert partly.mean() > 0.05
    assert ((found > 0) & (found < 1))[partly].all()


def roof_over_floor(wide: float, across: float, high: float, shape: str = "disc", turn_deg: float = 0.0):
    """Samples of 60 x 40 pixels of a floor, ``wide`` mm each, under a lamp 1000 mm up and a roof at ``high`` mm that
    ends over their middle; and the share of the lamp each column of pixels sees, counted on a grid over the lamp."""
    roof = sheet(800, 800, high, 1).moved(-400, 0, 0)
    model = scene_model(sheet(600, 600, 0.0, 4, Part.MODEL), roof)
    turn = np.radians(turn_deg)
    one, other = np.array([np.cos(turn), np.sin(turn), 0]), np.array([-np.sin(turn), np.cos(turn), 0])
    emitter = Emitter("key", shape, [0, 0, 1000], [0, 0, -1], one * across / 2, other * across / 2, 1e3)
    row, column = (place.ravel().astype(np.int32) for place in np.mgrid[:80, :120])
    x = ((column + 0.5) / SUPERSAMPLE - 30) * wide
    points = np.stack([x, (row + 0.5) / SUPERSAMPLE * wide, np.zeros(len(row))], axis=1)
    side = (np.arange(400) + 0.5) / 200 - 1
    a, b = (grid.ravel() for grid in np.meshgrid(side, side))
    inside = np.hypot(a, b) < 1 if shape == "disc" else np.ones(a.size, np.bool_)
    lit = np.sort((a * one[0] + b * other[0])[inside])
    middle = (np.arange(60) + 0.5 - 30) * wide
    share = np.searchsorted(lit, middle * (1000 / high - 1) / (across / 2)) / len(lit)
    return model, emitter, row, column, points, share


@pytest.mark.parametrize(("shape", "turn_deg", "rms"), [("disc", 0.0, 0.009), ("rectangle", 30.0, 0.013)])
def test_a_wide_penumbra_has_no_bands(shape, turn_deg, rms):
    """Along the straight edge of a roof, whose penumbra is 34 pixels wide or more, errors do not line up. (The same 64
    lamp points in every pixel make bands that are off by 0.010 rms for the disc and 0.020 for the turned square.)"""
    model, emitter, row, column, points, share = roof_over_floor(1.3, 30.0, 600.0, shape, turn_deg)
    up = np.tile([0.0, 0.0, 1.0], (len(row), 1))
    found = lamp_shares(row, column, points, up, emitter, Tracer(model.scene)).reshape(40, 2, 60, 2).mean(axis=(1, 3))
    partly = (share > 0.02) & (share < 0.98)
    assert partly.sum() >= 32
    off = (found - share)[:, partly]
    assert np.sqrt(np.mean(off.mean(axis=0) ** 2)) < rms
    assert np.sqrt(np.mean(off**2)) < rms


def test_a_hard_edge_stays_hard():
    """Where the penumbra is a tenth of a pixel wide no pixel beside the edge borrows from the other side."""
    model, emitter, row, column, points, share = roof_over_floor(4.0, 20.0, 20.0)
    up = np.tile([0.0, 0.0, 1.0], (len(row), 1))
    found = lamp_shares(row, column, points, up, emitter, Tracer(model.scene)).reshape(40, 2, 60, 2).mean(axis=(1, 3))
    assert (found[:, share == 0] == 0).all()
    assert (found[:, share == 1] == 1).all()


def test_a_wide_penumbra_costs_few_rays():
    """Five rays a sample where light changes slowly, not seventeen."""
    model, emitter, row, column, points, _ = roof_over_floor(0.3, 20.0, 2000 / 3)
    tracer = Counting(model.scene)
    up = np.tile([0.0, 0.0, 1.0], (len(row), 1))
    lamp_shares(row, column, points, up, emitter, tracer)
    inner = 58 * 38 * SUPERSAMPLE**2
    assert tracer.rays <= len(row) * (1 + FIRST_POINTS) + (len(row) - inner) * POINTS


def test_few_samples_are_not_left_to_chance():
    """A single pixel alone, with four probes, gets all its lamp points."""
    model = over_ground()
    emitter, tracer = lamp(model), Counting(model.scene)
    row, column = np.array([[8, 8, 9, 9], [4, 5, 4, 5]], np.int32)
    points = np.tile([500.0, 0.0, -100.0], (4, 1))
    shares = lamp_shares(row, column, points, np.tile([0.0, 0.0, 1.0], (4, 1)), emitter, tracer)
    assert tracer.rays == 4 + 4 * MOST_POINTS
    assert (shares == 1.0).all()


def test_no_samples():
    """Nothing in, nothing out."""
    model = over_ground()
    none, flat = np.zeros(0, np.int32), np.zeros((0, 3))
    assert lamp_shares(none, none, flat, flat, lamp(model), Tracer(model.scene)).shape == (0,)


def test_a_place_in_the_picture_changes_only_the_probes():
    """Moved by as many pixels as all patterns repeat after, a picture is the same to the bit."""
    model = over_ground()
    emitter, tracer = lamp(model), Tracer(model.scene)
    row, column, points, normals = samples(model)
    here = lamp_shares(row, column, points, normals, emitter, tracer)
    moved = (row + np.int32(48), column + np.int32(24))
    assert np.array_equal(lamp_shares(*moved, points, normals, emitter, tracer), here)


def parted(shape: str, sets: np.ndarray) -> float:
    """By how much, rms, straight edges in 24 directions, evenly spaced over the lamp's share, part sets (p, k, 2) of
    lamp points otherwise than the lamp."""
    side = (np.arange(600) + 0.5) / 300 - 1
    x, y = (grid.ravel() for grid in np.meshgrid(side, side))
    inside = np.hypot(x, y) < 1 if shape == "disc" else np.ones(x.size, np.bool_)
    share = (np.arange(64) + 0.5) / 64
    off = []
    for turn in np.arange(24) * np.pi / 24 + 0.03:
        way = np.array([np.cos(turn), np.sin(turn)])
        edges = np.quantile(x[inside] * way[0] + y[inside] * way[1], share)
        off.append((sets @ way < edges[:, None, None]).mean(axis=2) - share[:, None])
    return float(np.sqrt(np.mean(np.square(off))))


@pytest.mark.parametrize("shape", ["disc", "rectangle"])
def test_edges_part_the_lamp_points_as_they_part_the_lamp(shape):
    """Those of a pixel where light changes fast, and those of a square of pixels, to a step of 60 and of 90."""
    flat = Emitter("key", shape, [0, 0, 1], [0, 0, -1], [1, 0, 0], [0, 1, 0], 1.0)
    pixel = lamp_patterns(flat, POINTS, np.array(PHASES, np.int32))[..., :2]
    block = lamp_patterns(flat, FIRST_POINTS, np.array(FIRST_PHASES, np.int32).ravel())[..., :2]
    assert parted(shape, pixel.reshape(1, -1, 2)) < 1 / 60
    assert parted(shape, block.reshape(1, -1, 2)) < 1 / 90
