"""An invented pack: two studies of egg-shaped heads, with small pictures shaded on the spot."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from PIL import Image

from builder.errors import Notice
from builder.form.measure import Measure
from builder.form.stroke import Mark, Stroke
from builder.light.lit import LightFacts
from builder.model.model import ModelFacts
from builder.model.surveyed import Surveyed
from builder.pack import LampPlace, Pack, PlanesFiles, PlateFile, ShownView, SidesFiles, StudyPack, StudyView
from builder.plates.families import family_codes, light_shadow_codes
from builder.plates.values import step_codes
from builder.prompts.prompt import Prompt
from builder.study.description import (
    Finish,
    Lamp,
    Length,
    Lighting,
    MeshSource,
    Picture,
    PromptChoice,
    Stand,
    Study,
    View,
)

HEIGHT_MM, GROUND_MM, EYE_MM = 300.0, -18.0, 1500.0
STEPS = (2, 3, 5, 9)
SURVEY = Surveyed(
    bodies=2,
    gaps=("at the back, low: 21 mm across",),
    thin="0.8 % of the surface is thinner than 6 mm",
    thin_places=("on its left, high: 2.1 mm thick, 14 mm across",),
    symmetry="two like halves; the halves differ by 1.2 mm rms",
)

SIDE = Lighting(
    "side-lamp",
    "Side lamp",
    Lamp(75.0, 30.0, Length(1200.0), "disc", Length(200.0), Length(200.0)),
    about="One small lamp at the side: the model falls into a light half and a dark half.",
)
WINDOW = Lighting(
    "window",
    "Tall window",
    Lamp(-45.0, 35.0, Length(1800.0), "rectangle", Length(900.0), Length(1400.0)),
    fill=Lamp(60.0, 5.0, Length(1600.0), "rectangle", Length(600.0), Length(600.0), stops=-3.0),
    rim=Lamp(150.0, 40.0, Length(1500.0), "disc", Length(150.0), Length(150.0), stops=0.5),
    ambient_stops=-2.5,
    about="A large soft light from the model's right, as from a window in the north.",
)
LOW = Lighting("low-lamp", "Low lamp", Lamp(0.0, -8.0, Length(900.0), "disc", Length(120.0), Length(120.0)))


def invented_pack(folder: Path, width: int = 48, views: int = 5) -> Pack:
    """Two studies, the first with ``views`` views under three lightings, the second with two under one."""
    first = _study(
        "egg",
        "Egg & stand",
        "An egg on a stand, to learn *light* on a round form.\n\nNothing else to look at.",
        tuple(_view(index) for index in range(views)),
        (SIDE, WINDOW, LOW),
    )
    second = _study("pebble", "Pebble", "A pebble.", (_view(0), _view(2)), (SIDE,))
    return Pack(tuple(_build(study, folder, width) for study in (first, second)))


def _view(index: int) -> View:
    titles = ("Straight on", "Turned away, from above", "", "Lost profile", "From below")
    bearings = (0.0, 30.0, 30.0, 90.0, -135.0)
    levels = (0.0, 20.0, -15.0, 0.0, -20.0)
    lap, place = divmod(index, 5)
    return View(
        index + 1, bearings[place] + 17.0 * lap, levels[place], Length(EYE_MM), titles[place] if lap == 0 else ""
    )


def _study(name: str, title: str, about: str, views: tuple[View, ...], lightings: tuple[Lighting, ...]) -> Study:
    return Study(
        name=name,
        title=title,
        about=about,
        credit="Modelled by Ada Quill for these tests, free for any use.",
        path=Path(f"models/{name}/study.yml"),
        mesh=MeshSource(Path(f"models/{name}/{name}.ply"), "mm", "+z", "-y", HEIGHT_MM),
        stand=Stand(),
        finish=Finish(),
        views=views,
        lightings=lightings,
        landmarks=(),
        prompts=PromptChoice(("first-look", "values")),
        picture=Picture(),
    )


def _build(study: Study, folder: Path, width: int) -> StudyPack:
    outline = tuple(
        (80.0 * math.sin(math.radians(turn)), 100.0 * math.cos(math.radians(turn))) for turn in range(0, 360, 15)
    )
    return StudyPack(
        study=study,
        model=ModelFacts(160.0, 200.0, HEIGHT_MM, 41872, 120400, 140000.0, 4_900_000.0, True, 0, 0.08),
        ground_mm=GROUND_MM,
        footprint_mm=outline,
        lights={lighting.name: LightFacts(1.0, 0.0, 2, 0.1) for lighting in study.lightings},
        lamps={
            lighting.name: tuple(_place(role, lamp) for role, lamp in lighting.lamps()) for lighting in study.lightings
        },
        views=tuple(_built_view(study, view, folder, width) for view in study.views),
        notices=(Notice(f"{study.name}.ply", "a crumb of 12 triangles was left out"),),
        planes_files=_planes_files(study, folder) if study.name == "egg" else (),
        survey=SURVEY if study.name == "egg" else None,
        sides=_sides(study, folder) if study.name == "egg" else None,
    )


def _sides(study: Study, folder: Path) -> SidesFiles:
    small, large = (folder / f"{study.name}-sides-{width}.webp" for width in (12, 36))
    for path, width in ((small, 12), (large, 36)):
        path.parent.mkdir(parents=True, exist_ok=True)
        Image.new("L", (width, width * 3 // 4), 128).save(path)
    return SidesFiles(small, f"sides/{study.name}-small.webp", large, f"sides/{study.name}.webp")


def _planes_files(study: Study, folder: Path) -> tuple[PlanesFiles, ...]:
    made = []
    for level, (count, rms, greatest) in enumerate(((14, 5.04, 17.2), (40, 1.96, 8.1))):
        paths = [folder / f"{study.name}-{level}.{suffix}" for suffix in ("stl", "glb")]
        for path in paths:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(f"invented planes, level {level}".encode())
        stl, glb = (f"planes/{path.name}" for path in paths)
        made.append(PlanesFiles(level, count, rms, greatest, paths[0], stl, paths[1], glb))
    return tuple(made)


def _place(role: str, lamp: Lamp) -> LampPlace:
    distance = lamp.distance.mm(HEIGHT_MM)
    x, y, z = _point(lamp.bearing_deg, lamp.elevation_deg, distance)
    return LampPlace(role, (x, y, z + HEIGHT_MM / 2.0), lamp.width.mm(HEIGHT_MM), lamp.height.mm(HEIGHT_MM), lamp.shape)


def _point(bearing_deg: float, level_deg: float, distance_mm: float) -> tuple[float, float, float]:
    bearing, level = math.radians(bearing_deg), math.radians(level_deg)
    along = distance_mm * math.cos(level)
    return along * math.sin(bearing), -along * math.cos(bearing), distance_mm * math.sin(level)


def _built_view(study: Study, view: View, folder: Path, width: int) -> StudyView:
    x, y, z = _point(view.bearing_deg, view.eye_level_deg, EYE_MM)
    lines = {kind: _save_lines(kind, study, view, folder, width) for kind in LINES}
    shown = {lighting.name: _shown(study, view, lighting, folder, width, lines) for lighting in study.lightings}
    opens = study.lightings[(view.number - 1) % len(study.lightings)].name
    return StudyView(view, (x, y, z + HEIGHT_MM / 2.0), EYE_MM, opens, shown, measures(width))


def measures(width: int) -> tuple[Measure, ...]:
    """Three: two with a line and its number, and one whose answer has no line."""
    height = width * 5 // 4
    level = Stroke(np.array([[0.1 * width, 0.5 * height], [0.9 * width, 0.5 * height]]), "measure-1", dashed=True)
    plumb = Stroke(np.array([[0.5 * width, 0.1 * height], [0.5 * width, 0.9 * height]]), "measure-2")
    first = Mark(0.1 * width, 0.49 * height, "1", "measure-1")
    second = Mark(0.5 * width, 0.1 * height, "2", "measure-2")
    return (
        Measure(1, "width-height", {"ratio": 1.284}, (level,), (first,)),
        Measure(2, "middle-height-on", {"name": "the stand's rim"}, (plumb,), (second,)),
        Measure(3, "top-on", {"share": 0.004}),
    )


def _shown(
    study: Study, view: View, lighting: Lighting, folder: Path, width: int, lines: dict[str, PlateFile]
) -> ShownView:
    tone = _egg(width, view.bearing_deg, view.eye_level_deg, lighting.key)
    plates = {"tone": _save(tone, "tone", study, view, lighting, folder, thumb=True)}
    facts: dict[str, object] = {
        "subject_lightest_value": 9.12,
        "subject_darkest_value": 1.5,
        "shadow_share": 0.416,
        "silhouette_height_mm": 301.2,
        "width_to_height": 0.78,
        "key_from_eye_deg": 75.0,
        "key_elevation_deg": 30.0,
    }
    # The low lamp leaves one plate kind out, and one kind's outlines, so that pages meet what is not made.
    for steps in STEPS if lighting is not LOW else STEPS[:-1]:
        step = np.minimum(tone.astype(int) * steps // 256, steps - 1)
        grey = step_codes(steps)[step]
        plates[f"values-{steps}"] = _save(
            grey, f"values-{steps}", study, view, lighting, folder, outlined=lighting is not LOW or steps != 3
        )
        facts[f"values_{steps}_shares"] = tuple((np.bincount(step.ravel(), minlength=steps) / step.size).tolist())
    family = np.searchsorted((-230, -150, -90, -60, -35), -tone.astype(int))
    plates["families"] = _save(family_codes()[family], "families", study, view, lighting, folder, outlined=True)
    pattern = (family > 2).astype(int)
    plates["light-shadow"] = _save(
        light_shadow_codes()[pattern], "light-shadow", study, view, lighting, folder, outlined=True
    )
    plates["planes-big"] = _save(tone // 32 * 32, "planes-big", study, view, lighting, folder, outlined=True)
    plates["block-in-4"] = _save(tone // 128 * 250, "block-in-4", study, view, lighting, folder, outlined=True)
    plates |= lines
    facts |= FAMILY_FACTS | RULE_FACTS.get(lighting.name, {}) | FORM_FACTS
    facts |= {"difficulty": 2.0 + view.number % 7, "difficulty_foreshortening": 0.2}
    facts |= {"difficulty_shapes": 0.4, "difficulty_values": 0.6}
    address = f"plates/{study.name}/{view.number:03d}/{lighting.name}-facts.json"
    return ShownView(lighting, facts, address, plates, prompts_for(lighting))  # type: ignore[arg-type]


FAMILY_FACTS = {
    "family_highlight_share": 0.03,
    "family_light_share": 0.254,
    "family_halftone_share": 0.3,
    "family_core_share": 0.28,
    "family_cast_share": 0.002,
    "family_reflected_share": 0.134,
    "light_share": 0.584,
}
FORM_FACTS = {
    "envelope_lengths": (0.41, 0.72, 0.385),
    "envelope_off_plumb_deg": (89.7, 6.5, -52.0),
    "negative_areas": (0.09, 0.004),
    "largest_negative_side": "lower right",
    "mirror_residual_mm": 1.24,
    "planes_big_count": 14,
    "planes_big_seen": 9,
    "planes_big_rms_mm": 2.54,
    "planes_big_greatest_mm": 9.06,
}


@dataclass(frozen=True)
class NamedKind:
    """What a page says of a plate kind."""

    name: str
    title: str
    teaches: str
    group: str = "light"
    over: str = ""


FORM_KINDS = (
    NamedKind("planes-big", "Big planes", "In *flat* pieces.", "planes"),
    NamedKind("block-in-1", "Envelope", "In *few* sides.", "construction", "tone"),
    NamedKind("block-in-4", "Finished contour", "With its *shadow*.", "construction", "tone"),
    NamedKind("sections-level", "Level sections", "Like *slices*.", "form", "tone"),
    NamedKind("measures", "Measures", "To *count* with.", "measure", "tone"),
    NamedKind("grid", "Grid", "In *squares*.", "measure", "tone"),
)
LINES = ("block-in-1", "sections-level", "measures", "grid")
"""Plate kinds of the form alone: one file a view, the same under every lamp."""
RULE_FACTS: dict[str, dict[str, object]] = {
    "side-lamp": {"family_rule_holds": True, "family_rule_share": 0.98},
    "window": {
        "family_rule_holds": False,
        "family_rule_share": 0.77,
        "family_rule_worst_x": 0.2,
        "family_rule_worst_y": 0.9,
    },
}
"""The low lamp has none: light and shadow nowhere meet under it."""


def prompts_for(lighting: Lighting) -> tuple[Prompt, ...]:
    """Two prompts that name the lighting, so that a page can be seen to show the right one."""
    first = Prompt(
        kind="first-look",
        title="First look",
        aim=f"Catch the whole under the {lighting.title.lower()} before any part of it.",
        minutes=5,
        medium="soft pencil, hand-sized",
        steps=(
            "Look for one minute without drawing, and say to yourself where it is lightest.",
            "Draw the outside as **one** shape, no larger than your palm.",
            "Fill all shadow with one flat grey.",
        ),
        look_for=("The tilt of the long axis.", "Where the shadow's edge is hardest."),
        self_check=("Turn both upside down: does the shadow keep its shape?", "Is one edge lost?"),
    )
    second = replace(
        first,
        kind="values",
        title="Values",
        minutes=40,
        medium="charcoal on grey paper",
        aim=f"Place every part of the {lighting.title.lower()} on a scale of five.",
        cautions=("Charcoal dust: wipe it up wet, do not blow.",),
    )
    return first, second


def _save(
    grey: np.ndarray[tuple[int, ...], np.dtype[np.uint8]],
    kind: str,
    study: Study,
    view: View,
    lighting: Lighting,
    folder: Path,
    thumb: bool = False,
    outlined: bool = False,
) -> PlateFile:
    stem = f"{study.name}/{view.number:03d}/{lighting.name}-{kind}"
    path = folder / f"{stem}.webp"
    path.parent.mkdir(parents=True, exist_ok=True)
    picture = Image.fromarray(grey)
    picture.save(path, lossless=True)
    small = folder / f"{stem}-small.webp"
    if thumb:
        picture.resize((max(1, grey.shape[1] * 2 // 5), max(1, grey.shape[0] * 2 // 5))).save(small)
    drawing = folder / f"{stem}-outlines.svg"
    if outlined:
        drawing.write_text(_outlines(grey.shape[1], grey.shape[0]), encoding="utf-8")
    return PlateFile(
        kind=kind,
        path=path,
        thumb=small if thumb else None,
        address=f"plates/{stem}.webp",
        thumb_address=f"plates/{stem}-small.webp" if thumb else None,
        drawing=drawing if outlined else None,
        drawing_address=f"plates/{stem}-outlines.svg" if outlined else None,
        width_px=grey.shape[1],
        height_px=grey.shape[0],
        bytes=path.stat().st_size,
        alt=f'{study.title}, view {view.number}, {lighting.title.lower()}, {kind}: an egg, light on the "near" side',
    )


def _save_lines(kind: str, study: Study, view: View, folder: Path, width: int) -> PlateFile:
    """Lines on paper, in no lighting's name."""
    stem = f"{study.name}/{view.number:03d}/{kind}"
    path, drawing = folder / f"{stem}.webp", folder / f"{stem}.svg"
    path.parent.mkdir(parents=True, exist_ok=True)
    grey = np.full((width * 5 // 4, width), 250, np.uint8)
    grey[:, width // 2] = 20
    Image.fromarray(grey).save(path, lossless=True)
    drawing.write_text(_outlines(width, width * 5 // 4), encoding="utf-8")
    return PlateFile(
        kind=kind,
        path=path,
        thumb=None,
        address=f"plates/{stem}.webp",
        thumb_address=None,
        drawing=drawing,
        drawing_address=f"plates/{stem}.svg",
        width_px=width,
        height_px=width * 5 // 4,
        bytes=path.stat().st_size,
        alt=f"{study.title}, view {view.number}, {kind}: lines alone",
    )


def _outlines(width: int, height: int) -> str:
    """Two lines and a number over the egg, in black."""
    egg = f"M{0.5 * width} {0.1 * height}A{0.34 * width} {0.4 * height} 0 1 1 {0.49 * width} {0.1 * height}Z"
    turn = f"M{0.5 * width} {0.1 * height}Q{0.62 * width} {0.5 * height} {0.5 * width} {0.9 * height}"
    stroke = f'fill="none" stroke="currentColor" stroke-width="{width / 400}"'
    lines = f'<path d="{egg}" {stroke}/><path d="{turn}" {stroke} stroke-dasharray="{width / 60}"/>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="124mm" height="{124 * height / width}mm" '
        f'viewBox="0 0 {width} {height}">{lines}'
        f'<text x="{0.4 * width}" y="{0.5 * height}" font-size="{width / 30}" font-family="sans-serif">2</text></svg>'
    )


def _egg(
    width: int, bearing_deg: float, level_deg: float, lamp: Lamp
) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    height = width * 5 // 4
    down, across = np.mgrid[0:height, 0:width]
    x = (across - width / 2 + 0.5) / (0.34 * width)
    z = (height * 0.5 - down - 0.5) / (0.40 * height)
    x = x * (1.0 + 0.18 * z)
    inside = x * x + z * z < 1.0
    depth = np.sqrt(np.clip(1.0 - x * x - z * z, 0.0, 1.0))
    turn, rise = math.radians(lamp.bearing_deg - bearing_deg), math.radians(lamp.elevation_deg - level_deg)
    light = x * math.sin(turn) * math.cos(rise) + depth * math.cos(turn) * math.cos(rise) + z * math.sin(rise)
    shade = np.where(inside, 30.0 + 215.0 * np.clip(light, 0.0, 1.0) ** 0.45, 120.0 - 40.0 * (z < -0.86))
    return shade.astype(np.uint8)
