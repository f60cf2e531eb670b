import re

import pytest
import yaml

from builder.errors import StudyError
from builder.study.presets import LAST_NUMBER, LAST_PRESET_NUMBER
from builder.study.read import find_studies, read_study
from builder.study.start import start_study


def tree(folder):
    return {path.relative_to(folder).as_posix(): path.is_file() and path.read_bytes() for path in folder.rglob("*")}


@pytest.fixture
def scan(tmp_path):
    path = tmp_path / "My scan (2).PLY"
    path.write_bytes(b"ply\nformat ascii 1.0\n")
    return path


@pytest.fixture
def new(tmp_path):
    folder = tmp_path / "class"
    folder.mkdir()
    return folder


def test_the_started_study_is_valid_and_says_what_was_asked(new, scan):
    path = start_study(new, "little-owl", scan, 'Owl: "the first" #1', "cm", "+y", "+z", 120.5)
    study = read_study(path, new)
    assert path == new / "models" / "little-owl" / "study.yml"
    assert (study.name, study.title) == ("little-owl", 'Owl: "the first" #1')
    assert (study.mesh.unit, study.mesh.up, study.mesh.front, study.mesh.height_mm) == ("cm", "+y", "+z", 120.5)
    assert study.mesh.path.read_bytes() == scan.read_bytes()
    assert find_studies(new / "models", new) == (study,)


def test_the_title_is_the_name_unless_given(new, scan):
    assert read_study(start_study(new, "little-owl", scan, unit="mm"), new).title == "Little owl"


def test_remarked_lines_are_valid_once_the_mark_is_taken_off(new, scan):
    # the examples in the remarks must not lead into a mistake
    path = start_study(new, "owl", scan, unit="mm", height_mm=276)
    text = path.read_text(encoding="utf-8")
    opened = re.sub(r"^(\s*)# (?=- |about:|credit:|landmarks:|  nose|range:)", r"\1", text, flags=re.MULTILINE)
    assert opened.count("\n# ") == text.count("\n# ") - 5
    path.write_text(opened, encoding="utf-8")
    study = read_study(path, new)
    assert study.view(61) is not None and study.landmarks[0].name == "nose tip" and study.credit and study.about
    assert study.range == "pencil"
    assert f"{LAST_PRESET_NUMBER + 1} to {LAST_NUMBER}" in text


def test_a_project_is_laid_out_round_the_first_study_only(new, scan):
    start_study(new, "owl", scan, unit="mm")
    first = tree(new)
    assert set(first) == {
        "mkdocs.yml",
        "content",
        "content/index.md",
        "models",
        "models/owl",
        "models/owl/owl.ply",
        "models/owl/study.yml",
    }
    (new / "mkdocs.yml").write_text("site_name: Ours\n")
    start_study(new, "hare", scan, unit="mm")
    assert (new / "mkdocs.yml").read_text() == "site_name: Ours\n"
    assert (new / "content" / "index.md").read_bytes() == first["content/index.md"]


def test_a_welcome_page_that_exists_is_kept(new, scan):
    (new / "content").mkdir()
    (new / "content" / "index.md").write_text("# Ours\n")
    start_study(new, "owl", scan, unit="mm")
    assert (new / "content" / "index.md").read_text() == "# Ours\n" and (new / "mkdocs.yml").exists()


def test_the_new_site_has_the_settings_that_work_from_a_folder(new, scan):
    # pages must open by double click and load nothing from elsewhere
    start_study(new, "owl", scan, unit="mm")
    site = yaml.safe_load((new / "mkdocs.yml").read_text(encoding="utf-8"))
    assert site["use_directory_urls"] is False and site["theme"] == {"name": "material", "font": False}
    assert site["plugins"] == ["castwalk", "search", "offline"] and site["docs_dir"] == "content"


def test_the_same_start_writes_the_same_bytes(tmp_path, scan):
    trees = []
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        start_study(tmp_path / name, "owl", scan, unit="mm")
        trees.append(tree(tmp_path / name))
    assert trees[0] == trees[1]


def test_nothing_that_exists_is_overwritten(new, scan):
    start_study(new, "owl", scan, unit="mm")
    before = tree(new)
    with pytest.raises(StudyError) as caught:
        start_study(new, "owl", scan, unit="mm")
    assert str(caught.value) == "models/owl: this exists already; take another name, or edit its study.yml."
    assert tree(new) == before


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"name": "Big Owl"}, "name: `Big Owl` cannot name a study"),
        ({"name": "../owl"}, "name: `../owl` cannot name a study"),
        ({"name": ""}, "name: `` cannot name a study"),
        ({"unit": None}, "the new study: neither `unit` nor `height` is given"),
        ({"unit": "feet"}, "the new study: `unit` is `feet`; it takes one of `mm`, `cm`, `m` or `in`"),
        ({"front": "+z"}, "the new study: `front` is `+z` though `up` is `+z`"),
        ({"up": "z"}, "the new study: `up` is `z`"),
        ({"height_mm": 0}, "the new study: `height` is `0`"),
        ({"height_mm": float("nan")}, "the new study: `height` is `nan`"),
        ({"title": "two\nlines"}, "the new study: `title` holds a line break"),
        ({"title": "x" * 121}, "the new study: `title` has 121 characters"),
    ],
)
def test_an_argument_that_cannot_be_used_is_one_sentence_and_leaves_nothing(changes, said, new, scan):
    arguments = {"name": "owl", "unit": "mm", **changes}
    with pytest.raises(StudyError) as caught:
        start_study(new, mesh=scan, **arguments)
    assert len(caught.value.problems) == 1 and said in str(caught.value)
    assert tree(new) == {}


@pytest.mark.parametrize(
    ("file", "data", "said"),
    [
        ("gone.ply", None, "there is no such file"),
        ("empty.ply", b"", "the file is empty"),
        ("owl.blend", b"x", "by its name this is no mesh"),
    ],
)
def test_a_mesh_that_cannot_be_used_is_refused(file, data, said, new, tmp_path):
    if data is not None:
        (tmp_path / file).write_bytes(data)
    with pytest.raises(StudyError, match=said):
        start_study(new, "owl", tmp_path / file, unit="mm")
    assert tree(new) == {}


def test_every_wrong_argument_is_said_in_one_go(new, tmp_path):
    with pytest.raises(StudyError) as caught:
        start_study(new, "Owl!", tmp_path / "gone.ply", unit="feet", up="+q", height_mm=-1)
    assert len(caught.value.problems) == 5


def test_a_disk_that_refuses_leaves_nothing_behind(new, scan, monkeypatch):
    # a full disk in the middle of copying the mesh
    def full(*_args, **_kwargs):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("builder.study.start.shutil.copyfile", full)
    with pytest.raises(StudyError) as caught:
        start_study(new, "owl", scan, unit="mm")
    assert str(caught.value) == (
        "models/owl: the study could not be written (No space left on device); check the folder and its permissions."
    )
    assert tree(new) == {}


def test_a_project_folder_that_is_not_there_is_said(tmp_path, scan):
    with pytest.raises(StudyError, match="there is no such folder; make the project's folder first"):
        start_study(tmp_path / "nowhere", "owl", scan, unit="mm")
