"""A small form to damage, and a study to put it in."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from builder.model.model import Model
from builder.model.prepare import prepare
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


def make_bust(subdivisions: int = 4) -> trimesh.Trimesh:
    """A closed form of one piece, about 180 x 220 x 300 mm: an egg with bumps and a flat base at z = 0."""
    ball = trimesh.creation.icosphere(subdivisions=subdivisions)
    x, y, z = ball.vertices.T
    radius = 1 + 0.08 * np.sin(5 * x + 1) * np.cos(4 * z) + 0.12 * np.exp(-8 * ((x - 0.1) ** 2 + z**2)) * (y < 0)
    points = ball.vertices * radius[:, None] * (90.0, 110.0, 160.0)
    points[:, 2] = np.maximum(points[:, 2], -130.0)
    points[:, 2] -= points[:, 2].min()
    return trimesh.Trimesh(points, ball.faces, process=False)


@pytest.fixture(scope="session")
def bust() -> trimesh.Trimesh:
    return make_bust()


@pytest.fixture
def study_of(tmp_path: Path) -> Callable[..., Study]:
    """A study of a mesh file, in a project folder of its own."""

    def make(path: Path, stand: Stand | None = None, **mesh: Any) -> Study:
        source: dict[str, Any] = {"unit": "mm", "up": "+z", "front": "-y", "height_mm": None, **mesh}
        size = Length(0.5, in_sizes=True)
        lamp = Lamp(45.0, 40.0, Length(4.0, in_sizes=True), "disc", size, size)
        return Study(
            name="egg",
            title="Egg",
            about="",
            credit="",
            path=tmp_path / "models" / "egg" / "study.yml",
            mesh=MeshSource(path=path, **source),
            stand=stand or Stand(),
            finish=Finish(),
            views=(View(1, 0.0, 0.0, Length(3.0, in_sizes=True)),),
            lightings=(Lighting("window", "Window", lamp),),
            landmarks=(),
            prompts=PromptChoice(()),
            picture=Picture(),
        )

    return make


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The study's own folder."""
    made = tmp_path / "models" / "egg"
    made.mkdir(parents=True)
    return made


@pytest.fixture
def built(folder: Path, study_of: Callable[..., Study]) -> Callable[..., Model]:
    """The model of bytes written to a file of this name."""

    def make(data: bytes, name: str = "egg.ply", **mesh: Any) -> Model:
        (folder / name).write_bytes(data)
        return prepare(study_of(folder / name, **mesh))

    return make
