"""Where the lamps of a lighting stand, in words a student can set them up by."""

from __future__ import annotations

import math
from dataclasses import dataclass

from builder.pack import LampPlace, StudyPack
from builder.site.directions import along_mm, bearing_deg, centimetres, level_words, side_words
from builder.site.words import Words
from builder.study.description import Lighting


@dataclass(frozen=True, slots=True)
class LampRow:
    """One lamp of the table: its role, and cells each with the heading it stands under."""

    role: str
    cells: tuple[tuple[str, str], ...]


def lamp_rows(study: StudyPack, lighting: Lighting, words: Words) -> tuple[LampRow, ...]:
    """The lamps of a lighting, the key first."""
    stops = {role: lamp.stops for role, lamp in lighting.lamps()}
    return tuple(_row(study, lamp, stops[lamp.role], words) for lamp in study.lamps[lighting.name])


def ambient_words(lighting: Lighting, words: Words) -> str:
    """How strong the light of the room is."""
    return _stops_words(lighting.ambient_stops, "lightings.ambient_", words)


def height_words(words: Words, above_mm: float) -> str:
    """A height above, or below, the surface the model stands on."""
    return words(f"lightings.height_{'up' if above_mm >= 0 else 'down'}", n=centimetres(abs(above_mm)))


def rise_deg(study: StudyPack, lamp: LampPlace) -> float:
    """Angle of a lamp above the model's middle, seen from there, degrees."""
    return math.degrees(math.atan2(lamp.centre_mm[2] - study.model.height_mm / 2.0, along_mm(lamp.centre_mm)))


def _row(study: StudyPack, lamp: LampPlace, stops: float, words: Words) -> LampRow:
    width, height = centimetres(lamp.width_mm), centimetres(lamp.height_mm)
    strength = (
        words("lightings.strength_key") if lamp.role == "key" else _stops_words(stops, "lightings.strength_", words)
    )
    cells = (
        ("place", side_words(words, "lightings.bearing_", bearing_deg(lamp.centre_mm[0], lamp.centre_mm[1]))),
        ("along", words("lightings.centimetres", n=centimetres(along_mm(lamp.centre_mm)))),
        ("height", height_words(words, lamp.centre_mm[2] - study.ground_mm)),
        ("angle", level_words(words, "lightings.angle_", rise_deg(study, lamp))),
        ("size", words(f"lightings.{lamp.shape}", width=width, height=height)),
        ("strength", strength),
    )
    return LampRow(words(f"lightings.{lamp.role}"), tuple((words(f"lightings.{name}"), text) for name, text in cells))


def _stops_words(stops: float, key: str, words: Words) -> str:
    if stops == 0.0:
        return words(f"{key}even")
    return words.count(f"{key}{'above' if stops > 0 else 'below'}", abs(stops))
