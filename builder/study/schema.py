"""The fields of study.yml: what each takes, what it means, and what holds without it.

The reference page for tutors is generated from this module; nothing else lists the fields.
"""

from __future__ import annotations

from typing import get_args

from builder.study.card_fields import CARDS
from builder.study.cleaning_fields import CLEANING
from builder.study.description import Axis, Finish, Guides, MeshSource, Picture, PlaneChoice, Range, Study, Unit, Zone
from builder.study.groups import Field, Group, ListOf, NamedRows, Variant
from builder.study.lightings import LIGHTINGS, sizes
from builder.study.presets import LAST_NUMBER, LAST_PRESET_NUMBER, PRESETS, USUAL_DISTANCE
from builder.study.report import listed
from builder.study.section_fields import SECTIONS
from builder.study.sheet_fields import SHEETS
from builder.study.values import Choice, Extent, Name, Number, Text

PROMPT_KINDS = (
    "first look",
    "measures",
    "block-in",
    "shadow shapes",
    "values",
    "planes",
    "cross-contours",
    "negative shapes",
    "memory",
    "long study",
)
MIRRORED = ("when symmetrical", "always", "never")
LEVELS = ("beginner", "steady", "advanced")
MESH_ENDINGS = (".ply", ".obj", ".stl", ".off", ".glb", ".gltf", ".3mf")

AXIS = Choice(get_args(Axis))
UNIT = Choice(get_args(Unit))
RANGE = Choice(get_args(Range))
_TITLE = Text(120)
_BEARING = Number(-360, 360, "degrees")
_ELEVATION = Number(-45, 90, "degrees")
_DISTANCE = Extent(10, 1_000_000, sizes=(1.0, 100.0))
_LAMP_SIZE = Extent(1, 100_000, sizes=(0.01, 10.0))
_REFLECTANCE = Number(0.01, 0.95)
_PIXELS = Number(32, 4000, "pixels", whole=True)
_AMBIENT = Number(-12, 2, "stops")
_LAMP_MEANING = "Round the model like a view's bearing: 0 in front, positive towards the model's left."

STAND = Group(
    "the stand",
    (
        Field(
            "plinth",
            Extent(0, 1000),
            "Thickness of the slab under the model; 0 stands it on the ground itself.",
            None,
            "in proportion: 18 mm under a model of 300 mm",
        ),
        Field(
            "margin", Extent(0, 1000), "How far the slab reaches past the model.", None, "in proportion to the model"
        ),
    ),
)

FINISH = Group(
    "the finish",
    (
        Field("model", _REFLECTANCE, "Share of light the model reflects; fresh plaster is about 0.8.", Finish().model),
        Field("ground", _REFLECTANCE, "The same for the table it stands on.", Finish().ground),
        Field("backdrop", _REFLECTANCE, "The same for the wall behind it.", Finish().backdrop),
    ),
)

_VIEW_DISTANCE = Field(
    "distance",
    _DISTANCE,
    "From the eye to the model's middle; one size is the model's greatest extent.",
    USUAL_DISTANCE,
)

_PRESET_CHOICE = Choice(tuple(preset.name for preset in PRESETS), "one of the sets")

PRESET_VIEWS = Group(
    "a set of views",
    (
        Field(
            "preset",
            _PRESET_CHOICE,
            "A set of views with fixed numbers, listed below. Alone in its line it needs no `preset:`.",
            required=True,
        ),
        _VIEW_DISTANCE,
    ),
)

_NUMBER = Number(LAST_PRESET_NUMBER + 1, LAST_NUMBER, whole=True, too_low="lower numbers belong to the sets of views")

OWN_VIEW = Group(
    "a view",
    (
        Field(
            "number",
            _NUMBER,
            "The view's number. It never changes once students have it; lower ones belong to the sets.",
            required=True,
        ),
        Field(
            "bearing", _BEARING, "Where the eye stands: 0 in front, positive towards the model's left.", required=True
        ),
        Field("eye level", Number(-80, 80, "degrees"), "Above (+) or below (-) the model's middle.", 0.0),
        _VIEW_DISTANCE,
        Field("title", _TITLE, "A few words for lists of views.", "", "none"),
    ),
)


def _lamp(noun: str, stops: Field | None) -> Group:
    fields = (
        Field("bearing", _BEARING, _LAMP_MEANING, required=True),
        Field("elevation", _ELEVATION, "Above (+) or below (-) the model's middle.", required=True),
        Field("distance", _DISTANCE, "From the lamp to the model's middle.", sizes(4)),
        Field(
            "disc", _LAMP_SIZE, "A round lamp: its diameter. The larger, the softer the shadows.", None, "`0.3 sizes`"
        ),
        Field(
            "rectangle",
            ListOf(_LAMP_SIZE, 2, 2, "lengths, width and height"),
            "A window or softbox instead of a disc.",
            None,
            "none",
        ),
    )
    return Group(noun, (*fields, stops) if stops else fields)


def _stops(default: float) -> Field:
    meaning = "Strength against the key at the model's middle: -1 is half of it, -2 a quarter."
    return Field("stops", Number(-12, 3, "stops"), meaning, default)


KEY = _lamp("the key lamp", None)
FILL = _lamp("the fill lamp", _stops(-2.0))
RIM = _lamp("the rim lamp", _stops(0.0))

_LIGHTING_NAME = Name(as_slug=True)
_ABOUT_LIGHTING = Text(2000, lines=True)
_LIGHTING_CHOICE = Choice(tuple(lighting.title.lower() for lighting in LIGHTINGS), "one of the lightings", as_slug=True)

NAMED_LIGHTING = Group(
    "an adjusted lighting",
    (
        Field(
            "lighting",
            _LIGHTING_CHOICE,
            "A lighting of the list below to start from. Alone in its line it needs no `lighting:`.",
            required=True,
        ),
        Field("name", _LIGHTING_NAME, "A name of its own, needed to use one lighting twice.", None, "the lighting's"),
        Field("title", _TITLE, "What the student reads.", None, "the lighting's"),
        Field("about", _ABOUT_LIGHTING, "What it teaches.", None, "the lighting's"),
        Field("bearing", _BEARING, "Moves the key lamp. " + _LAMP_MEANING, None, "the lighting's"),
        Field("elevation", _ELEVATION, "Raises or lowers the key lamp.", None, "the lighting's"),
        Field("distance", _DISTANCE, "Moves the key lamp nearer or farther.", None, "the lighting's"),
        Field("ambient", _AMBIENT, "Light from all round against the key.", None, "the lighting's"),
    ),
)

OWN_LIGHTING = Group(
    "a lighting",
    (
        Field("name", _LIGHTING_NAME, "Names it in addresses and files.", required=True),
        Field("title", _TITLE, "What the student reads.", None, "the name"),
        Field("about", _ABOUT_LIGHTING, "What it teaches.", "", "none"),
        Field("key", KEY, "The main lamp; its strength is the measure for all others.", required=True),
        Field("fill", FILL, "A weaker lamp that opens the shadows.", None, "none"),
        Field("rim", RIM, "A lamp behind the model that lights its edge.", None, "none"),
        Field("ambient", _AMBIENT, "Light from all round, on an open, level surface, against the key.", -4.0),
    ),
)

VIEWS = Variant("preset", _PRESET_CHOICE, PRESET_VIEWS, OWN_VIEW)
LIGHTING = Variant("lighting", _LIGHTING_CHOICE, NAMED_LIGHTING, OWN_LIGHTING)

_PROMPT = Choice(PROMPT_KINDS, "one of the prompts", as_slug=True)

PROMPTS = Group(
    "the prompts",
    (
        Field(
            "kinds",
            ListOf(_PROMPT, 1, len(PROMPT_KINDS), f"prompts out of {listed(PROMPT_KINDS)}", once=True),
            "Which tasks are offered, in this order.",
            tuple(kind.replace(" ", "-") for kind in PROMPT_KINDS),
            "all of them",
        ),
        Field("level", Choice(LEVELS), "How much the tasks ask for.", "steady"),
    ),
)

PICTURE = Group(
    "the picture",
    (
        Field("width", _PIXELS, "Width of every plate.", Picture().width_px),
        Field("height", _PIXELS, "Height of every plate.", Picture().height_px),
    ),
)

_LANDMARK = Name()
_PAIR = ListOf(_LANDMARK, 2, 2, "names of landmarks", once=True)

_ZONE_TIMES = Zone.__dataclass_fields__["times"].default

ZONE = Group(
    "the zone",
    (
        Field("at", _LANDMARK, "The landmark in its middle.", required=True),
        Field("radius", Extent(1, 100_000), "How far it reaches from there.", required=True),
        Field(
            "times",
            Number(1, 20),
            "How much more its surface counts than the rest.",
            _ZONE_TIMES,
        ),
    ),
)

PLANES = Group(
    "the planes",
    (
        Field(
            "counts",
            ListOf(Number(4, 400, whole=True), 3, 3, "numbers, from few planes to many"),
            "How many planes the model is broken into: big ones, middle ones, small ones.",
            PlaneChoice().counts,
        ),
        Field("zone", ZONE, "A part that gets more than its share of small planes, such as the face.", None, "none"),
        Field(
            "mirrored",
            Choice(MIRRORED),
            "Whether both halves get the same planes, mirrored from left to right.",
            MIRRORED[0],
        ),
    ),
)

GUIDES = Group(
    "the guides",
    (
        Field("unit", _PAIR, "Two landmarks whose distance is the unit that others are compared with.", None, "none"),
        Field(
            "tilts",
            NamedRows(_PAIR, 8, "[landmark, landmark]"),
            "The main lines, under the names students know them by; the first is the one to check first.",
            (),
            "none",
        ),
        Field(
            "sections",
            Extent(0.5, 100_000),
            "From one cross-contour to the next.",
            None,
            "a fifteenth of the model's height",
        ),
        Field(
            "slant",
            Number(10, 80, "degrees"),
            "How far the slanting family of cross-contours leans from level.",
            Guides().oblique_deg,
        ),
        Field("squares", Number(2, 24, whole=True), "Squares of the grid across the picture.", Guides().squares),
    ),
)

STUDY = Group(
    "a study",
    (
        Field("title", _TITLE, "The study's name for students.", required=True),
        Field("about", Text(2000, lines=True), "A sentence or two for the list of studies.", "", "none"),
        Field("credit", Text(1000, lines=True), "Who made the model, and under which licence.", "", "none"),
        Field(
            "mesh",
            Text(240, noun="the name of a file"),
            f"The model's file in this folder, ending in {', '.join(MESH_ENDINGS[:-1])} or {MESH_ENDINGS[-1]}.",
            required=True,
            unless="sections",
        ),
        Field("sections", SECTIONS, "The model by its contours, in place of a mesh.", None, "the mesh"),
        Field("unit", UNIT, "The unit of the file's numbers.", None, "needed unless `height` is given"),
        Field("up", AXIS, "The axis of the file that points up.", required=True, unless="sections"),
        Field("front", AXIS, "The axis of the file that points out of its front.", required=True, unless="sections"),
        Field("height", Extent(1, 100_000), "True height of the model, to which it is scaled.", None, "the file's own"),
        Field(
            "crease",
            Number(0, 180, "degrees"),
            "Edges that bend more than this stay sharp; the rest is shaded smooth.",
            MeshSource.__dataclass_fields__["crease_deg"].default,
        ),
        Field(
            "turn",
            Number(-180, 180, "degrees"),
            "Where the true front lies when it is between the axes of the file: its bearing, positive towards the "
            "model's left. The model is turned so that this is in front.",
            MeshSource.__dataclass_fields__["turn_deg"].default,
        ),
        *CLEANING,
        Field("stand", STAND, "The slab under the model.", None, "in proportion to the model"),
        Field("finish", FINISH, "How light the model and its room are.", None, "plaster on a grey table"),
        Field(
            "views", ListOf(VIEWS, 1, 200, "views or sets of views"), "Where the eye stands.", None, "`twelve round`"
        ),
        Field(
            "lightings",
            ListOf(LIGHTING, 1, 24, "lightings"),
            "The lamps under which every view is shown, in this order.",
            None,
            "`three-quarter lamp`, `side lamp` and `north window`",
        ),
        Field(
            "landmarks",
            NamedRows(ListOf(Number(-100_000, 100_000, "mm"), 3, 3, "numbers, x, y and z"), 100, "[x, y, z]"),
            "Points on the model that are measured in each view, in mm: x to the model's left, y to its back, z up "
            "from its base, with x and y 0 under its centre.",
            (),
            "none",
        ),
        Field("planes", PLANES, "The planes the model is broken into.", None, "14, 40 and 100"),
        Field("guides", GUIDES, "What the form is measured by.", None, "the silhouette alone"),
        Field("sheets", SHEETS, "The views on paper.", None, "A4, with the grid"),
        Field("cards", CARDS, "Section cards for building the model in clay.", None, "15 contours on A4"),
        Field("prompts", PROMPTS, "The drawing tasks.", None, "all, at a steady level"),
        Field("picture", PICTURE, "Size of the plates.", None, "1200 by 1500 pixels"),
        Field(
            "range",
            RANGE,
            "The values of the tone plate and the value studies. `full` paints the light as it is, between black and "
            "white; `pencil` brings it between soft graphite, value 2, and bare paper, value 9.3, and on every surface "
            "keeps the shadows darker than the lights.",
            Study.__dataclass_fields__["range"].default,
        ),
    ),
)

DEFAULT_VIEWS = ("twelve round",)
DEFAULT_LIGHTINGS = ("three-quarter-lamp", "side-lamp", "north-window")
