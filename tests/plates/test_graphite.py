"""The picture brought into what graphite on white paper can reach."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.form.footing import NOTHING, Footing
from builder.form.looked import look_at
from builder.light.value import luminance_of_value, value_of_luminance
from builder.model.model import Part
from builder.model.tracer import Tracer
from builder.plates.causes import in_light
from builder.plates.graphite import DARKEST_VALUE, PAPER_VALUE, PARTING, in_pencil_range, pencilled
from builder.plates.luminance import PixelLight, pixel_light
from builder.plates.shown import show
from builder.study import schema
from tests.plates.known_light import disc_lamp, moon

SEEDS = st.integers(0, 2**32 - 1)


def drawn(value, near, surface=None):
    """Values as they are drawn: the picture goes in and comes out as luminance."""
    value = np.asarray(value, np.float64)
    on = np.zeros(value.shape, np.uint8) if surface is None else surface
    given = np.broadcast_to(np.asarray(near, np.float32), value.shape)
    return value_of_luminance(in_pencil_range(luminance_of_value(value).astype("f4"), given.copy(), on))


def crossing(seed, height=24, width=30):
    """Values and families drawn by lot: spreads of any size, with stray pixels, which cross as often as not."""
    rng = np.random.default_rng(seed)
    light = rng.random((height, width)) < rng.uniform(0.02, 0.98)
    middle, spread = rng.uniform(0, 10, 2), rng.uniform(0, 4, 2)
    value = middle[light.astype(int)] + spread[light.astype(int)] * rng.normal(0, 1, light.shape)
    stray = rng.random(light.shape) < 0.01
    return np.clip(np.where(stray, rng.uniform(0, 10, light.shape), value), 0, 10), light


def soft(light, seed):
    """How near to the light pixels are that lie in it or not: of the shadow three in ten are on some soft edge."""
    rng = np.random.default_rng(seed)
    return np.where(light, 1.0, np.where(rng.random(light.shape) < 0.3, rng.uniform(0, 0.999, light.shape), 0.0))


@given(SEEDS)
def test_the_families_never_cross(seed):
    """However the true values cross, every pixel of the shadow is drawn darker than every pixel of the light, those on
    soft edges too; where they do cross, by the parting between them."""
    value, light = crossing(seed)
    if light.all() or not light.any():
        return
    seen = drawn(value, soft(light, seed))
    assert seen[light].min() > seen[~light].max()
    if value[light].min() < value[~light].max():
        assert seen[light].min() - seen[~light].max() > PARTING - 1e-3


@given(SEEDS)
def test_each_family_keeps_its_order(seed):
    """Within whole shadow and within light, what is lighter by a hundredth of a value is drawn lighter."""
    value, light = crossing(seed)
    seen = drawn(value, light)
    for family in (light, ~light):
        order = np.argsort(value[family])
        true, painted = value[family][order], seen[family][order]
        assert (np.diff(painted) >= -1e-6).all()
        apart = np.searchsorted(true, true + 0.01)
        paired = apart < len(true)
        assert (painted[apart[paired]] > painted[paired]).all()


@given(SEEDS)
def test_everything_stays_within_reach(seed):
    """Nothing is darker than graphite or lighter than paper, on soft edges neither."""
    value, light = crossing(seed)
    seen = drawn(value, soft(light, seed))
    assert seen.min() > DARKEST_VALUE - 1e-5 and seen.max() < PAPER_VALUE + 1e-5


@given(SEEDS)
def test_nearer_to_the_light_is_never_darker(seed):
    """A row of one luminance that comes nearer and nearer to the light is drawn without a step down."""
    value, light = crossing(seed)
    value[0], near = value[0, 0], light.astype("f4")
    near[0] = np.linspace(0, 1, value.shape[1])
    assert (np.diff(drawn(value, near)[0]) >= -1e-6).all()


def test_black_is_the_darkest_graphite_and_white_is_paper():
    """The ends of the scale are met: luminance of values 2 and 9.3 (ASTM D1535: 3.04812 %, and by its polynomial)."""
    painted = in_pencil_range(np.array([[0.0, 0.2, 1.0, 3.0]], "f4"), np.ones((1, 4), "f4"), np.zeros((1, 4), "u1"))
    v = 9.3
    paper = 1.1914 * v - 0.22533 * v**2 + 0.23352 * v**3 - 0.020484 * v**4 + 0.00081939 * v**5
    assert painted[0, 0] * 100 == pytest.approx(3.04812, abs=1e-4)
    assert painted[0, 2] * 100 == pytest.approx(paper, abs=1e-4) and painted[0, 3] == painted[0, 2]


@pytest.mark.parametrize("light", [0.0, 1.0])
def test_a_picture_of_one_family_within_reach_is_left_alone(light):
    """All light or all shadow between values 2.2 and 9.1: drawn as it is."""
    value = np.linspace(2.2, 9.1, 600).reshape(20, 30)
    assert drawn(value, light) == pytest.approx(value, abs=1e-4)


def test_families_that_do_not_cross_are_left_alone():
    """Shadows up to 4, a penumbra up to 5, lights from there: drawn as they are."""
    value = np.concatenate([np.linspace(2.2, 4, 30), np.linspace(4, 5, 30), np.linspace(5.01, 9.1, 30)])[None]
    near = np.concatenate([np.zeros(30), np.linspace(0, 0.99, 30), np.ones(30)])
    assert drawn(value, near) == pytest.approx(value, abs=1e-4)


def test_the_family_with_fewer_pixels_gives_way():
    """Where nine pixels of ten lie in the light the shadow moves several times as far, and the other way round."""
    rng = np.random.default_rng(0)
    for lit in (0.9, 0.1):
        light = rng.random((60, 60)) < lit
        value = np.where(light, rng.uniform(4, 8, light.shape), rng.uniform(3, 7, light.shape))
        moved = np.abs(drawn(value, light) - value)
        few, many = (~light, light) if lit > 0.5 else (light, ~light)
        assert moved[few].mean() > 3 * moved[many].mean()


def test_a_dark_wall_in_the_light_does_not_lift_or_sink_the_cast():
    """Each surface is looked at alone: beside a wall of value 2.5 in the light a cast is drawn as without it."""
    rng = np.random.default_rng(1)
    light = rng.random((20, 40)) < 0.6
    value = np.where(light, rng.uniform(4.5, 9, light.shape), rng.uniform(3, 6, light.shape))
    alone = drawn(value, light)
    wall = np.full((20, 40), 2.5)
    both = drawn(np.hstack([value, wall]), np.hstack([light, wall > 0]), np.repeat([[0, 3]], 40, axis=1).repeat(20, 0))
    # the column that touches the wall may show something of both
    assert np.array_equal(both[:, :39], alone[:, :39])
    assert both[:, 41:] == pytest.approx(2.5, abs=1e-4)


def test_an_outline_gets_no_rim():
    """A pixel that mixes a cast's light shadow with lit ground is drawn between the two, as it is in truth."""
    rng = np.random.default_rng(2)
    cast = rng.uniform(4, 9, (30, 30))
    share = np.repeat([[1.0, 0.0]], 15, axis=1).repeat(30, 0)
    cast[:, 15:], surface = 7.0, np.zeros((30, 60), np.uint8)
    value = np.hstack([cast, np.full((30, 30), 5.3)])
    value[:, 29], surface[:, 30:] = 6.2, 2
    seen = drawn(value, np.hstack([share, np.ones((30, 30))]), surface)
    assert seen[0, 20] < 6.0, "the light shadow is held back"
    assert (np.minimum(seen[:, 28], seen[:, 30]) <= seen[:, 29]).all()
    assert (seen[:, 29] <= np.maximum(seen[:, 28], seen[:, 30])).all()


def test_the_same_picture_gives_the_same_bytes():
    """Nothing is left to chance, and what is given is not changed."""
    value, light = crossing(5)
    luminance, share = luminance_of_value(value).astype("f4"), light.astype("f4")
    kept = luminance.copy(), share.copy()
    surface = np.zeros(light.shape, np.uint8)
    first, second = (in_pencil_range(luminance, share, surface) for _ in range(2))
    assert first.tobytes() == second.tobytes() and first.dtype == np.float32
    assert np.array_equal(luminance, kept[0]) and np.array_equal(share, kept[1])


def reflecting_ball(size=400):
    """A ball under a lamp from the side, with light thrown back into its shadow that outshines the halftones."""
    model, lit, sight = moon(-60.0, 20.0, size)
    facing = model.scene.normals @ -lit.emitters[0].normal
    indirect = (0.06 + 0.8 * np.clip(-facing, 0, None)).astype("f4")
    return model, replace(lit, indirect=indirect, facts=replace(lit.facts, exposure=1.6)), sight


def seen_and_true(model, lit, sight, shown):
    """Values of a picture in the pencil range, and its true ones."""
    light = pixel_light(model, lit, sight, Tracer(model.scene))
    seen = pencilled(lit, shown.footing, light, in_light(shown.family))
    return value_of_luminance(seen), value_of_luminance(light.luminance)


def test_a_ball_is_drawn_with_its_families_apart():
    """In truth the reflected light is lighter than halftones by more than a value; drawn every pixel of the shadow is
    darker than every pixel of the light."""
    model, lit, sight = reflecting_ball()
    shown = show(look_at(model, sight), lit, Tracer(model.scene))
    seen, true = seen_and_true(model, lit, sight, shown)
    y, x = np.mgrid[:400, :400] - 199.5
    inside = np.hypot(x, y) < 155  # its radius is 160
    shadow, light = inside & ~in_light(shown.family), inside & in_light(shown.family)
    assert shadow.sum() > 5000 and light.sum() > 5000
    assert true[shadow].max() > true[light].min() + 1.0
    assert seen[shadow].max() < seen[light].min()


def test_round_a_ball_the_light_falls_into_the_core_without_turning_back():
    """From the lights through the halftones into the core no pixel is drawn lighter than the one before, and at the
    terminator the drawing takes no greater step than the parting and what a soft edge of 3 degrees allows."""
    model, lit, sight = reflecting_ball()
    shown = show(look_at(model, sight), lit, Tracer(model.scene))
    seen, true = (row[200] for row in seen_and_true(model, lit, sight, shown))
    lightest, stop = int(true[40:360].argmax()) + 40, 355
    darkest = int(seen[lightest:stop].argmin()) + lightest
    assert darkest - lightest > 60
    falls = np.diff(seen[lightest : darkest + 1])
    assert (falls <= np.maximum(np.diff(true[lightest : darkest + 1]), 0) * 2 + 1e-4).all()
    # at its steepest a smooth fall is 1.5 times as steep as an even one; 3 degrees of this ball are 8 px
    assert falls.min() >= -(PARTING + 1.5 * (seen[lightest] - seen[darkest]) / 8)


def test_sculpture_and_plinth_are_one_surface():
    """A light shadow on the plinth is held below the halftones of the sculpture; the ground has its own measure."""
    parts = np.repeat([[Part.MODEL, Part.PLINTH, Part.GROUND, NOTHING]], 10, axis=1).repeat(12, 0).astype("u1")
    value = np.repeat([[5.0, 6.5, 6.5, 3.0]], 10, axis=1).repeat(12, 0)
    key = np.where(parts == Part.MODEL, 0.1, 0.0).astype("f4")
    lamp = disc_lamp(np.zeros(3), 0.0, 90.0, 1e4, 10.0)
    up = np.zeros((*parts.shape, 3), "f4")
    up[..., 2] = 1.0
    _, lit, _ = moon(0.0, 0.0, 32)
    footing = Footing(parts, np.zeros_like(up), up)
    light = PixelLight(luminance_of_value(value).astype("f4"), key, key)
    seen = value_of_luminance(pencilled(replace(lit, emitters=(lamp,)), footing, light, parts != Part.PLINTH))
    middle = [5, 15, 25, 35]  # away from the outlines
    assert seen[5, middle[1]] < seen[5, middle[0]]
    assert seen[5, middle[2:]] == pytest.approx([6.5, 3.0], abs=1e-4)


def test_the_backdrop_is_left_whole():
    """A dark wall half in light and half in shadow that cross is drawn as one: no edge that the light has not."""
    parts = np.full((20, 40), Part.BACKDROP, np.uint8)
    value = np.linspace(3.0, 4.0, 40)[None].repeat(20, 0)
    key = np.full(parts.shape, 0.1, "f4")
    nothing = np.zeros((*parts.shape, 3), "f4")
    _, lit, _ = moon(0.0, 0.0, 32)
    light = PixelLight(luminance_of_value(value).astype("f4"), key, key)
    shadow_lighter = np.arange(40)[None].repeat(20, 0) < 20
    seen = value_of_luminance(pencilled(lit, Footing(parts, nothing, nothing), light, shadow_lighter))
    assert seen == pytest.approx(value, abs=1e-4)


def test_the_tutors_page_has_the_same_ends():
    """The study stage cannot import the plates, so the numbers of its page are held to those painted here."""
    meaning = schema.STUDY.field("range").meaning
    assert f"value {DARKEST_VALUE:g}," in meaning and f"value {PAPER_VALUE:g}," in meaning
