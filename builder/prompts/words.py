"""Plain words for where the eye and the lamps are.

Bearings are spoken of from the model ("its left"), lamps from the eye ("the upper left"). The names front,
three-quarter, profile and back are the trade's own; the angles where one turns into the next are common practice, no
source.
"""

from __future__ import annotations

import math

from builder.study.description import Lamp, View

_CLOSE_TO_AXIS = 0.26
"""A lamp within 15 degrees of the line of sight (sine 0.26) has no side to speak of."""


def turned(angle_deg: float) -> float:
    """``angle_deg`` brought into (-180, 180]."""
    return 180.0 - (180.0 - angle_deg) % 360.0


def bearing_words(bearing_deg: float) -> str:
    """A bearing as a draughtsman names it: front view, three-quarter view from its left, profile ..."""
    bearing = turned(bearing_deg)
    side = "left" if bearing > 0 else "right"
    swing = abs(bearing)
    if swing <= 5:
        return "front view"
    if swing < 25:
        return f"front view turned a little to its {side}"
    if swing <= 65:
        return f"three-quarter view from its {side}"
    if swing < 80:
        return f"near profile from its {side}"
    if swing <= 100:
        return f"profile from its {side}"
    if swing <= 155:
        return f"three-quarter back view from its {side}"
    if swing < 175:
        return f"back view turned a little to its {side}"
    return "back view"


def eye_words(eye_level_deg: float) -> str:
    """How high the eye is against the model's middle, to follow "the eye is"."""
    rise = abs(eye_level_deg)
    if rise < 4:
        return "at the height of its middle"
    way = "above" if eye_level_deg > 0 else "below"
    if rise < 20:
        return f"a little {way} its middle"
    if rise < 40:
        return f"well {way} its middle"
    if rise < 70:
        return f"high {way} it" if eye_level_deg > 0 else f"far {way} it"
    return f"almost straight {way} it"


def view_words(view: View) -> str:
    """Where the view is seen from: ``three-quarter view from its left, eye a little below its middle``."""
    return f"{bearing_words(view.bearing_deg)}, eye {eye_words(view.eye_level_deg)}"


def _toward(bearing_deg: float, elevation_deg: float) -> tuple[float, float, float]:
    """Unit vector from the model's middle towards that bearing and elevation, model frame."""
    bearing, rise = math.radians(bearing_deg), math.radians(elevation_deg)
    return math.sin(bearing) * math.cos(rise), -math.cos(bearing) * math.cos(rise), math.sin(rise)


def lamp_seen(view: View, lamp: Lamp) -> tuple[float, float, float]:
    """Unit vector towards the lamp as the eye sees it: to the right, up, towards the eye."""
    bearing, rise = math.radians(view.bearing_deg), math.radians(view.eye_level_deg)
    right = (math.cos(bearing), math.sin(bearing), 0.0)
    up = (-math.sin(bearing) * math.sin(rise), math.cos(bearing) * math.sin(rise), math.cos(rise))
    near = _toward(view.bearing_deg, view.eye_level_deg)
    lamp_way = _toward(lamp.bearing_deg, lamp.elevation_deg)

    def along(axis: tuple[float, float, float]) -> float:
        return sum(a * b for a, b in zip(axis, lamp_way, strict=True))

    return along(right), along(up), along(near)


def light_from(view: View, lamp: Lamp) -> str:
    """Where the lamp's light comes from in the picture, to follow "the light comes"."""
    right, up, near = lamp_seen(view, lamp)
    across = math.hypot(right, up)
    if across < _CLOSE_TO_AXIS:
        return "from the front, close to your eye" if near > 0 else "from straight behind the model"
    height = "upper" if up > across * math.sin(math.radians(22.5)) else "lower" if up < -across * 0.3827 else ""
    side = "right" if right > across * math.sin(math.radians(22.5)) else "left" if right < -across * 0.3827 else ""
    if height and side:
        place = f"the {height} {side}"
    elif height:
        place = "above" if height == "upper" else "below"
    else:
        place = f"the {side}"
    return f"from {place}, behind the model" if near < -_CLOSE_TO_AXIS else f"from {place}"


def light_clock(view: View, lamp: Lamp) -> str:
    """The hour on a clock face where the lamp stands round the picture, or ``""`` when it has no side."""
    right, up, _ = lamp_seen(view, lamp)
    if math.hypot(right, up) < _CLOSE_TO_AXIS:
        return ""
    return f"{hour(right, up)} o'clock"


def hour(right: float, up: float) -> int:
    """The nearest hour, 1 to 12, of a direction on a clock face."""
    return (round(math.degrees(math.atan2(right, up)) / 30.0) - 1) % 12 + 1


def shadow_falls(view: View, lamp: Lamp) -> str:
    """Which way the lamp throws the shadow along the ground, as the eye sees it, to follow "it falls".

    Empty when the lamp stands too low to throw one down, or so high that it falls round the foot on all sides.
    """
    if not 10 <= lamp.elevation_deg <= 75:
        return ""
    swing = turned(lamp.bearing_deg - view.bearing_deg)
    side = "to the left" if swing > 0 else "to the right"
    if abs(swing) <= 22.5:
        return "away from you"
    if abs(swing) >= 157.5:
        return "towards you"
    if abs(swing) < 67.5:
        return f"{side} and away from you"
    if abs(swing) > 112.5:
        return f"{side} and towards you"
    return side


def length_words(length_mm: float) -> str:
    """A length for a person: 8.5 mm, 45 mm, 120 cm, 2.4 m; three figures at most."""
    if length_mm < 9.95:
        return f"{length_mm:.1f}".removesuffix(".0") + " mm"
    if length_mm < 999.5:
        return f"{length_mm:.0f} mm"
    return f"{length_mm / 1000:.2f}".rstrip("0").removesuffix(".") + " m"
