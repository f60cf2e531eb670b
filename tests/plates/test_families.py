"""The plates of the light families and what they measure."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest

from builder.form.looked import look_at
from builder.light.direct import vertex_irradiance
from builder.light.value import codes_of_luminance, luminance_of_value, value_of_luminance
from builder.model.model import Part
from builder.model.tracer import Tracer
from builder.plates.causes import LIT, SHADOW, Family, core_level
from builder.plates.fact_list import FACTS
from builder.plates.families import (
    FAMILY_VALUES,
    LEGEND,
    NEUTRAL_VALUE,
    PLACES,
    cut_families,
    cut_in_two,
    family_codes,
    light_shadow_codes,
    make_families,
    make_light_shadow,
)
from builder.plates.plate import Shown
from builder.plates.shapes import find_shapes
from builder.plates.shown import show
from builder.plates.values import ISLAND_SHARE
from tests.plates.known_light import cosine_light, disc_lamp, eye_at, given_light, look, moon
from tests.scenes import Piece, ball, box, bumpy, scene_model, sheet

SVG = "{http://www.w3.org/2000/svg}"
SIZE = 160


def moon_shown(bearing: float, size: int = SIZE, indirect: float = 0.0) -> Shown:
    model, lit, sight = moon(bearing, size=size)
    return show(look_at(model, sight), replace(lit, indirect=np.full_like(lit.indirect, indirect)), Tracer(model.scene))


def on_the_table(indirect: float = 0.03) -> Shown:
    """A lump on a plinth on the ground, lamp to the left, half above."""
    pieces: tuple[Piece, ...] = (
        bumpy(60.0, 5).moved(0, 0, 60),
        box(160, 160, 20).moved(0, 0, -20),
        sheet(2400, 2400, -20, 4),
    )
    model = scene_model(*pieces)
    lamp = disc_lamp(model.middle_mm, -70.0, 30.0, 1500.0, 60.0)
    tracer = Tracer(model.scene)
    direct, unshadowed = vertex_irradiance(model, lamp, tracer)
    lit = given_light(model, [lamp], [direct], [unshadowed], indirect=indirect)
    sight = look(model, eye_at(model.middle_mm, 0.0, 25.0, 1500.0, 150.0, (SIZE, SIZE)))
    return show(look_at(model, sight), lit, tracer, np.ones((1, len(model.scene.faces)), np.bool_))


def test_every_pixel_has_a_family_unless_it_meets_nothing():
    """Families cover all that is seen; only pixels that meet nothing have none."""
    shown = moon_shown(60.0)
    none = shown.family == Family.NONE
    assert np.array_equal(none, shown.footing.part == 255)
    assert not (on_the_table().family == Family.NONE).any()


def test_a_shadow_of_half_the_lamp():
    """A ball whose upper half gets 49 % of the key has it in cast shadow, at 51 % in the light, to a row of faces."""
    model, lit, sight = moon(0.0)
    upper = model.scene.vertices[:, 2] > 0
    untraced = np.zeros((1, len(model.scene.faces)), np.bool_)
    for seen, cast in ((0.49, 0.5), (0.51, 0.0)):
        shaded = replace(lit, direct=lit.open * np.where(upper, np.float32(seen), np.float32(1.0)))
        shown = show(look_at(model, sight), shaded, Tracer(model.scene), untraced)
        found = shown.family[shown.subject]
        assert (found == Family.CAST).mean() == pytest.approx(cast, abs=0.03)


def test_a_fill_lamp_makes_no_light():
    """A second lamp, however strong, moves no border of light and shadow; it counts as light from elsewhere."""
    model, lit, sight = moon(70.0)
    fill = disc_lamp(model.middle_mm, -80.0, 0.0, 1e5, 100.0, "fill")
    other = cosine_light(model, fill) * 3
    two = given_light(
        model, [*lit.emitters, fill], [lit.direct[0], other], [lit.open[0], other], reflectance=(0.5,) * 4, backdrop=0.0
    )
    alone, filled = (show(look_at(model, sight), one, Tracer(model.scene)).family for one in (lit, two))
    assert np.array_equal(np.isin(alone, LIT), np.isin(filled, LIT))
    assert not (alone == Family.REFLECTED).any() and (filled == Family.REFLECTED).sum() > 500


def test_what_lies_behind_the_lamp_is_in_shadow():
    """A lamp shines to one side: ground behind it is in shadow, though nothing stands between and it faces the lamp."""
    model = scene_model(ball(20.0, 3).moved(0, 0, 20), sheet(1000, 1000, 0, 20))
    lamp = disc_lamp(np.zeros(3), -90.0, 45.0, 200.0, 5.0)
    direct, unshadowed = vertex_irradiance(model, lamp, Tracer(model.scene))
    lit = given_light(model, [lamp], [direct], [unshadowed])
    eye = eye_at(np.zeros(3), 0.0, 90.0, 1e5, 480.0, (SIZE, SIZE))
    label = show(look_at(model, look(model, eye)), lit, Tracer(model.scene)).family
    # The plane of the lamp meets the ground 200 / cos 45 to the left.
    edge = SIZE / 2 - 200 / np.cos(np.pi / 4) * SIZE / 960
    row = label[10]
    assert set(row[: int(edge) - 1]) == {Family.CAST}
    assert not np.isin(row[int(edge) + 2 :], SHADOW).any()


def test_highlights_are_the_plasters():
    """Ground and backdrop have no gloss: a sheet that mirrors the lamp into the eye has a highlight as sculpture and as
    plinth, none as ground."""
    for part, shines in ((Part.MODEL, True), (Part.PLINTH, True), (Part.GROUND, False)):
        model = scene_model(ball(20.0, 3).moved(0, 250, 40), sheet(600, 600, 0, 2, part))
        lamp = disc_lamp(np.zeros(3), -90.0, 60.0, 1e5, 10.0)
        light = cosine_light(model, lamp)
        lit = given_light(model, [lamp], [light], [light])
        sight = look(model, eye_at(np.zeros(3), 90.0, 60.0, 1e5, 420.0, (SIZE, SIZE)))
        label = show(look_at(model, sight), lit, Tracer(model.scene)).family
        middle = label[SIZE // 2 - 10 : SIZE // 2 + 10, SIZE // 2 - 10 : SIZE // 2 + 10]
        assert (middle == (Family.HIGHLIGHT if shines else Family.LIGHT)).all()


def test_the_level_of_the_core_knows_no_eye_and_no_base():
    """It is the median light from elsewhere over the surface just past the terminator, whatever lies elsewhere; a base
    that nobody sees does not count; without form shadow there is none."""
    model = scene_model(ball(100.0, 5).moved(0, 0, 100))
    lamp = disc_lamp(model.middle_mm, 90.0, 0.0, 1e5, 10.0)
    facing = model.scene.normals @ -lamp.normal
    light = cosine_light(model, lamp)
    lit = given_light(model, [lamp], [light], [light])
    elsewhere = np.where(facing > 0, 9.0, np.where(facing > -0.2, 0.25, 4.0))
    assert core_level(model, replace(lit, indirect=elsewhere)) == pytest.approx(0.25)
    slab = scene_model(box(100, 100, 10, Part.MODEL, cells=4))
    front = disc_lamp(slab.middle_mm, 0.0, 5.0, 1e5, 10.0)
    down = slab.scene.normals[:, 2] < -0.9
    given = cosine_light(slab, front)
    buried = replace(
        given_light(slab, [front], [given], [given]), indirect=np.where(down, 0.001, 0.3) * np.ones(len(down))
    )
    assert core_level(slab, buried) == pytest.approx(0.3)
    one = sheet(100, 100, 0, 2, Part.MODEL)
    above = disc_lamp(np.zeros(3), 0.0, 80.0, 1e5, 10.0)
    flat = scene_model(one)
    given = cosine_light(flat, above)
    assert core_level(flat, given_light(flat, [above], [given], [given])) == np.inf


def test_shapes_are_clean_and_keep_the_outline_of_the_form():
    """No shape is smaller than the stated share, and those of sculpture, plinth and ground stay apart."""
    shown = on_the_table()
    label = cut_families(shown)
    assert find_shapes(label).area_px.min() >= ISLAND_SHARE[9] * label.size
    for place, part in ((0, Part.MODEL), (1, Part.PLINTH), (2, Part.GROUND)):
        assert (label[shown.footing.part == part] // PLACES == place).mean() > 0.97
    two = cut_in_two(shown)
    assert set(np.unique(two)) == {0, 1}
    assert ((label % PLACES >= Family.HALFTONE) == (two == 1)).mean() > 0.99


def test_only_the_stated_greys_are_painted():
    """Six greys and the neutral one, or two and the neutral one, written without loss; the legend's are the same, in
    its order, families apart by more than the steps inside them."""
    legend, two = family_codes().tolist(), light_shadow_codes().tolist()
    neutral = int(codes_of_luminance(luminance_of_value(NEUTRAL_VALUE)))
    values = value_of_luminance(luminance_of_value(FAMILY_VALUES))
    assert legend == [int(codes_of_luminance(luminance_of_value(FAMILY_VALUES[family]))) for family in LEGEND]
    np.testing.assert_allclose(np.diff(values)[[0, 1, 3, 4]], 1.25, atol=1e-6)
    assert np.diff(values)[2] > 2 * 1.25
    assert sorted(two, reverse=True) == two == codes_of_luminance(luminance_of_value((7.5, 2.5))).tolist()
    shown = moon_shown(70.0, indirect=0.05)
    six, pair = make_families(shown), make_light_shadow(shown)
    assert set(np.unique(six.grey)) == {neutral, *(legend[i] for i in (0, 1, 2, 3))}
    assert set(np.unique(pair.grey)) == {neutral, *two}
    assert six.lossless and pair.lossless
    assert (six.kind, pair.kind) == ("families", "light-shadow")


def test_facts_count_what_is_painted():
    """Shares are those of the plate's own greys over the sculpture; values the means of the light there."""
    shown = on_the_table()
    plate = make_families(shown)
    greys = plate.grey[shown.subject]
    values = value_of_luminance(shown.luminance[shown.subject])
    for family, code in zip(LEGEND, family_codes().tolist(), strict=True):
        name = f"family_{family.name.lower()}"
        assert plate.facts[f"{name}_share"] == pytest.approx((greys == code).mean(), abs=1e-9)
        if (greys == code).any():
            assert plate.facts[f"{name}_value"] == pytest.approx(values[greys == code].mean(), abs=1e-4)
        else:
            assert f"{name}_value" not in plate.facts
    shares = [plate.facts[f"family_{family.name.lower()}_share"] for family in LEGEND]
    assert sum(shares) == pytest.approx(1.0)
    assert plate.facts["light_share"] == pytest.approx(sum(shares[:3]))
    assert plate.facts["light_share"] + plate.facts["shadow_share"] == pytest.approx(1.0)
    around = ~shown.subject & (shown.footing.part != Part.MODEL)
    cast = plate.grey[around] == family_codes()[LEGEND.index(Family.CAST)]
    assert plate.facts["ground_cast_share"] == pytest.approx(cast.mean()) and cast.any()


def test_facts_are_those_listed():
    """Every fact of the plate stands in the list and is what the list allows; every family fact that the list says all
    views have is there, whatever is seen."""
    needed = {
        name
        for name, fact in FACTS.items()
        if not fact.optional and (name.startswith("family_") or name.endswith(("light_share", "_to_height")))
    }
    assert len(needed) >= 9
    for shown in (on_the_table(), moon_shown(0.0), moon_shown(180.0), moon_shown(90.0, indirect=0.2)):
        facts = make_families(shown).facts
        assert {name for name in needed if name not in ("width_to_height",)} <= set(facts)
        assert all(FACTS[name].takes(value) for name, value in facts.items())


def test_what_a_view_does_not_have_is_left_out():
    """A ball lit from straight behind has no light family: no values of it, no rule, no stops between the two."""
    facts = make_families(moon_shown(180.0)).facts
    assert facts["light_share"] == 0.0 and facts["family_core_share"] == 1.0
    absent = {"light_to_shadow_stops", "family_rule_holds", "family_light_value", "ground_cast_share"}
    assert not absent & set(facts)
    assert facts["terminator_to_height"] == 0.0


def test_stops_between_the_families():
    """Side-lit with light from elsewhere e, a ball's light side has on the mean 2 / 3 + e of its luminance (mean cosine
    over half a disc lit from the side: 4 / (3 pi); with p = 90: 2 / (3 pi) over the whole disc), its shadow e."""
    facts = make_families(moon_shown(90.0, indirect=0.1)).facts
    # Lambert sphere at p = 90 degrees: disc mean 2 / (3 pi), all of it on the lit half.
    expected = np.log2((2 * 2 / (3 * np.pi) + 0.1) / 0.1)
    assert facts["light_to_shadow_stops"] == pytest.approx(expected, abs=0.05)
    assert facts["family_rule_holds"] is True


def test_the_rule_is_broken_where_the_shadow_is_lighter():
    """A fill lamp stronger than the key turns the rule over; the facts say so and where."""
    model, lit, sight = moon(90.0)
    fill = disc_lamp(model.middle_mm, -90.0, 0.0, 1e5, 100.0, "fill")
    other = cosine_light(model, fill) * 2
    two = given_light(model, [*lit.emitters, fill], [lit.direct[0], other], [lit.open[0], other], backdrop=0.0)
    facts = make_families(show(look_at(model, sight), two, Tracer(model.scene))).facts
    assert facts["family_rule_holds"] is False and facts["family_rule_share"] < 0.05
    assert facts["family_rule_worst_x"] == pytest.approx(0.5, abs=0.05)


def test_drawings_hold_outlines_lines_and_numbers():
    """The drawing has the frame of the picture, the two kinds of line, and the legend's number in every big shape."""
    shown = on_the_table()
    for plate, lines, numbers in (
        (make_families(shown), {"terminator", "cast-edge"}, set("12345")),
        (make_light_shadow(shown), set(), set("12")),
    ):
        root = ET.fromstring(plate.drawing)
        assert root.get("viewBox") == f"0 0 {SIZE} {SIZE}"
        marked = {element.get("class") or element.get("id") for element in root.iter()}
        assert lines <= marked and not ({"terminator", "cast-edge"} - lines) & marked
        found = {element.text for element in root.iter(f"{SVG}text")}
        assert found <= set("123456") and {"1", "2"} <= found and found <= numbers | {"6"}


def test_same_input_same_bytes():
    """Labels, greys, facts and drawing of a second run are those of the first."""
    first, second = (make_families(on_the_table()) for _ in range(2))
    assert first.grey.tobytes() == second.grey.tobytes()
    assert first.drawing == second.drawing and first.facts == second.facts


def test_a_speck_of_a_sculpture_still_has_shares():
    """A sculpture of a few pixels, whose shapes are all merged into the ground, is counted pixel by pixel."""
    model = scene_model(ball(2.5, 3).moved(0, 0, 30), sheet(1000, 1000, 0, 2))
    lamp = disc_lamp(np.zeros(3), -60.0, 45.0, 1e5, 10.0)
    light = cosine_light(model, lamp)
    lit = given_light(model, [lamp], [light], [light])
    sight = look(model, eye_at(np.array([0, 0, 30.0]), 0.0, 40.0, 1e4, 120.0, (SIZE, SIZE)))
    shown = show(look_at(model, sight), lit, Tracer(model.scene))
    assert 0 < shown.subject.sum() < 20
    facts = make_families(shown).facts
    assert facts["light_share"] + facts["shadow_share"] == pytest.approx(1.0)
    assert facts["terminator_to_height"] == 0.0
