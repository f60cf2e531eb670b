"""Terminators and cast edges."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import LineString, MultiLineString

from builder.form.looked import look_at
from builder.light.direct import vertex_irradiance
from builder.model.model import Model, Part
from builder.model.tracer import Tracer
from builder.plates.causes import Family
from builder.plates.families import PLACES, cut_families
from builder.plates.family_lines import MetLines, length_px, met_lines
from builder.plates.outlines import find_outlines
from builder.plates.plate import Shown
from builder.plates.shown import show
from tests.plates.known_light import cosine_light, disc_lamp, eye_at, given_light, look, moon
from tests.scenes import Piece, ball, box, scene_model, sheet

FAR = 1e5
SIZE = 256


def lines_of(shown: Shown, place: int = 0) -> MetLines:
    return met_lines(find_outlines(cut_families(shown)), place * PLACES, shown.footing, shown.sight.eye)


def lit_scene(
    *pieces: Piece, lamp: tuple[float, float], eye: tuple[float, float] = (0.0, 0.0), half_height: float = 125.0
) -> Shown:
    """Pieces under a far small lamp, every sample looking at it; lamp and eye by bearing and level in degrees."""
    model: Model = scene_model(*pieces)
    emitter = disc_lamp(model.middle_mm, *lamp, FAR, 10.0)
    tracer = Tracer(model.scene)
    direct, unshadowed = vertex_irradiance(model, emitter, tracer)
    lit = given_light(model, [emitter], [direct], [unshadowed], indirect=0.05, backdrop=0.0)
    sight = look(model, eye_at(np.zeros(3), *eye, FAR, half_height, (SIZE, SIZE)))
    return show(look_at(model, sight), lit, tracer, np.ones((1, len(model.scene.faces)), np.bool_))


@pytest.mark.parametrize("bearing", [40.0, 75.0, 120.0])
def test_a_crease_can_be_a_terminator(bearing):
    """On a cube the light ends at an edge, which is one straight line of the terminator, to a pixel; nothing is cast or
    hidden."""
    shown = lit_scene(box(120, 120, 120, Part.MODEL).moved(0, 0, -60), lamp=(bearing, 0.0), eye=(bearing - 100, 0.0))
    found = lines_of(shown)
    assert len(found.terminator) == 1 and not found.cast_edge and not found.hidden
    line = found.terminator[0]
    assert np.ptp(line[:, 0]) <= 1.0
    assert np.ptp(line[:, 1]) == pytest.approx(120 * SIZE / 250, abs=2)


def test_a_contour_before_light_is_no_terminator():
    """A ball whose dark side stands before a lit wall of the same body: the border is where the ball hides the wall.
    Its terminator and the edge of its shadow are elsewhere, each near where geometry puts it."""
    wall = sheet(600, 600, 0, 4, Part.MODEL).turned(np.pi / 2, 0, 0).moved(0, 200, 0)
    shown = lit_scene(ball(60.0, 5), wall, lamp=(-60.0, 0.0), half_height=250.0)
    found = lines_of(shown)
    scale = SIZE / 500
    contour = LineString(60 * scale * circle(361) + SIZE / 2)
    assert found.hidden and found.terminator and found.cast_edge
    hidden = MultiLineString([line.astype(float) for line in found.hidden])
    assert hidden.hausdorff_distance(hidden.intersection(contour.buffer(3.0))) < 1e-6
    assert hidden.length > 0.7 * np.pi * 60 * scale
    terminator = np.concatenate(found.terminator) - SIZE / 2
    assert np.hypot(*terminator.T).max() < 60 * scale
    # Light goes 60 degrees to the right of straight in, so that the ball's shadow lies 200 tan 60 to the right on the
    # wall, a circle drawn out by 1 / cos 60; its left end is seen at 346 - 120.
    left_end = min(line[:, 0].min() for line in found.cast_edge)
    assert (left_end - SIZE / 2) / scale == pytest.approx(200 * np.tan(np.pi / 3) - 120, abs=3 / scale)


def circle(count: int) -> np.ndarray:
    turn = np.linspace(0, 2 * np.pi, count)
    return np.stack([np.cos(turn), np.sin(turn)], axis=1)


def test_every_border_of_the_two_families_is_told_once():
    """Terminator, cast edge and what is hidden together are the border between light and shadow, as long as that."""
    wall = sheet(600, 600, 0, 4, Part.MODEL).turned(np.pi / 2, 0, 0).moved(0, 200, 0)
    shown = lit_scene(ball(60.0, 5), wall, lamp=(-40.0, 20.0), half_height=250.0)
    found = lines_of(shown)
    outlines = find_outlines(cut_families(shown))
    light, shadow = (Family.HALFTONE, Family.LIGHT, Family.HIGHLIGHT), (Family.CORE, Family.CAST, Family.REFLECTED)
    whole = length_px(outlines.between(light, shadow))
    told = sum(length_px(lines) for lines in (found.terminator, found.cast_edge, found.hidden))
    assert told == pytest.approx(whole, rel=1e-4)


def test_the_length_of_a_terminator():
    """Side-lit, a ball's terminator is its upright diameter."""
    model, lit, sight = moon(90.0, size=SIZE)
    found = lines_of(show(look_at(model, sight), lit, Tracer(model.scene)))
    assert length_px(found.terminator) == pytest.approx(0.8 * SIZE, abs=2)
    assert length_px([]) == 0.0
    assert length_px([np.array([[0, 0], [3, 4], [3, 10]], "f4")]) == pytest.approx(11)


def test_places_have_lines_of_their_own():
    """A cast edge on the ground belongs to the ground, not to the sculpture that casts it."""
    model = scene_model(box(60, 60, 60, Part.MODEL), sheet(1200, 1200, 0, 2))
    lamp = disc_lamp(np.zeros(3), -90.0, 45.0, FAR, 10.0)
    light = cosine_light(model, lamp)
    sight = look(model, eye_at(np.zeros(3), 0.0, 60.0, FAR, 160.0, (SIZE, SIZE)))
    lit = given_light(model, [lamp], [light], [light], indirect=0.05)
    shown = show(look_at(model, sight), lit, Tracer(model.scene), np.ones((1, len(model.scene.faces)), np.bool_))
    body, ground = lines_of(shown), lines_of(shown, 2)
    assert not body.cast_edge and ground.cast_edge and not ground.terminator
    # Far edge of the shadow: as high as the cube, whose top edge it is thrown by, beyond the cube's side at x = 30.
    right = max(line[:, 0].max() for line in ground.cast_edge)
    assert (right - SIZE / 2) * 320 / SIZE == pytest.approx(30 + 60, abs=2 * 320 / SIZE)
