"""A study, its views and lamps, and believable facts, for the tests of prompts."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

import pytest

from builder.errors import PromptError
from builder.plates.plate import FactValue
from builder.prompts.facts import SPECIMEN
from builder.prompts.library import KINDS, Library, load_library
from builder.study.description import Finish, Lighting, MeshSource, Picture, PromptChoice, Stand, Study
from tests.prompts.described import lamp, view

STUDIES = {"torso": [1, 12], "gourd": [7]}


@pytest.fixture
def lighting() -> Lighting:
    return Lighting("side-lamp", "Side lamp", lamp(-60.0, 35.0))


@pytest.fixture
def study(lighting: Lighting) -> Study:
    return Study(
        name="torso",
        title="A small torso",
        about="",
        credit="",
        path=Path("models/torso/study.yml"),
        mesh=MeshSource(Path("torso.ply"), "mm", "+z", "-y", None),
        stand=Stand(),
        finish=Finish(),
        views=(view(),),
        lightings=(lighting,),
        landmarks=(),
        prompts=PromptChoice(KINDS),
        picture=Picture(),
    )


@pytest.fixture
def facts() -> Mapping[str, FactValue]:
    return SPECIMEN


@pytest.fixture
def with_kinds(study: Study) -> Callable[..., Study]:
    def changed(*kinds: str, level: str = "steady") -> Study:
        return replace(study, prompts=PromptChoice(kinds, level))  # type: ignore[arg-type]

    return changed


@pytest.fixture
def library_of(tmp_path: Path) -> Callable[[dict[str, str]], Library]:
    """A library over pages given as address under content/prompts to text."""

    def made(pages: dict[str, str]) -> Library:
        content = tmp_path / "content"
        for address, text in pages.items():
            path = content / "prompts" / address
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        return load_library(content, STUDIES)

    return made


@pytest.fixture
def complaints(library_of: Callable[[dict[str, str]], Library]) -> Callable[[dict[str, str]], list[str]]:
    """The sentences with which pages are refused."""

    def told(pages: dict[str, str]) -> list[str]:
        with pytest.raises(PromptError) as refusal:
            library_of(pages)
        return [problem.sentence() for problem in refusal.value.problems]

    return told
