"""Directions and distances round the model, as numbers and as words."""

from __future__ import annotations

import math

from builder.words.words import Words, number

NEAR_DEG = 2.5
"""An angle smaller than this is called level, in front or behind."""


def bearing_deg(x: float, y: float) -> float:
    """Bearing of a point (mm, model frame), -180..180 degrees: 0 in front (-y), positive towards the model's left."""
    turned = math.degrees(math.atan2(x, -y))
    return 180.0 if turned == -180.0 else turned


def wrapped_deg(angle_deg: float) -> float:
    """An angle brought to -180 < angle <= 180."""
    turned = math.fmod(angle_deg, 360.0)
    if turned > 180.0:
        return turned - 360.0
    return turned + 360.0 if turned <= -180.0 else turned


def along_mm(point_mm: tuple[float, float, float]) -> float:
    """Distance along the ground from under the model's origin, mm."""
    return math.hypot(point_mm[0], point_mm[1])


def side_words(words: Words, key: str, angle_deg: float) -> str:
    """A bearing in words: the phrase ``key`` + ``front``, ``back``, ``left`` or ``right``, whole degrees."""
    turned = wrapped_deg(angle_deg)
    if abs(turned) < NEAR_DEG:
        return words(f"{key}front")
    if abs(turned) > 180.0 - NEAR_DEG:
        return words(f"{key}back")
    return words(f"{key}{'left' if turned > 0 else 'right'}", degrees=number(abs(turned), 0))


def level_words(words: Words, key: str, angle_deg: float) -> str:
    """An angle above the middle in words: the phrase ``key`` + ``level``, ``above`` or ``below``, whole degrees."""
    if abs(angle_deg) < NEAR_DEG:
        return words(f"{key}level")
    return words(f"{key}{'above' if angle_deg > 0 else 'below'}", degrees=number(abs(angle_deg), 0))


def centimetres(length_mm: float) -> str:
    """A length in whole centimetres, with one decimal below 10 cm."""
    return number(length_mm / 10.0, 0 if abs(length_mm) >= 100.0 else 1)
