"""From checked fields to the :class:`~builder.study.description.Study`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from builder.study.card_fields import CARDS
from builder.study.description import (
    CardChoice,
    Finish,
    Guides,
    Lamp,
    Landmark,
    Length,
    Lighting,
    MeshSource,
    Picture,
    PlaneChoice,
    PromptChoice,
    SheetChoice,
    Stand,
    Study,
    Tilt,
    View,
    Zone,
)
from builder.study.groups import Group, Record
from builder.study.lightings import disc, lighting, sizes
from builder.study.presets import preset
from builder.study.schema import (
    DEFAULT_LIGHTINGS,
    DEFAULT_VIEWS,
    FINISH,
    GUIDES,
    MIRRORED,
    PICTURE,
    PLANES,
    PROMPTS,
    STAND,
)
from builder.study.section_fields import contour_source
from builder.study.sheet_fields import SHEETS


def assembled(path: Path, where: str, study: Record) -> Study:
    """The study of a record that has passed every check; views by number, lightings as written.

    ``where`` names its file in messages.
    """
    stand, finish = _part(study, "stand", STAND), _part(study, "finish", FINISH)
    prompts, picture = _part(study, "prompts", PROMPTS), _part(study, "picture", PICTURE)
    sections: Record | None = study["sections"]
    landmarks = tuple(Landmark(name, point) for name, _, point in study["landmarks"])
    return Study(
        name=path.parent.resolve().name,
        title=study["title"],
        about=study["about"],
        credit=study["credit"],
        path=path,
        mesh=MeshSource(
            path=path.parent / (study.get("mesh") or path.name),
            unit=study["unit"] or "mm",
            up=study.get("up") or "+z",
            front=study.get("front") or "-y",
            height_mm=_mm(study["height"]),
            crease_deg=study["crease"],
            turn_deg=study["turn"],
            cut_below_mm=_mm(study["cut below"]),
            close_holes_mm=_mm(study["close holes"]),
            smooth=study["smooth"],
        ),
        stand=Stand(_mm(stand["plinth"]), _mm(stand["margin"])),
        finish=Finish(finish["model"], finish["ground"], finish["backdrop"]),
        views=tuple(sorted(_views(study["views"]), key=lambda view: view.number)),
        lightings=tuple(_lightings(study["lightings"])),
        landmarks=landmarks,
        prompts=PromptChoice(prompts["kinds"], prompts["level"]),
        picture=Picture(picture["width"], picture["height"]),
        planes=_planes(_part(study, "planes", PLANES), landmarks),
        guides=_guides(_part(study, "guides", GUIDES)),
        sheets=_sheets(_part(study, "sheets", SHEETS)),
        cards=_cards(_part(study, "cards", CARDS)),
        contours=None if sections is None else contour_source(path, where, sections, study.lines["sections"]),
        range=study["range"],
    )


def _planes(record: Record, landmarks: tuple[Landmark, ...]) -> PlaneChoice:
    given: Record | None = record["zone"]
    zone = None
    if given is not None:
        middle = next(landmark.point_mm for landmark in landmarks if landmark.name == given["at"])
        zone = Zone(middle, given["radius"].value, given["times"])
    mirrored = dict(zip(MIRRORED, (None, True, False), strict=True))[record["mirrored"]]
    return PlaneChoice(record["counts"], zone, mirrored)


def _guides(record: Record) -> Guides:
    return Guides(
        unit=record["unit"],
        tilts=tuple(Tilt(name, pair) for name, _, pair in record["tilts"]),
        sections_mm=_mm(record["sections"]),
        oblique_deg=record["slant"],
        squares=record["squares"],
    )


def _sheets(record: Record) -> SheetChoice:
    return SheetChoice(record["papers"], _mm(record["height"]), record["marks"])


def _cards(record: Record) -> CardChoice:
    usual = CardChoice()
    return CardChoice(
        count=record["count"],
        kind=record["kind"],
        paper=record["paper"],
        card_mm=_mm(record["card"]) or usual.card_mm,
        height_mm=_mm(record["height"]),
        bridge_mm=_mm(record["bridge"]) or usual.bridge_mm,
        cover_mm=_mm(record["cover"]) or usual.cover_mm,
    )


def _part(study: Record, key: str, group: Group) -> Record:
    """A group of the study, or its defaults."""
    part: Record | None = study[key]
    return part or group.defaults()


def _mm(length: Length | None) -> float | None:
    return length.value if length else None


def turned(bearing_deg: float) -> float:
    """The same bearing within ]-180, 180]."""
    return -((180.0 - bearing_deg) % 360.0 - 180.0)


def _views(records: tuple[Record, ...] | None) -> Iterator[View]:
    if records is None:
        for name in DEFAULT_VIEWS:
            yield from preset(name).views()
        return
    for record in records:
        if record.get("preset"):
            yield from preset(record["preset"]).views(record["distance"])
        else:
            bearing = turned(record["bearing"])
            yield View(record["number"], bearing, record["eye level"], record["distance"], record["title"])


def _lightings(records: tuple[Record, ...] | None) -> Iterator[Lighting]:
    if records is None:
        yield from (lighting(name) for name in DEFAULT_LIGHTINGS)
        return
    for record in records:
        yield _adjusted(record) if record.get("lighting") else _own(record)


def _adjusted(record: Record) -> Lighting:
    start = lighting(record["lighting"])
    bearing, elevation, ambient = record["bearing"], record["elevation"], record["ambient"]
    return replace(
        start,
        name=record["name"] or start.name,
        title=record["title"] or start.title,
        about=record["about"] or start.about,
        ambient_stops=start.ambient_stops if ambient is None else ambient,
        key=replace(
            start.key,
            bearing_deg=start.key.bearing_deg if bearing is None else turned(bearing),
            elevation_deg=start.key.elevation_deg if elevation is None else elevation,
            distance=record["distance"] or start.key.distance,
        ),
    )


def _own(record: Record) -> Lighting:
    key = _lamp(record["key"])
    assert key is not None, "a lighting has a key lamp"
    return Lighting(
        name=record["name"],
        title=record["title"] or record["name"].replace("-", " ").capitalize(),
        key=key,
        fill=_lamp(record["fill"]),
        rim=_lamp(record["rim"]),
        ambient_stops=record["ambient"],
        about=record["about"],
    )


def _lamp(record: Record | None) -> Lamp | None:
    if record is None:
        return None
    bearing, elevation, distance = turned(record["bearing"]), record["elevation"], record["distance"]
    stops = record.get("stops") or 0.0
    if record["rectangle"]:
        width, height = record["rectangle"]
        return Lamp(bearing, elevation, distance, "rectangle", width, height, stops)
    across = record["disc"] or sizes(0.3)
    return replace(disc(bearing, elevation, distance, across), stops=stops)
