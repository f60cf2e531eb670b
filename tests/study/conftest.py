from collections.abc import Callable
from pathlib import Path

import pytest

from builder.study.description import Study
from builder.study.read import read_study

NEEDED = "title: Closed-eyed mask\nmesh: mask.ply\nunit: mm\nup: +z\nfront: -y\n"


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A project folder with one study's mesh and no study.yml yet; another mesh lies outside of it."""
    folder = tmp_path / "project" / "models" / "mask"
    folder.mkdir(parents=True)
    (folder / "mask.ply").write_text("ply\n")
    (tmp_path / "mask.ply").write_text("ply\n")
    return tmp_path / "project"


@pytest.fixture
def read(project: Path) -> Callable[[str], Study]:
    """Reads a text as the study of ``project``; what every study needs is put before it unless it has a title."""

    def read_text(text: str) -> Study:
        path = project / "models" / "mask" / "study.yml"
        path.write_text(text if text.startswith("title:") else NEEDED + text, encoding="utf-8")
        return read_study(path, project)

    return read_text
