import dataclasses
from pathlib import Path

import pytest

from builder.errors import StudyError
from builder.study.description import (
    Finish,
    Lamp,
    Landmark,
    Length,
    Lighting,
    MeshSource,
    Picture,
    PromptChoice,
    Stand,
    View,
)
from builder.study.read import find_studies, read_study

FULL = """\
title: "Mask: a study"
about: >-
  Two lines
  folded into one.
credit: Made by the class.
mesh: mask.ply
unit: cm
up: +y
front: +z
height: 10.9 in
crease: 35.5
stand: {plinth: 1.8 cm, margin: 15}
finish: {model: 0.7, ground: 0.35, backdrop: 0.2}
views:
  - {number: 99, bearing: 270, eye level: -35, distance: 3.5 sizes, title: From below}
  - preset: three heights
    distance: 1.2 m
  - {number: 61, bearing: -180}
lightings:
  - north window
  - {lighting: Side lamp, bearing: 280, ambient: -3, name: other side, title: Other side}
  - name: desk lamp
    title: The lamp at home
    about: One lamp.
    key: {bearing: -40, elevation: 45, distance: 90 cm, disc: 12 cm}
    fill: {bearing: 60, elevation: 10, rectangle: [0.5 sizes, 1 sizes]}
    rim: {bearing: 150, elevation: 50, stops: 1}
    ambient: -6
landmarks:
  nose tip: [0, -96.2, 131]
  chin: [-0.9, -76.3, 45.3]
prompts: {kinds: [planes, First look], level: advanced}
picture: {width: 600, height: 750}
"""


def test_a_full_study_is_read_value_by_value(read, project):
    # every field of the format, against values written down by hand
    study = read(FULL)
    folder = project / "models" / "mask"
    assert (study.name, study.path) == ("mask", folder / "study.yml")
    assert (study.title, study.about) == ("Mask: a study", "Two lines folded into one.")
    assert study.credit == "Made by the class."
    assert study.mesh == MeshSource(folder / "mask.ply", "cm", "+y", "+z", 276.86, 35.5)
    assert study.stand == Stand(18.0, 15.0)
    assert study.finish == Finish(0.7, 0.35, 0.2)
    assert [view.number for view in study.views] == [*range(21, 30), 61, 99]
    assert study.view(99) == View(99, -90.0, -35.0, Length(3.5, in_sizes=True), "From below")
    assert study.view(61) == View(61, 180.0, 0.0, Length(4.0, in_sizes=True), "")
    assert {study.view(number).distance for number in range(21, 30)} == {Length(1200.0)}
    assert [lighting.name for lighting in study.lightings] == ["north-window", "other-side", "desk-lamp"]
    assert study.lightings[1].key.bearing_deg == -80.0
    assert (study.lightings[1].title, study.lightings[1].ambient_stops) == ("Other side", -3.0)
    disc, sizes = Length(120.0), Length(4.0, in_sizes=True)
    assert study.lightings[2] == Lighting(
        "desk-lamp",
        "The lamp at home",
        key=Lamp(-40.0, 45.0, Length(900.0), "disc", disc, disc),
        fill=Lamp(60.0, 10.0, sizes, "rectangle", Length(0.5, True), Length(1.0, True), -2.0),
        rim=Lamp(150.0, 50.0, sizes, "disc", Length(0.3, True), Length(0.3, True), 1.0),
        ambient_stops=-6.0,
        about="One lamp.",
    )
    assert study.landmarks == (Landmark("nose tip", (0.0, -96.2, 131.0)), Landmark("chin", (-0.9, -76.3, 45.3)))
    assert study.prompts == PromptChoice(("planes", "first-look"), "advanced")
    assert study.picture == Picture(600, 750)


def test_a_study_of_the_needed_fields_alone_has_the_defaults(read):
    # what the reference page says holds without a field
    study = read("")
    assert study.stand == Stand() and study.finish == Finish() and study.picture == Picture()
    assert study.mesh.height_mm is None and study.mesh.crease_deg == 40.0
    assert [view.number for view in study.views] == list(range(1, 13))
    assert [lighting.title for lighting in study.lightings] == ["Three-quarter lamp", "Side lamp", "North window"]
    assert study.landmarks == () and study.about == "" and study.credit == ""
    assert study.prompts == PromptChoice(
        (
            "first-look",
            "measures",
            "block-in",
            "shadow-shapes",
            "values",
            "planes",
            "cross-contours",
            "negative-shapes",
            "memory",
            "long-study",
        ),
        "steady",
    )


def test_height_makes_the_unit_needless(read):
    # a mesh scaled to its true height has no use for a unit
    study = read("title: Mask\nmesh: mask.ply\nup: +z\nfront: -y\nheight: 276\n")
    assert (study.mesh.unit, study.mesh.height_mm) == ("mm", 276.0)


def test_a_study_turns_into_plain_dictionaries(read):
    # the store hashes a study through this
    plain = dataclasses.asdict(read(FULL))
    assert plain["lightings"][2]["fill"]["width"] == {"value": 0.5, "in_sizes": True}
    assert plain["views"][-1]["number"] == 99


@pytest.mark.parametrize("encoded", [b"\xef\xbb\xbf" + FULL.encode(), FULL.replace("\n", "\r\n").encode()])
def test_byte_order_marks_and_windows_line_ends_change_nothing(encoded, read, project):
    # files come from every kind of editor
    want = read(FULL)
    want.path.write_bytes(encoded)
    assert read_study(want.path, project) == want


def test_line_numbers_count_as_an_editor_does_with_windows_line_ends(project):
    path = project / "models" / "mask" / "study.yml"
    path.write_bytes(b"title: Mask\r\n\r\nmesh: mask.ply\r\nunit: feet\r\nup: +z\r\nfront: -y\r\n")
    with pytest.raises(StudyError, match=r"^models/mask/study\.yml:4: `unit` is `feet`"):
        read_study(path, project)


@pytest.mark.parametrize("word", ["0.9 sizes", "101 sizes", "9.99", "9.9 mm", "1000.1 m", "4 sises", "-4 sizes", "1e2"])
def test_a_distance_that_cannot_be_is_refused(word, read):
    with pytest.raises(StudyError, match=r":7: `distance` is `"):
        read(f"views:\n  - {{preset: front arc, distance: {word}}}\n")


@pytest.mark.parametrize(
    ("word", "length"),
    [
        ("1 sizes", Length(1.0, True)),
        ("1 size", Length(1.0, True)),
        ("100sizes", Length(100.0, True)),
        ("10", Length(10.0)),
        ("0.3 m", Length(300.0)),
        ("27.6 CM", Length(276.0)),
        ("1 in", Length(25.4)),
    ],
)
def test_a_distance_is_read_exactly(word, length, read):
    # 27.6 cm is 276 mm and not 275.99999999999994
    study = read(f"views:\n  - {{preset: front arc, distance: {word}}}\n")
    assert study.views[0].distance == length


def test_several_passes_report_in_one_go_and_by_line(read):
    # a wrong value, a clash and a missing file are found in one run although each pass finds one of them
    with pytest.raises(StudyError) as caught:
        read(
            "title: Mask\nmesh: no.ply\nunit: mm\nup: +z\nfront: -z\ncrease: 200\n"
            "views: [front arc, {number: 61, bearing: x}, {number: 61, bearing: 0}]\n"
            "lightings: [side lamp, side lamp]\n"
        )
    assert [problem.where.rpartition(":")[2] for problem in caught.value.problems] == ["2", "5", "6", "7", "7", "8"]


def test_a_folder_named_like_no_address_is_refused(project):
    folder = project / "models" / "Big Mask"
    (project / "models" / "mask").rename(folder)
    (folder / "study.yml").write_text("title: Mask\nmesh: mask.ply\nunit: mm\nup: +z\nfront: -y\n")
    with pytest.raises(StudyError) as caught:
        read_study(folder / "study.yml", project)
    assert str(caught.value) == (
        "models/Big Mask/study.yml: the study's folder is named `Big Mask`; it takes 1 to 40 small letters a-z, digits "
        "and hyphens, since it stands in web addresses; rename it to `big-mask`."
    )


def test_a_missing_file_and_a_folder_are_one_sentence(project):
    with pytest.raises(StudyError) as caught:
        read_study(project / "models" / "mask" / "study.yml", project)
    assert str(caught.value) == (
        "models/mask/study.yml: there is no such file; every study has a study.yml in its folder."
    )
    with pytest.raises(StudyError) as caught:
        read_study(project / "models" / "mask", project)
    assert str(caught.value) == "models/mask: this is a folder; a study is a text file named study.yml."


def test_a_file_of_many_bytes_is_refused_unread(project):
    path = project / "models" / "mask" / "study.yml"
    path.write_bytes(b"#" * 1_100_000)
    with pytest.raises(StudyError) as caught:
        read_study(path, project)
    assert str(caught.value) == (
        "models/mask/study.yml: the file has 1,100,000 bytes; a study file has at most 262,144; "
        "keep meshes and long texts in files of their own."
    )


def test_deep_nesting_is_refused_before_it_can_overflow(project):
    # far more levels than Python's own stack would bear
    path = project / "models" / "mask" / "study.yml"
    for deep in ("[" * 50_000, "- " * 50_000 + "x", "{a: " * 30_000):
        path.write_text("title: " + deep if deep[0] != "-" else deep)
        with pytest.raises(StudyError, match="nested too deep"):
            read_study(path, project)


def test_a_path_outside_the_project_is_named_whole(project, tmp_path):
    stray = tmp_path / "stray" / "study.yml"
    with pytest.raises(StudyError) as caught:
        read_study(stray, project)
    assert caught.value.problems[0].where == stray.as_posix()


class TestFindStudies:
    def test_they_come_by_name_and_other_folders_are_left_alone(self, read, project):
        study = read("")
        for name in ("solids", ".hidden", "empty"):
            (project / "models" / name).mkdir()
        (project / "models" / "notes.txt").write_text("")
        for file in ("study.yml", "mask.ply"):
            (project / "models" / "solids" / file).write_bytes((study.path.parent / file).read_bytes())
        assert [found.name for found in find_studies(project / "models", project)] == ["mask", "solids"]

    def test_the_problems_of_all_files_come_together(self, project):
        for name in ("b", "a"):
            (project / "models" / name).mkdir()
            (project / "models" / name / "study.yml").write_text("title: 3\n")
        (project / "models" / "mask" / "study.yaml").write_text("")
        with pytest.raises(StudyError) as caught:
            find_studies(project / "models", project)
        files = [problem.where.partition(":")[0] for problem in caught.value.problems]
        assert files == [*["models/a/study.yml"] * 5, *["models/b/study.yml"] * 5, "models/mask/study.yaml"]

    def test_no_study_at_all_is_said(self, project):
        with pytest.raises(StudyError) as caught:
            find_studies(project / "models", project)
        assert str(caught.value) == (
            "models: there is no study here; a study is a folder in it that holds study.yml and a mesh; "
            "start one from a mesh with `castwalk start`."
        )

    def test_no_folder_at_all_is_said(self, tmp_path: Path):
        with pytest.raises(StudyError) as caught:
            find_studies(tmp_path / "models", tmp_path)
        assert str(caught.value) == (
            "models: there is no such folder; a project keeps its studies in the folder models."
        )
