"""Starting a study from a mesh: its folder, a commented study.yml, and a project round it if there is none."""

from __future__ import annotations

import json
import shutil
import tempfile
from importlib.resources import files
from pathlib import Path
from string import Template

from builder.errors import Problem, StudyError
from builder.study.disk import shown
from builder.study.node import Node
from builder.study.read import FILE_NAME
from builder.study.report import Report, any_of
from builder.study.schema import AXIS, MESH_ENDINGS, STUDY, UNIT
from builder.study.values import is_name, slug


def start_study(
    project: Path,
    name: str,
    mesh: Path,
    title: str | None = None,
    unit: str | None = None,
    up: str = "+z",
    front: str = "-y",
    height_mm: float | None = None,
    turn_deg: float = 0.0,
) -> Path:
    """Make ``models/<name>/`` in ``project`` with a copy of ``mesh`` and a valid study.yml, and give its path.

    The mesh is scaled to ``height_mm`` if given; ``unit`` is needed without it. ``turn_deg`` is the bearing of
    the true front from ``front``. A project without mkdocs.yml gets one,
    and a content/index.md. Nothing that exists is changed, and nothing is left behind on failure.

    Raises:
        StudyError: with every argument that cannot be used, or what the disk refused.

    """
    if not project.is_dir():
        raise StudyError(Problem(project.as_posix(), "there is no such folder", do="make the project's folder first"))
    folder = project / "models" / name
    problems = [
        *_misnamed(name, folder, project),
        *_unusable(mesh),
        *_wrong_fields(title or "untitled", unit, up, front, height_mm),
    ]
    if problems:
        raise StudyError(problems)
    title = title or name.replace("-", " ").capitalize()
    texts = {
        folder.relative_to(project) / FILE_NAME: _study_text(name, mesh, title, unit, up, front, height_mm, turn_deg)
    }
    if not (project / "mkdocs.yml").exists():
        texts[Path("mkdocs.yml")] = _starter("mkdocs.yml")
        if not (project / "content" / "index.md").exists():
            texts[Path("content/index.md")] = _starter("index.md")
    try:
        _put_in_place(project, folder, mesh, texts)
    except OSError as error:
        reason = f"the study could not be written ({error.strerror or error})"
        raise StudyError(Problem(shown(folder, project), reason, do="check the folder and its permissions")) from error
    return folder / FILE_NAME


def _misnamed(name: str, folder: Path, project: Path) -> list[Problem]:
    if not is_name(name) or " " in name:
        better = f"take `{slug(name)}`" if is_name(slug(name)) else ""
        allowed = "a study's name is 1 to 40 small letters a-z, digits and hyphens, since it stands in web addresses"
        return [Problem("name", f"`{name}` cannot name a study", allowed, better)]
    if folder.exists() or folder.is_symlink():
        return [Problem(shown(folder, project), "this exists already", do="take another name, or edit its study.yml")]
    return []


def _unusable(mesh: Path) -> list[Problem]:
    where = mesh.as_posix()
    if mesh.suffix.lower() not in MESH_ENDINGS:
        return [Problem(where, "by its name this is no mesh", f"a mesh ends in {any_of(MESH_ENDINGS)}")]
    if not mesh.is_file():
        return [Problem(where, "there is no such file", do="check the path to the mesh")]
    if mesh.stat().st_size == 0:
        return [Problem(where, "the file is empty", do="export the mesh again")]
    return []


def _wrong_fields(title: str, unit: str | None, up: str, front: str, height_mm: float | None) -> list[Problem]:
    """What is wrong with the values that go into study.yml."""
    report = Report("the new study")
    for key, value in (("title", title), ("unit", unit), ("up", up), ("front", front)):
        if value is not None:
            STUDY.field(key).kind.read(Node(0, "scalar", value, value, quoted=True), f"`{key}`", report)
    if height_mm is not None:
        STUDY.field("height").kind.read(Node(0, "scalar", f"{height_mm:g}", height_mm), "`height`", report)
    elif unit is None:
        found = "neither `unit` nor `height` is given, so the size of the model is unknown"
        report.add(0, found, f"`unit` takes {UNIT.takes}", "give one of them")
    if up in AXIS.options and front in AXIS.options and up[1] == front[1]:
        report.add(0, f"`front` is `{front}` though `up` is `{up}`", "they are two different axes of the mesh file")
    return list(report.problems())


def _study_text(
    name: str,
    mesh: Path,
    title: str,
    unit: str | None,
    up: str,
    front: str,
    height_mm: float | None,
    turn_deg: float,
) -> str:
    lines = [f"unit: {unit}"] if unit else []
    if height_mm is not None:
        lines.append(f"height: {height_mm:.9g} mm  # the model is scaled to this height")
    return Template(_starter(FILE_NAME)).substitute(
        title=title,
        quoted_title=json.dumps(title, ensure_ascii=False),
        mesh=f"{name}{mesh.suffix.lower()}",
        size="\n".join(lines),
        up=up,
        front=front,
        turn=f"turn: {turn_deg:g}" if turn_deg else "# turn: 30",
    )


def _starter(name: str) -> str:
    return files("builder.study").joinpath("starter", name).read_text(encoding="utf-8")


def _put_in_place(project: Path, folder: Path, mesh: Path, texts: dict[Path, str]) -> None:
    """Write everything beside the project's files first, then move it in, the study last and whole."""
    with tempfile.TemporaryDirectory(prefix=".start-", dir=project) as made:
        staged = Path(made)
        for path, text in texts.items():
            (staged / path).parent.mkdir(parents=True, exist_ok=True)
            (staged / path).write_text(text, encoding="utf-8")
        study = folder.relative_to(project)
        shutil.copyfile(mesh, staged / study / f"{folder.name}{mesh.suffix.lower()}")
        for path in texts:
            if not path.is_relative_to(study):
                (project / path).parent.mkdir(exist_ok=True)
                (staged / path).rename(project / path)
        folder.parent.mkdir(exist_ok=True)
        (staged / study).rename(folder)
