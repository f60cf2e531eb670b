"""A build makes what is missing, keeps what it made, and never leaves half of anything."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator
from pypdf import PdfReader
from rich.console import Console

from builder.build import Options, Report, make_pack
from builder.cli import commands, main
from builder.errors import ModelError, Problem
from builder.plates.fact_list import FACTS
from builder.plates.plate import FormKind, PlanesKind
from builder.plates.registry import KINDS
from builder.store import Store
from builder.words.words import load_words
from tests.mini import STUDY, write_project

FORM = sum(isinstance(kind, FormKind) for kind in KINDS)
"""Plates of a view that are the same under every lamp."""
LIT = len(KINDS) - FORM
"""Plates of a view under a lighting."""
PLANES = sum(isinstance(kind, PlanesKind) for kind in KINDS)
"""Of those, plates of planes."""
PLATES = 2 * (2 * LIT + FORM)


def castwalk(*args: str | Path) -> Result:
    result = CliRunner().invoke(commands, [str(arg) for arg in args])
    return result


def build(project: Path, *args: str) -> str:
    result = castwalk("build", "--project", project, "--workers", "1", *args)
    assert result.exception is None, result.output
    return result.output


def counts(output: str) -> tuple[int, int]:
    """(made, reused) as the summary says."""
    line = next(line for line in output.splitlines() if " made, " in line)
    made = int(line.partition("(")[2].partition(" made")[0])
    reused = int(line.partition(" made, ")[2].partition(" from")[0])
    return made, reused


def fingerprint(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def made_anew(project: Path) -> Report:
    """What a build does before its pages: all of it but the site."""
    _, report = make_pack(
        project, project / "content", project / "models", Store(project / ".castwalk"), Options(), Console(quiet=True)
    )
    return report


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The mini project, built once; tests that change it copy it."""
    project = write_project(tmp_path_factory.mktemp("mini"))
    output = build(project)
    assert counts(output) == (PLATES, 0)
    return project


def lend(built: Path, project: Path, *stages: str) -> None:
    """Give a project results of the built one for these stages."""
    for stage in stages:
        shutil.copytree(built / ".castwalk" / stage, project / ".castwalk" / stage)


@pytest.fixture
def project(built: Path, tmp_path: Path) -> Path:
    copy = tmp_path / "project"
    shutil.copytree(built, copy)
    return copy


def test_build_says_what_to_open(built: Path) -> None:
    """The site has a home page, a page per study and per view, and the pictures."""
    site = built / "site"
    assert (site / "index.html").is_file()
    assert (site / "studies" / "ball" / "index.html").is_file()
    assert (site / "studies" / "ball" / "view-062.html").is_file()
    pictures = [path for path in (site / "plates").rglob("*") if path.suffix in {".png", ".webp"}]
    pictures = [path for path in pictures if not path.name.endswith("tone-small.webp")]
    assert len(pictures) == PLATES


def test_facts_are_published_as_their_schema_says(built: Path) -> None:
    """A file for each view and lighting, found by the view's page, valid, and with every number that was measured."""
    site = built / "site"
    checker = Draft202012Validator(json.loads((site / "reference" / "facts.schema.json").read_text("utf-8")))
    files = sorted((site / "plates").rglob("*-facts.json"))
    kept = [json.loads(path.read_text("utf-8"))["facts"] for path in (built / ".castwalk").glob("facts/*/facts.json")]
    assert len(files) == len(kept) == 2 * 2
    for path in files:
        told = json.loads(path.read_text("utf-8"))
        checker.validate(told)
        assert (path.parent / told["$schema"]).resolve() == site / "reference" / "facts.schema.json"
        assert path == site / "plates" / told["study"] / f"{told['view']:03d}" / f"{told['lighting']}-facts.json"
        facts = {name: entry["value"] for name, entry in told["facts"].items()}
        assert (facts["number"], facts["lighting"]) == (told["view"], told["lighting"])
        measured = next(each for each in kept if (each["number"], each["lighting"]) == (told["view"], told["lighting"]))
        assert list(facts) == [name for name in FACTS if name in measured]
        for name, value in facts.items():
            near = value if isinstance(value, str | bool) else pytest.approx(value, rel=1e-5, abs=1e-12)
            assert measured[name] == near
        page = site / "studies" / "ball" / f"view-{told['view']:03d}.html"
        assert f'href="../../{path.relative_to(site).as_posix()}"' in page.read_text("utf-8")


def test_rebuild_makes_nothing(project: Path) -> None:
    """No change: no plate made, nothing in the store written, and the same site byte for byte."""
    before = {path: path.stat().st_mtime_ns for path in (project / ".castwalk").rglob("*") if path.is_file()}
    site = fingerprint(project / "site")
    assert counts(build(project)) == (0, PLATES)
    after = {path: path.stat().st_mtime_ns for path in (project / ".castwalk").rglob("*") if path.is_file()}
    assert before == after
    assert fingerprint(project / "site") == site


@pytest.mark.parametrize(
    ("old", "new", "made"),
    [
        ("title: Lumpy ball", "title: A lumpy ball", 0),
        ("  top: [0, 0, 120]", "  summit: [0, 0, 120]", 2 * FORM),
        ("kinds: [first look, values]", "kinds: [values]", 0),
        ("  - side lamp", "  - {lighting: side lamp, bearing: -80}", 2 * LIT),
        ("{number: 62, bearing: 45", "{number: 62, bearing: 50", 2 * LIT + FORM),
        ("number: 62,", "number: 63,", 0),
        ("eye level: 20}", "eye level: 20}\n  - {number: 69, bearing: 90, eye level: 5}", 2 * LIT + FORM),
        ("height: 120}", "height: 122}", PLATES),
        ("mesh: ball.ply", "finish: {model: 0.7}\nmesh: ball.ply", 2 * 2 * LIT),
        ("counts: [6, 12, 24]", "counts: [8, 16, 32]", 2 * 2 * PLANES),
        ("mesh: ball.ply", "guides: {squares: 5}\nmesh: ball.ply", 2 * FORM),
    ],
)
def test_each_input_remakes_what_it_touches(project: Path, old: str, new: str, made: int) -> None:
    """A change in the description remakes the plates that depend on it and no other."""
    study = project / "models" / "ball" / "study.yml"
    assert STUDY.count(old) == 1
    study.write_text(STUDY.replace(old, new))
    assert made_anew(project).rendered == made


@pytest.mark.parametrize(
    ("phrase", "stages"),
    [
        ("view.spoken", set()),
        ("sheets.space", {"sheet", "workbook"}),
        ("table.below", {"table", "workbook"}),
        ("cards.bar", {"cards"}),
    ],
)
def test_a_changed_phrase_remakes_what_says_it(
    project: Path, monkeypatch: pytest.MonkeyPatch, phrase: str, stages: set[str]
) -> None:
    """A new phrase makes the paper that it stands on anew, and no plate, light or model."""

    def kept() -> set[Path]:
        return {path for path in (project / ".castwalk").glob("*/*") if path.parent.name != "unfinished"}

    before, words = kept(), load_words()
    phrases = {**words.phrases, phrase: f"{words.phrases[phrase]} "}
    monkeypatch.setattr("builder.build.load_words", lambda _: replace(words, phrases=phrases))
    assert made_anew(project).rendered == 0
    assert {path.parent.name for path in kept() - before} == stages


def test_removed_picture_is_made_again(project: Path) -> None:
    """A plate deleted from the store comes back, alone."""
    victim = next(iter(sorted((project / ".castwalk" / "plate").glob("*/plate.*"))))
    data = victim.read_bytes()
    victim.unlink()
    assert counts(build(project)) == (1, PLATES - 1)
    assert victim.read_bytes() == data


def test_bad_study_leaves_the_old_site(project: Path) -> None:
    """A mistake in study.yml: its sentence, exit 2, and the last good site untouched."""
    site = fingerprint(project / "site")
    study = project / "models" / "ball" / "study.yml"
    study.write_text(STUDY.replace("bearing: 45", "bering: 45"))
    process = run_command(project)
    assert process.returncode == 2
    assert "models/ball/study.yml:11" in process.stderr
    assert "bering" in process.stderr
    assert "Traceback" not in process.stderr
    assert fingerprint(project / "site") == site
    assert [path.name for path in project.iterdir() if path.name.startswith("site.")] == []


def test_bad_link_leaves_the_old_site(project: Path) -> None:
    """A page that names a view that is not there: its sentence, exit 2, the old site untouched."""
    site = fingerprint(project / "site")
    (project / "content" / "index.md").write_text("# Mini\n\nSee [it](view:ball/77).\n")
    process = run_command(project)
    assert process.returncode == 2
    assert "index.md:3" in process.stderr
    assert fingerprint(project / "site") == site


def run_command(project: Path, *args: str, hash_seed: str = "0") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "builder", "build", "--project", str(project), *args],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONHASHSEED": hash_seed},
        check=False,
    )


@pytest.mark.slow
def test_same_bytes_with_any_crew_and_hash_seed(built: Path, tmp_path: Path) -> None:
    """Two workers and another hash seed give the same site, byte for byte."""
    project = write_project(tmp_path / "again")
    process = run_command(project, "--workers", "2", hash_seed="12345")
    assert process.returncode == 0, process.stderr
    assert counts(process.stdout) == (PLATES, 0)
    assert fingerprint(project / "site") == fingerprint(built / "site")


@pytest.mark.slow
def test_killed_builds_leave_a_usable_store(built: Path, tmp_path: Path) -> None:
    """Builds killed at several moments: the next one finishes with the same site as an undisturbed one.

    What the light travels is there already, so that the moments fall among the many results that come after it.
    """
    project = write_project(tmp_path / "killed")
    lend(built, project, "model", "transport")
    for wait_s in (1.5, 2.5, 3.5, 4.5, 5.5):
        process = subprocess.Popen(
            [sys.executable, "-m", "builder", "build", "--project", str(project), "--workers", "2"],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        time.sleep(wait_s)
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()
    build(project)
    assert fingerprint(project / "site") == fingerprint(built / "site")


@pytest.mark.slow
def test_two_builds_at_once(built: Path, tmp_path: Path) -> None:
    """Two builds of one project side by side both succeed and leave the right site."""
    project = write_project(tmp_path / "both")
    lend(built, project, "transport")
    command = [sys.executable, "-m", "builder", "build", "--project", str(project), "--workers", "1"]
    pair = [subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE) for _ in range(2)]
    errors = [process.communicate()[1] for process in pair]
    assert [process.returncode for process in pair] == [0, 0], errors
    assert fingerprint(project / "site") == fingerprint(built / "site")


def test_tidy_keeps_what_the_pack_stands_on(project: Path) -> None:
    """After --tidy the next build finds everything; what an earlier pack used is gone."""
    study = project / "models" / "ball" / "study.yml"
    study.write_text(STUDY.replace("  - side lamp\n", ""))
    assert "Freed" in build(project, "--tidy")
    kept = {stage.name: len(list(stage.iterdir())) for stage in (project / ".castwalk").iterdir()}
    once = {"model": 1, "transport": 1, "planes": 1, "planes-model": 3, "unfinished": 0}
    assert kept == once | {
        "facts": 2,
        "form": 2,
        "lit": 1 + 3,
        "plate": 2 * (LIT + FORM),
        "sheet": 2,
        "table": 2,
        "workbook": 1,
        "cards": 1,
        "survey": 1,
    }
    assert counts(build(project)) == (0, 2 * (LIT + FORM))
    study.write_text(STUDY)
    assert counts(build(project)) == (2 * LIT, 2 * (LIT + FORM))


def test_views_are_published_on_paper(built: Path) -> None:
    """A sheet, an overlay and the cards for a table a view, and a workbook, linked where they are looked for; the views
    stand in it in the order of the course, and what the prompt asks is there.
    """
    site = built / "site"
    folder = site / "sheets" / "ball"
    names = [f"{number:03d}-{kind}-a4.pdf" for number in (61, 62) for kind in ("overlay", "sheet", "table")]
    assert sorted(path.name for path in folder.iterdir()) == [*names, "workbook-a4.pdf"]
    for name in names:
        page = (site / "studies" / "ball" / f"view-{name[:3]}.html").read_text("utf-8")
        assert f'href="../../sheets/ball/{name}"' in page
    assert 'href="../../sheets/ball/workbook-a4.pdf"' in (site / "studies" / "ball" / "index.html").read_text("utf-8")
    course = (site / "studies" / "ball" / "course.html").read_text("utf-8")
    order = sorted((61, 62), key=lambda number: course.index(f"view-{number:03d}.html"))
    book = PdfReader(folder / "workbook-a4.pdf")
    assert [mark.title for mark in book.outline] == ["Lumpy ball", "Contents", *map(str, order), "Check yourself"]
    words = " ".join(" ".join(page.extract_text() for page in book.pages).split())
    assert "First look" in words and "Values" in words and "{" not in words


def test_another_paper_makes_nothing_else_anew(project: Path) -> None:
    """Asked for in the study, Letter comes beside A4, and the files for A4 keep their bytes."""
    before = fingerprint(project / "site" / "sheets")
    study = project / "models" / "ball" / "study.yml"
    study.write_text(f"{STUDY}sheets: {{papers: [a4, letter], marks: grid}}\n")
    assert counts(build(project))[0] == 0
    after = fingerprint(project / "site" / "sheets")
    assert before.items() <= after.items()
    added = sorted(set(after) - set(before))
    assert len(added) == len(before) and all(name.endswith("-letter.pdf") for name in added)
    width = PdfReader(project / "site" / "sheets" / "ball" / "workbook-letter.pdf").pages[0].mediabox
    assert sorted((float(width.width), float(width.height))) == pytest.approx([612, 792], abs=0.01)


def test_planes_models_are_published(built: Path) -> None:
    """Each level as STL and GLB, and its edges as a drawing beside every plate of planes."""
    site = built / "site"
    names = {path.name for path in (site / "planes").iterdir()}
    assert names == {f"ball-{level}.{suffix}" for level in ("big", "middle", "small") for suffix in ("stl", "glb")}
    for number in (61, 62):
        folder = site / "plates" / "ball" / f"{number:03d}"
        drawings = [(folder / f"{lamp}-planes-big-outlines.svg") for lamp in ("side-lamp", "three-quarter-lamp")]
        assert drawings[0].read_bytes() == drawings[1].read_bytes()
        assert 5 < drawings[0].read_bytes().count(b"<path") < 100


def test_a_model_that_cannot_be_broken_up_has_no_planes(
    project: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its other plates are made, a notice says why, and the pages do without."""

    def refuse(*_: object) -> None:
        raise ModelError(Problem("models/ball/ball.ply", "the surface is in too many pieces for planes"))

    monkeypatch.setattr("builder.jobs.planes.break_up", refuse)
    shutil.rmtree(project / ".castwalk" / "planes")
    output = build(project)
    assert counts(output) == (0, PLATES - 2 * 2 * PLANES)
    assert "the surface is in too many pieces for planes" in output + capsys.readouterr().out
    assert not (project / "site" / "planes").exists()
    assert not list((project / "site" / "plates").rglob("*-planes-*"))
    page = (project / "site" / "studies" / "ball" / "view-061.html").read_text("utf-8")
    assert "planes-big" not in page


def test_mkdocs_alone_builds_the_same_site(project: Path, tmp_path: Path) -> None:
    """Plain ``mkdocs build`` gives the pages and pictures that our command gives."""
    process = subprocess.run(
        [
            sys.executable,
            "-m",
            "mkdocs",
            "build",
            "-q",
            "-f",
            str(project / "mkdocs.yml"),
            "-d",
            str(tmp_path / "plain"),
        ],
        capture_output=True,
        text=True,
        env={**os.environ, "NO_MKDOCS_2_WARNING": "1"},
        check=False,
    )
    assert process.returncode == 0, process.stderr
    assert fingerprint(tmp_path / "plain") == fingerprint(project / "site")


@pytest.mark.parametrize(
    ("args", "code", "says"),
    [
        (["build", "--project", "nowhere"], 2, "nowhere"),
        (["build", "--camera", "lens"], 2, "'lens' is not one of"),
        (["build", "--workers", "0"], 2, "--workers"),
        (["bake"], 2, "bake"),
        (["check"], 0, "ball: 2 views, 2 lightings, 1 landmarks"),
    ],
)
def test_command_line_answers(
    project: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    args: list[str],
    code: int,
    says: str,
) -> None:
    """Each command answers in a sentence, with exit code 2 for what cannot be done."""
    monkeypatch.chdir(project)
    monkeypatch.setattr(sys, "argv", ["castwalk", *args])
    try:
        main()
        got = 0
    except SystemExit as stop:
        got = stop.code
    out, err = capsys.readouterr()
    assert (got, says in out + err) == (code, True), out + err
    assert "Traceback" not in out + err
