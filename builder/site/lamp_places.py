"""Where the lamps of a lighting stand, as a table of measures."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from builder.light.setting import LampSetting, lamp_setting
from builder.pack import StudyPack
from builder.study.description import Lighting
from builder.table.tape import tape_cm, tape_in
from builder.words.directions import NEAR_DEG, side_words
from builder.words.words import Words, number

CLOCK_STEP_MIN = 10
"""A direction on the clock face is given to ten minutes of the hour hand, which are 5 degrees."""


@dataclass(frozen=True, slots=True)
class Cell:
    """What a lamp's cell says, and beside it the same in inches or ``below`` it in other words; either may be empty."""

    text: str
    beside: str = ""
    below: str = ""


@dataclass(frozen=True, slots=True)
class Measure:
    """A row of the table: what is measured, and a cell for each lamp in turn."""

    name: str
    cells: tuple[Cell, ...]


def lamp_settings(study: StudyPack, lighting: Lighting) -> tuple[LampSetting, ...]:
    """The lamps of a lighting at a table, the key first."""
    stops = {role: lamp.stops for role, lamp in lighting.lamps()}
    return tuple(
        lamp_setting(
            lamp.role,
            "disc" if lamp.shape == "disc" else "rectangle",
            lamp.centre_mm,
            (lamp.width_mm, lamp.height_mm),
            middle_mm=(0.0, 0.0, study.model.height_mm / 2.0),
            ground_mm=study.ground_mm,
            stops=stops[lamp.role],
        )
        for lamp in study.lamps[lighting.name]
    )


def measures(settings: tuple[LampSetting, ...], words: Words) -> tuple[Measure, ...]:
    """The rows of the table, a cell for each lamp."""
    rows: tuple[tuple[str, Callable[[LampSetting, Words], Cell]], ...] = (
        ("side", _side),
        ("front", _front),
        ("along", lambda each, words: length(each.along_mm, words)),
        ("height", lambda each, words: length(each.above_mm, words)),
        ("distance", lambda each, words: length(each.distance_mm, words)),
        ("round", _round),
        ("tilt", lambda each, words: Cell(tilt_words(each, words))),
        ("face", _face),
        ("strength", _strength),
    )
    return tuple(
        Measure(words(f"lightings.row_{name}"), tuple(make(each, words) for each in settings)) for name, make in rows
    )


def length(length_mm: float, words: Words) -> Cell:
    """A length in centimetres, with the inches beside."""
    return Cell(words("lightings.centimetres", n=tape_cm(length_mm)), words("lightings.inches", n=tape_in(length_mm)))


def offsets(setting: LampSetting) -> tuple[tuple[str, float], ...]:
    """How to get from the cross to the point under the lamp: ways ``towards`` or ``away``, then ``left`` or ``right``
    of someone in front of the model, each with its length in mm. Ways too short to matter are left out.
    """
    ways = (
        ("towards" if setting.front_mm > 0.0 else "away", abs(setting.front_mm)),
        ("right" if setting.left_mm > 0.0 else "left", abs(setting.left_mm)),
    )
    least = max(setting.along_mm * NEAR_DEG / 57.3, setting.distance_mm * 0.01)
    return tuple((way, length_mm) for way, length_mm in ways if length_mm >= least)


def tilt_words(setting: LampSetting, words: Words) -> str:
    """How the lamp looks: so many degrees down or up, or level."""
    if abs(setting.tilt_deg) < NEAR_DEG:
        return words("lightings.tilt_level")
    side = "down" if setting.tilt_deg > 0.0 else "up"
    return words(f"lightings.tilt_{side}", degrees=number(abs(setting.tilt_deg), 0))


def stops_words(stops: float, key: str, words: Words) -> str:
    """A strength against the key, in stops; ``key`` is what its phrases begin with."""
    if stops == 0.0:
        return words(f"{key}even")
    return words.count(f"{key}{'above' if stops > 0 else 'below'}", abs(stops))


def share_words(stops: float, words: Words) -> str:
    """The same as a plain part of the key's light."""
    named = {0.0: "even", -1.0: "half", -2.0: "quarter", -3.0: "eighth", -4.0: "sixteenth"}
    if stops in named:
        return words(f"lightings.share_{named[stops]}")
    return words("lightings.share_percent", n=two_figures(100.0 * 2.0**stops))


def two_figures(value: float) -> str:
    """A number to two significant figures, never in powers of ten."""
    return number(float(f"{value:.1e}"), 3)


def room_words(lighting: Lighting, words: Words) -> str:
    """How strong the light of the room is, in stops and as a part of the key's light."""
    stops = lighting.ambient_stops
    return words(
        "lightings.room", stops=stops_words(stops, "lightings.strength_", words), share=share_words(stops, words)
    )


def clock(bearing_deg: float) -> str:
    """A direction round the model as the hour hand of a clock that lies on the table, 6 in front of the model."""
    minutes = round((360.0 - 2.0 * bearing_deg) / CLOCK_STEP_MIN) * CLOCK_STEP_MIN % 720
    return f"{minutes // 60 or 12}:{minutes % 60:02d}"


def _side(setting: LampSetting, words: Words) -> Cell:
    return _offset(setting, ("left", "right"), words)


def _front(setting: LampSetting, words: Words) -> Cell:
    return _offset(setting, ("towards", "away"), words)


def _offset(setting: LampSetting, ways: tuple[str, str], words: Words) -> Cell:
    for way, length_mm in offsets(setting):
        if way in ways:
            cell = length(length_mm, words)
            return Cell(words(f"lightings.way_{way}", n=tape_cm(length_mm)), cell.beside)
    return Cell(words("lightings.way_none"))


def _round(setting: LampSetting, words: Words) -> Cell:
    if not offsets(setting):
        return Cell(words("lightings.bearing_over"))
    bearing = side_words(words, "lightings.bearing_", setting.bearing_deg)
    return Cell(bearing, below=words("lightings.clock", time=clock(setting.bearing_deg)))


def _face(setting: LampSetting, words: Words) -> Cell:
    key, width, height = f"lightings.{setting.shape}", setting.width_mm, setting.height_mm
    return Cell(
        words(key, width=tape_cm(width), height=tape_cm(height)),
        words(f"{key}_inches", width=tape_in(width), height=tape_in(height)),
    )


def _strength(setting: LampSetting, words: Words) -> Cell:
    if setting.role == "key":
        return Cell(words("lightings.strength_key"))
    return Cell(stops_words(setting.stops, "lightings.strength_", words), below=share_words(setting.stops, words))
