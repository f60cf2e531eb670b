"""Every declared field is read by the code, refuses what it must, and starts from the default that the page shows."""

from pathlib import Path

import pytest

from builder.errors import StudyError
from builder.prompts.library import KINDS
from builder.study import schema
from builder.study.groups import Group, ListOf
from builder.study.node import Node
from builder.study.report import Report

OWN = "lightings: [{name: desk lamp, key: {bearing: 1, elevation: 2%s}%s}]\n"
FILL = OWN % ("", ", fill: {bearing: 1, elevation: 2%s}")
RIM = OWN % ("", ", rim: {bearing: 1, elevation: 2%s}")
NAMED = "lightings: [{lighting: side lamp%s}]\n"
VIEW = "views: [{number: 61, bearing: 0%s}]\n"
SET = "views: [{preset: front arc%s}]\n"

POINTS = "landmarks: {chin: [1, 2, 3], crown: [1, 2, 9]}\n"
ZONE = POINTS + "planes: {zone: {at: chin, radius: 5%s}}\n"


@pytest.fixture(autouse=True)
def drawings(project: Path) -> None:
    for name in ("levels.svg", "cuts.svg"):
        (project / "models" / "mask" / name).write_text("<svg/>")


# What stands before and after a change of one field, for every field of every group.
DRAWN = "title: By contours\nsections: {svg: levels.svg, heights: [0, 20, 30]%s}\n"
POINTED = "title: By contours\nsections: {contours: [{number: 1, height: 0, %s}]}\n"
CHANGES = {
    "STUDY": {
        "title": ("", "title: Other\nmesh: mask.ply\nunit: mm\nup: +z\nfront: -y\n"),
        "about": ("", "about: Words\n"),
        "credit": ("", "credit: Words\n"),
        "mesh": ("", "title: Closed-eyed mask\nmesh: ../mask/mask.ply\nunit: mm\nup: +z\nfront: -y\n"),
        "unit": ("", "title: Closed-eyed mask\nmesh: mask.ply\nunit: in\nup: +z\nfront: -y\n"),
        "up": ("", "title: Closed-eyed mask\nmesh: mask.ply\nunit: mm\nup: -z\nfront: -y\n"),
        "front": ("", "title: Closed-eyed mask\nmesh: mask.ply\nunit: mm\nup: +z\nfront: +y\n"),
        "height": ("", "height: 3\n"),
        "crease": ("", "crease: 41\n"),
        "turn": ("", "turn: 30\n"),
        "cut below": ("", "cut below: 4 cm\n"),
        "close holes": ("", "close holes: 120\n"),
        "smooth": ("", "smooth: light\n"),
        "stand": ("", "stand: {plinth: 3}\n"),
        "finish": ("", "finish: {model: 0.5}\n"),
        "views": ("", "views: [front arc]\n"),
        "lightings": ("", "lightings: [top lamp]\n"),
        "landmarks": ("", "landmarks: {chin: [1, 2, 3]}\n"),
        "prompts": ("", "prompts: {level: beginner}\n"),
        "picture": ("", "picture: {width: 100}\n"),
        "planes": ("", "planes: {mirrored: never}\n"),
        "guides": ("", "guides: {squares: 8}\n"),
        "sheets": ("", "sheets: {papers: [letter]}\n"),
        "cards": ("", "cards: {count: 9}\n"),
        "range": ("", "range: pencil\n"),
        "sections": ("", DRAWN % ""),
    },
    "SECTIONS": {
        "unit": (DRAWN % "", DRAWN % ", unit: cm"),
        "kind": (DRAWN % "", DRAWN % ", kind: relief, back: 0"),
        "back": (DRAWN % ", kind: relief, back: 0", DRAWN % ", kind: relief, back: 1"),
        "profile": (DRAWN % "", DRAWN % ", profile: [[0, 0], [1, 5]]"),
        "profile at": (DRAWN % "", DRAWN % ", profile at: 2"),
        "contours": (DRAWN % "", POINTED % "points: [[0, 0]]"),
        "svg": (DRAWN % "", DRAWN.replace("levels", "cuts") % ""),
        "heights": (DRAWN % "", DRAWN.replace("30", "31") % ""),
    },
    "CONTOUR": {
        "number": (POINTED % "points: [[0, 0]]", (POINTED % "points: [[0, 0]]").replace("number: 1", "number: 2")),
        "height": (POINTED % "points: [[0, 0]]", (POINTED % "points: [[0, 0]]").replace("height: 0", "height: 2")),
        "points": (POINTED % "points: [[0, 0]]", POINTED % "points: [[0, 1]]"),
        "rings": (POINTED % "points: [[0, 0]]", POINTED % "rings: [[[0, 0]], [[1, 1]]]"),
    },
    "STAND": {"plinth": ("", "stand: {plinth: 18}\n"), "margin": ("", "stand: {margin: 15}\n")},
    "FINISH": {key: ("", f"finish: {{{key}: 0.11}}\n") for key in ("model", "ground", "backdrop")},
    "PRESET_VIEWS": {
        "preset": (SET % "", SET.replace("front arc", "low circle") % ""),
        "distance": (SET % "", SET % ", distance: 5 sizes"),
    },
    "OWN_VIEW": {
        "number": (VIEW % "", VIEW.replace("61", "62") % ""),
        "bearing": (VIEW % "", VIEW.replace("bearing: 0", "bearing: 1") % ""),
        "eye level": (VIEW % "", VIEW % ", eye level: 1"),
        "distance": (VIEW % "", VIEW % ", distance: 5 sizes"),
        "title": (VIEW % "", VIEW % ", title: Words"),
    },
    "NAMED_LIGHTING": {
        "lighting": (NAMED % "", NAMED.replace("side", "top") % ""),
        "name": (NAMED % "", NAMED % ", name: other"),
        "title": (NAMED % "", NAMED % ", title: Words"),
        "about": (NAMED % "", NAMED % ", about: Words"),
        "bearing": (NAMED % "", NAMED % ", bearing: 0"),
        "elevation": (NAMED % "", NAMED % ", elevation: 0"),
        "distance": (NAMED % "", NAMED % ", distance: 5 sizes"),
        "ambient": (NAMED % "", NAMED % ", ambient: 0"),
    },
    "OWN_LIGHTING": {
        "name": (OWN % ("", ""), OWN.replace("desk lamp", "floor lamp") % ("", "")),
        "title": (OWN % ("", ""), OWN % ("", ", title: Words")),
        "about": (OWN % ("", ""), OWN % ("", ", about: Words")),
        "key": (OWN % ("", ""), OWN % (", disc: 3 cm", "")),
        "fill": (OWN % ("", ""), FILL % ""),
        "rim": (OWN % ("", ""), RIM % ""),
        "ambient": (OWN % ("", ""), OWN % ("", ", ambient: 0")),
    },
    "PROMPTS": {"kinds": ("", "prompts: {kinds: [values]}\n"), "level": ("", "prompts: {level: advanced}\n")},
    "ZONE": {
        "at": (ZONE % "", ZONE.replace("at: chin", "at: crown") % ""),
        "radius": (ZONE % "", ZONE.replace("radius: 5", "radius: 6") % ""),
        "times": (ZONE % "", ZONE % ", times: 2"),
    },
    "PLANES": {
        "counts": ("", "planes: {counts: [5, 6, 7]}\n"),
        "zone": (POINTS, ZONE % ""),
        "mirrored": ("", "planes: {mirrored: always}\n"),
    },
    "GUIDES": {
        "unit": (POINTS, POINTS + "guides: {unit: [chin, crown]}\n"),
        "tilts": (POINTS, POINTS + "guides: {tilts: {axis: [chin, crown]}}\n"),
        "sections": ("", "guides: {sections: 9}\n"),
        "slant": ("", "guides: {slant: 30}\n"),
        "squares": ("", "guides: {squares: 8}\n"),
    },
    "SHEETS": {
        "papers": ("", "sheets: {papers: [a4, a3]}\n"),
        "height": ("", "sheets: {height: 150}\n"),
        "marks": ("", "sheets: {marks: sight-size}\n"),
    },
    "CARDS": {
        "count": ("", "cards: {count: 9}\n"),
        "kind": ("", "cards: {kind: outer}\n"),
        "paper": ("", "cards: {paper: letter}\n"),
        "card": ("", "cards: {card: 2}\n"),
        "height": ("", "cards: {height: 30 cm}\n"),
        "bridge": ("", "cards: {bridge: 8}\n"),
        "cover": ("", "cards: {cover: 3}\n"),
    },
    "PICTURE": {key: ("", f"picture: {{{key}: 100}}\n") for key in ("width", "height")},
}
for group, frame in (("KEY", (OWN % ("%s", "")).replace("%%", "%")), ("FILL", FILL), ("RIM", RIM)):
    CHANGES[group] = {
        "bearing": (frame % "", (frame % "").replace("bearing: 1", "bearing: 5")),
        "elevation": (frame % "", (frame % "").replace("elevation: 2", "elevation: 5")),
        "distance": (frame % "", frame % ", distance: 5 sizes"),
        "disc": (frame % "", frame % ", disc: 3 cm"),
        "rectangle": (frame % "", frame % ", rectangle: [3 cm, 3 cm]"),
    }
    if group != "KEY":
        CHANGES[group]["stops"] = (frame % "", frame % ", stops: -1")

GROUPS = {name: value for name, value in vars(schema).items() if isinstance(value, Group)}
FIELDS = [(name, field.key) for name, group in GROUPS.items() for field in group.fields]


@pytest.mark.parametrize(("group", "key"), FIELDS)
def test_changing_a_field_changes_the_study(group, key, read):
    # a field that no code reads would leave the study as it was
    before, after = CHANGES[group][key]
    assert read(before) != read(after)


@pytest.mark.parametrize(("group", "key"), FIELDS)
def test_no_field_takes_nothing_or_a_value_of_the_wrong_shape(group, key):
    # an empty value, and a group inside a list inside a list, fit nowhere
    kind = GROUPS[group].field(key).kind
    odd = Node(1, "list", items=(Node(2, "list", items=(Node(3, "mapping"),) * 2),) * 2)
    for node in (Node(1, "scalar"), odd):
        report = Report("study.yml")
        kind.read(node, f"`{key}`", report)
        assert report.problems()


@pytest.mark.parametrize(("group", "key"), FIELDS)
def test_every_field_says_what_it_takes_and_means(group, key):
    # the reference page has no empty cell
    field = GROUPS[group].field(key)
    assert field.kind.takes and field.meaning.endswith(".")
    assert field.required or field.otherwise or field.default is not None


def test_the_prompts_on_offer_are_those_that_the_prompts_stage_writes():
    # the description cannot import a later stage, so the two lists are held together here
    assert tuple(kind.replace(" ", "-") for kind in schema.PROMPT_KINDS) == tuple(KINDS)


def test_every_group_reads_each_key_once():
    for group in GROUPS.values():
        assert len(set(group.names())) == len(group.names())


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("crease: -0.1", 6),
        ("crease: 180.1", 6),
        ("finish: {ground: 0.009}", 6),
        ("finish: {ground: 0.951}", 6),
        ("picture: {width: 31}", 6),
        ("picture: {height: 4001}", 6),
        ("height: 0.9 mm", 6),
        ("height: 100.1 m", 6),
        ("views:\n  - {number: 60, bearing: 0}", 7),
        ("views:\n  - {number: 61, bearing: 360.5}", 7),
        ("views:\n  - {number: 61, bearing: 0, eye level: -80.1}", 7),
        ("lightings:\n  - {lighting: side lamp, elevation: -45.1}", 7),
        ("lightings:\n  - {lighting: side lamp, elevation: 90.1}", 7),
        ("lightings:\n  - {lighting: side lamp, ambient: 2.1}", 7),
        ("views: []", 6),
        ("lightings: []", 6),
        ("prompts: {kinds: []}", 6),
        ("sheets: {papers: []}", 6),
        ("sheets: {height: 39.9}", 6),
        ("cards: {count: 1}", 6),
        ("cards: {card: 7}", 6),
    ],
)
def test_values_just_past_a_limit_are_refused_at_their_line(text, line, read):
    with pytest.raises(StudyError) as caught:
        read(text + "\n")
    assert [problem.where for problem in caught.value.problems] == [f"models/mask/study.yml:{line}"]


@pytest.mark.parametrize(
    "text",
    [
        "crease: 0",
        "crease: 180",
        "finish: {ground: 0.01, model: 0.95}",
        "picture: {width: 32, height: 4000}",
        "height: 1",
        "height: 100 m",
        "views: [{number: 61, bearing: -360, eye level: -80}, {number: 999, bearing: 360, eye level: 80}]",
        "lightings: [{lighting: side lamp, elevation: 90, ambient: 2}]",
        "stand: {}",
        "landmarks: {}",
    ],
)
def test_values_at_a_limit_are_taken(text, read):
    read(text + "\n")


def test_a_list_of_fixed_length_with_a_bad_item_gives_nothing():
    # half a point would be a wrong point
    kind = schema.STUDY.field("landmarks").kind
    assert isinstance(kind.row, ListOf)
    items = (Node(1, "scalar", "1", 1), Node(1, "scalar", "x", "x"), Node(1, "scalar", "3", 3))
    assert kind.row.read(Node(1, "list", items=items), "`chin`", Report("study.yml")) is None
