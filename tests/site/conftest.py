"""The invented pack, with pictures small enough to cost nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from builder.pack import Pack
from builder.site.kinds import KindNames
from builder.site.pages import SiteFile, site_files
from builder.words.words import Words
from tests.site.invented import FORM_KINDS, STEPS, NamedKind, invented_pack

LIGHT_KINDS = (
    NamedKind("tone", "Tone", "Full gradation."),
    *(NamedKind(f"values-{steps}", f"{steps} values", f"In *{steps}* steps.") for steps in STEPS),
    NamedKind("families", "Light families", "By *cause*."),
    NamedKind("light-shadow", "Light and shadow only", "In *two* shapes."),
)
KINDS: dict[str, KindNames] = {kind.name: kind for kind in (*LIGHT_KINDS, *FORM_KINDS)}


@pytest.fixture(scope="session")
def pack(tmp_path_factory: pytest.TempPathFactory) -> Pack:
    return invented_pack(tmp_path_factory.mktemp("pictures"), width=12)


@pytest.fixture(scope="session")
def files(pack: Pack, words: Words) -> dict[str, SiteFile]:
    made = site_files(pack, words, KINDS)
    by_address = {file.address: file for file in made}
    assert len(by_address) == len(made)
    return by_address


@pytest.fixture(scope="session")
def texts(files: dict[str, SiteFile]) -> dict[str, str]:
    """The pages' sources by address."""
    return {address: file.content for address, file in files.items() if isinstance(file.content, str)}


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """The least a project needs for MkDocs."""
    (tmp_path / "content" / "prompts").mkdir(parents=True)
    (tmp_path / "models").mkdir()
    (tmp_path / "content" / "prompts" / "values.yml").write_text("title: x\n", encoding="utf-8")
    (tmp_path / "content" / "prompts" / "notes.md").write_text("See [x](view:nowhere/1).\n", encoding="utf-8")
    (tmp_path / "mkdocs.yml").write_text(
        "site_name: Test\ndocs_dir: content\nexclude_docs: prompts/\n"
        "theme: {name: material}\nplugins: [search, offline, castwalk]\n",
        encoding="utf-8",
    )
    return tmp_path
