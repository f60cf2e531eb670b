"""How the seen surface is turned."""

from __future__ import annotations

import numpy as np
import pytest

from builder.form.looked import look_at
from builder.model.model import Part
from builder.model.tracer import Tracer
from builder.plates.faces import facing_shares
from builder.plates.shown import show
from tests.plates.known_light import cosine_light, disc_lamp, eye_at, given_light, look
from tests.scenes import ball, box, scene_model, sheet


def shares(*pieces, bearing: float = 0.0, level: float = 0.0) -> dict[str, float]:
    model = scene_model(*pieces)
    lamp = disc_lamp(model.middle_mm, 0.0, 60.0, 1e4, 10.0)
    light = cosine_light(model, lamp)
    sight = look(model, eye_at(model.middle_mm, bearing, level, 1e5, 160.0, (160, 160)))
    return facing_shares(show(look_at(model, sight), given_light(model, [lamp], [light], [light]), Tracer(model.scene)))


def test_a_box_from_the_front_shows_its_front():
    """Nothing else is seen of it."""
    found = shares(box(200, 200, 200, Part.MODEL))
    assert found["front_share"] == pytest.approx(1.0, abs=0.02)


@pytest.mark.parametrize(("level", "seen"), [(30.0, "top_share"), (-30.0, "under_share")])
def test_a_cube_from_above_and_below(level, seen):
    """From 30 degrees a cube's front and top are seen as cos 30 to sin 30 (projection of equal faces)."""
    found = shares(box(150, 150, 150, Part.MODEL), level=level)
    whole = np.cos(np.pi / 6) + np.sin(np.pi / 6)
    assert found["front_share"] == pytest.approx(np.cos(np.pi / 6) / whole, abs=0.02)
    assert found[seen] == pytest.approx(np.sin(np.pi / 6) / whole, abs=0.02)


@pytest.mark.parametrize(
    ("bearing", "larger", "smaller"), [(60.0, "front_share", "left_share"), (30.0, "front_share", "right_share")]
)
def test_a_cube_turned(bearing, larger, smaller):
    """Turned by 30 degrees to either side, the face nearer the eye counts as front, the other as left or right: from
    the model's left its own front lies to the viewer's left."""
    found = shares(box(150, 150, 150, Part.MODEL), bearing=bearing)
    whole = np.cos(np.pi / 6) + np.sin(np.pi / 6)
    assert found[larger] == pytest.approx(np.cos(np.pi / 6) / whole, abs=0.02)
    assert found[smaller] == pytest.approx(np.sin(np.pi / 6) / whole, abs=0.02)


def test_a_ball_is_the_same_on_every_side():
    """Top, bottom, left and right are alike; the front, where z beats x and y, is known by quadrature on the disc."""
    found = shares(ball(100.0, 5))
    sides = [found[name] for name in ("top_share", "under_share", "left_share", "right_share")]
    assert np.ptp(sides) < 0.01
    place = (np.arange(2000) + 0.5) / 1000 - 1
    x, y = np.meshgrid(place, place)
    z = np.sqrt(np.clip(1 - x**2 - y**2, 0, None))
    front = ((z > np.maximum(abs(x), abs(y))) & (z > 0)).sum() / (z > 0).sum()
    assert found["front_share"] == pytest.approx(front, abs=0.01)


def test_only_the_sculpture_counts():
    """A wide floor seen from above adds nothing to the share that faces up."""
    body = box(100, 100, 100, Part.MODEL)
    alone, on_floor = shares(body, level=30.0), shares(body, sheet(900, 900, -60, 4, Part.GROUND), level=30.0)
    assert on_floor == pytest.approx(alone, abs=1e-9)
