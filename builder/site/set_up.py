"""Setting up a lighting at a table: steps in order, and the check with a folded card."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from builder.light.setting import LampSetting, lit_to_fill
from builder.pack import StudyPack
from builder.site.lamp_places import (
    Measure,
    lamp_settings,
    measures,
    offsets,
    room_words,
    share_words,
    stops_words,
    tilt_words,
    two_figures,
)
from builder.study.description import Lighting
from builder.table.tape import tape_cm
from builder.words.words import Words, number

CARDS_MM = (20.0, 50.0, 100.0, 200.0, 500.0)
"""Heights of the card whose shadow is measured."""
CARD_IN_SIZES = 0.6
"""It is the highest of these that is no higher than this, in sizes of the model."""
METER = 1000.0
"""What a light meter is taken to read for the key; only ratios count."""
SOFT = 0.5
"""A shadow's edge wider than this, in heights of the card, has no end to measure."""
LARGE_MM = 300.0
"""A lamp's face longer than this is a sheet on a frame or a window, not a sheet before a bulb."""


@dataclass(frozen=True, slots=True)
class SetUp:
    """How a lighting is set up. ``steps`` are Markdown lines; the table has ``lamps`` for columns, ``measures`` for
    rows and ``room``, the light of the room, at its foot.
    """

    steps: tuple[str, ...]
    lamps: tuple[str, ...]
    measures: tuple[Measure, ...]
    room: str


def set_up(study: StudyPack, lighting: Lighting, words: Words) -> SetUp:
    """The set-up of a lighting for the study's model at its true size."""
    settings = lamp_settings(study, lighting)
    return SetUp(
        steps=tuple(_steps(study, lighting, settings, words)),
        lamps=tuple(words(f"lightings.{each.role}") for each in settings),
        measures=measures(settings, words),
        room=room_words(lighting, words),
    )


def card_words(study: StudyPack) -> str:
    """Height of the card for the check, cm."""
    return tape_cm(card_mm(_size_mm(study)))


def card_mm(size_mm: float) -> float:
    """Height of the card for the check, mm, by the greatest extent of the model."""
    return max((height for height in CARDS_MM if height <= CARD_IN_SIZES * size_mm), default=CARDS_MM[0])


def _steps(study: StudyPack, lighting: Lighting, settings: tuple[LampSetting, ...], words: Words) -> Iterator[str]:
    card = card_mm(_size_mm(study))
    yield words("lightings.step_cross")
    for index, each in enumerate(settings):
        yield _place(each, words)
        yield _height(each, words)
        yield _face(each, index > 0, words)
        yield _check(each, card, len(settings) > 1, words)
    for each in settings[1:]:
        yield _strength(each, words)
    yield words("lightings.step_room", lux=_reading(lighting.ambient_stops))
    if study.ground_mm < 0.0:
        yield words("lightings.step_model_slab", slab=tape_cm(-study.ground_mm))
    else:
        yield words("lightings.step_model")


def _size_mm(study: StudyPack) -> float:
    return max(study.model.width_mm, study.model.depth_mm, study.model.height_mm)


def _place(setting: LampSetting, words: Words) -> str:
    role, ways = _role(setting, words), offsets(setting)
    legs = [words(f"lightings.way_{way}", n=tape_cm(length_mm)) for way, length_mm in ways]
    if not legs:
        return words("lightings.step_place_over", role=role)
    if len(legs) == 1:
        square = ways[0][0] in ("left", "right")
        return words(f"lightings.step_place_{'side' if square else 'one'}", role=role, first=legs[0])
    return words("lightings.step_place_two", role=role, first=legs[0], second=legs[1], along=tape_cm(setting.along_mm))


def _height(setting: LampSetting, words: Words) -> str:
    return words(
        "lightings.step_height",
        above=tape_cm(setting.above_mm),
        aim=tape_cm(setting.aim_mm),
        tilt=tilt_words(setting, words),
        distance=tape_cm(setting.distance_mm),
    )


def _face(setting: LampSetting, again: bool, words: Words) -> str:
    large = max(setting.width_mm, setting.height_mm) > LARGE_MM
    return words(
        f"lightings.step_face_{setting.shape}{'_large' if large else '_again' if again else ''}",
        width=tape_cm(setting.width_mm),
        height=tape_cm(setting.height_mm),
    )


def _check(setting: LampSetting, card: float, others: bool, words: Words) -> str:
    alone = words("lightings.check_alone" if others else "lightings.check_dark")
    shadow, blur = setting.shadow_mm(card), setting.blur_mm(card)
    if not offsets(setting):
        return words("lightings.step_check_over", alone=alone, card=tape_cm(card))
    if shadow is None or blur is None or shadow > setting.along_mm:
        behind = 2.0 * card
        top = tape_cm(setting.shadow_height_mm(card, behind))
        return words("lightings.step_check_low", alone=alone, card=tape_cm(card), behind=tape_cm(behind), top=top)
    if blur > SOFT * card:
        return words("lightings.step_check_soft", alone=alone, card=tape_cm(card), shadow=tape_cm(shadow))
    width = (
        words("lightings.millimetres", n=number(blur, 0))
        if blur < 20.0
        else words("lightings.centimetres", n=tape_cm(blur))
    )
    return words("lightings.step_check", alone=alone, card=tape_cm(card), shadow=tape_cm(shadow), blur=width)


def _strength(setting: LampSetting, words: Words) -> str:
    text = words(
        "lightings.step_strength",
        role=_role(setting, words),
        stops=stops_words(setting.stops, "lightings.strength_", words),
        share=share_words(setting.stops, words),
        lux=_reading(setting.stops),
    )
    if setting.role != "fill":
        return text
    return f"{text} {words('lightings.step_ratio', ratio=two_figures(lit_to_fill(setting.stops)))}"


def _reading(stops: float) -> str:
    return two_figures(METER * 2.0**stops)


def _role(setting: LampSetting, words: Words) -> str:
    return words("lightings.lamp_of", role=words(f"lightings.{setting.role}"))
