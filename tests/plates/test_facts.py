"""Facts of a view under a lighting."""

from __future__ import annotations

import numpy as np
import pytest

from builder.form.looked import look_at
from builder.light.value import value_of_luminance
from builder.model.tracer import Tracer
from builder.plates.fact_list import FACTS
from builder.plates.facts import view_facts
from builder.plates.plate import Shown
from builder.plates.registry import LIGHT_KINDS
from builder.plates.shown import show
from builder.study.description import Lamp, Length, Lighting, View
from tests.plates.known_light import cosine_light, disc_lamp, eye_at, given_light, light_facts, look, moon
from tests.scenes import ball, scene_model

LAMP = Lamp(0.0, 0.0, Length(1.0, True), "disc", Length(1.0), Length(1.0))
LIGHTING = Lighting("one-lamp", "One lamp", LAMP)
VIEW = View(1, 0.0, 0.0, Length(3.0, True))


def facts_of(shown: Shown, view: View | None = None) -> dict:
    return view_facts(view or VIEW, LIGHTING, shown, light_facts(shown, LIGHT_KINDS))


def moon_facts(bearing: float, elevation: float = 0.0) -> dict:
    model, lit, sight = moon(bearing, elevation)
    return facts_of(show(look_at(model, sight), lit, Tracer(model.scene)))


@pytest.mark.parametrize(("bearing", "elevation"), [(0.0, 0.0), (60.0, 0.0), (110.0, 40.0), (180.0, 0.0), (0.0, 90.0)])
def test_facts_are_those_listed(bearing, elevation):
    """Measured facts have the listed names in that order, none but optional ones missing, each within its range."""
    facts = moon_facts(bearing, elevation)
    assert list(facts) == [name for name in FACTS if name in facts]
    assert [name for name, fact in FACTS.items() if name not in facts and not fact.optional] == []
    assert [name for name, value in facts.items() if not FACTS[name].takes(value)] == []


def test_facts_are_plain_numbers_and_words():
    """Nothing but Python's own numbers, words and tuples, so that they can be written down; nothing infinite."""
    for name, value in moon_facts(60.0).items():
        rows = value if isinstance(value, tuple) else (value,)
        assert all(type(one) in (int, float, str, bool) for one in rows), name
        assert all(np.isfinite(one) for one in rows if not isinstance(one, str)), name


def test_shares_sum_to_one():
    """Every family of shares covers the subject once."""
    facts = moon_facts(110.0, 20.0)
    sides = ("top_share", "under_share", "front_share", "left_share", "right_share")
    assert sum(facts[name] for name in sides) == pytest.approx(1.0, abs=1e-12)
    assert facts["light_share"] + facts["shadow_share"] == pytest.approx(1.0, abs=1e-12)
    for n in (2, 3, 5, 9):
        for name in (f"values_{n}_shares", f"values_{n}_picture_shares"):
            assert len(facts[name]) == n
            assert sum(facts[name]) == pytest.approx(1.0, abs=1e-12)


def test_the_silhouette_of_a_ball():
    """A ball of radius 100 seen from afar is a disc 200 mm wide and high in the middle of the picture, within a pixel,
    and covers pi r^2 of it."""
    facts = moon_facts(0.0)
    scale = 250 / 128
    assert facts["mm_per_px"] == pytest.approx(scale, rel=1e-6)
    assert facts["silhouette_width_mm"] == pytest.approx(200, abs=scale)
    assert facts["silhouette_height_mm"] == pytest.approx(200, abs=scale)
    assert facts["width_to_height"] == pytest.approx(1.0, abs=1e-9)
    assert facts["subject_left_px"] == 128 - facts["subject_right_px"] == pytest.approx(64 - 51.2, abs=1)
    assert facts["subject_top_px"] == 128 - facts["subject_bottom_px"] == pytest.approx(64 - 51.2, abs=1)
    assert facts["subject_share"] == pytest.approx(np.pi * 51.2**2 / 128**2, rel=0.01)
    assert facts["distance_mm"] == pytest.approx(1e5)


def test_a_near_balls_silhouette_is_its_contour():
    """From three radii the contour is R / sqrt(1 - (R / d)^2) wide at the ball's middle (tangent cone), not R."""
    model = scene_model(ball(100.0, 5))
    lamp = disc_lamp(model.middle_mm, 0.0, 30.0, 1e5, 10.0)
    light = cosine_light(model, lamp)
    sight = look(model, eye_at(model.middle_mm, 0.0, 0.0, 300.0, 150.0, (150, 150)))
    facts = facts_of(show(look_at(model, sight), given_light(model, [lamp], [light], [light]), Tracer(model.scene)))
    assert facts["silhouette_width_mm"] == pytest.approx(200 / np.sqrt(1 - 1 / 9), abs=2 * facts["mm_per_px"])


def test_the_view_and_lighting_are_named():
    """Number, bearing, eye level and the lighting's name are those described."""
    model, lit, sight = moon(30.0)
    facts = facts_of(show(look_at(model, sight), lit, Tracer(model.scene)), View(12, 35.0, -10.0, Length(900.0)))
    assert (facts["number"], facts["bearing_deg"], facts["eye_level_deg"]) == (12, 35.0, -10.0)
    assert facts["lighting"] == "one-lamp"


@pytest.mark.parametrize(
    ("bearing", "elevation", "angle"), [(35, 30, 44.81), (45, 45, 60.0), (90, 0, 90.0), (135, 30, 127.76)]
)
def test_angle_between_eye_and_key(bearing, elevation, angle):
    """cos p = cos elevation x cos bearing for an eye level with the middle (spherical trigonometry), to 0.01 degrees;
    the ball's lit share is (1 + cos p) / 2, to 0.01."""
    facts = moon_facts(bearing, elevation)
    assert facts["key_from_eye_deg"] == pytest.approx(angle, abs=0.01)
    assert facts["key_elevation_deg"] == pytest.approx(elevation, abs=0.01)
    assert facts["light_share"] == pytest.approx((1 + np.cos(np.radians(angle))) / 2, abs=0.01)


@pytest.mark.parametrize(
    ("lamp", "eye", "side"),
    [(0, 0, "front"), (15, 0, "front"), (45, 0, "right"), (-45, 0, "left"), (100, 0, "right"), (170, 0, "behind"),
     (0, 45, "left"), (0, -45, "right"), (45, 50, "front"), (-100, 90, "behind"), (180, 90, "right")],
)  # fmt: skip
def test_side_of_the_key_is_the_viewers(lamp, eye, side):
    """The model's left is the viewer's right from the front; the eye walking round moves the lamp the other way."""
    model, lit, _ = moon(lamp, 30.0)
    sight = look(model, eye_at(model.middle_mm, eye, 10.0, 1e5, 125.0, (40, 40)))
    assert facts_of(show(look_at(model, sight), lit, Tracer(model.scene)))["key_side"] == side


def test_families_need_both_facing_and_sight_of_the_lamp():
    """A ball half of whose lit side is shadowed to 49 % of the lamp has that half in the shadow family; at 51 % not."""
    model, lit, sight = moon(0.0)
    upper = model.scene.vertices[:, 2] > 0
    for seen, share in ((0.49, 0.5), (0.51, 1.0)):
        light = lit.open[0] * np.where(upper, 1.0, seen)
        shaded = given_light(model, lit.emitters, [light], lit.open)
        shown = show(
            look_at(model, sight), shaded, Tracer(model.scene), np.zeros((1, len(model.scene.faces)), np.bool_)
        )
        facts = facts_of(shown)
        assert facts["light_share"] == pytest.approx(share, abs=0.02)


def test_backdrop_and_exposure():
    """The backdrop's value is that of its exposed luminance."""
    model, lit, sight = moon(20.0)
    bright = given_light(model, lit.emitters, lit.direct, lit.open, exposure=2.0, backdrop=0.09)
    facts = facts_of(show(look_at(model, sight), bright, Tracer(model.scene)))
    assert facts["backdrop_value"] == pytest.approx(float(value_of_luminance(0.18)), abs=1e-6)
    # nothing else is round a sphere that hangs before the backdrop
    assert facts["around_value"] == facts["backdrop_value"]
    assert facts["exposure_stops"] == 1.0


@pytest.mark.parametrize(
    "kind", [kind for kind in LIGHT_KINDS if kind.name != "light-shadow"], ids=lambda kind: kind.name
)
def test_a_missing_plate_is_our_own_mistake(kind):
    """Facts cannot be gathered without the plates that measure some of them."""
    model, lit, sight = moon(20.0, size=32)
    shown = show(look_at(model, sight), lit, Tracer(model.scene))
    lacks = kind.make(shown).facts
    with pytest.raises(
        AssertionError, match="no plate measured " + next(iter(name for name in FACTS if name in lacks))
    ):
        view_facts(VIEW, LIGHTING, shown, light_facts(shown, [each for each in LIGHT_KINDS if each is not kind]))


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        ({"mood": 1.0}, "the list of facts lacks mood"),
        ({"value_range": 10.5}, "measured beyond what can be: value_range: 10.5"),
        ({"value_range": float("nan")}, "measured beyond what can be: value_range: nan"),
    ],
)
def test_a_fact_nobody_knows_or_believes_is_our_own_mistake(facts, said):
    """Nothing is published that the list does not describe."""
    model, lit, sight = moon(20.0, size=32)
    shown = show(look_at(model, sight), lit, Tracer(model.scene))
    with pytest.raises(AssertionError, match=said):
        view_facts(VIEW, LIGHTING, shown, light_facts(shown, LIGHT_KINDS) | facts)


def test_the_lamps_are_told_as_they_stand():
    """The lamp's place, size and strength against the room's light come from the lamp that lit the surface."""
    model, lit, sight = moon(60.0, 30.0)
    facts = facts_of(show(look_at(model, sight), lit, Tracer(model.scene)))
    key = lit.emitters[0]
    assert facts["key_distance_mm"] == pytest.approx(np.linalg.norm(key.centre - model.middle_mm))
    assert facts["key_bearing_deg"] == pytest.approx(60.0) and facts["key_elevation_deg"] == pytest.approx(30.0)
    assert facts["key_width_mm"] == pytest.approx(2 * np.linalg.norm(key.across))
    assert "fill_to_key_stops" not in facts
