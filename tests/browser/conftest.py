"""The invented pack as a site in a folder, opened in Chromium as a student opens it: from the disk, with no network."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from mkdocs.commands.build import build
from mkdocs.config.base import load_config
from playwright.sync_api import BrowserContext, ConsoleMessage, Page, Route

from builder.plates.registry import KINDS
from tests.site.invented import FORM_KINDS, invented_pack

CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
LOCAL = ("file:", "data:", "blob:", "about:")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark the tests of this folder; without Chromium they skip, or fail where the full check asks for it."""
    here = Path(__file__).parent
    missing = not Path(CHROMIUM).exists()
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)
            if missing and os.environ.get("CASTWALK_REQUIRE_BROWSER") != "1":
                item.add_marker(pytest.mark.skip(reason=f"{CHROMIUM} is not there"))


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    return {**browser_type_launch_args, "executable_path": CHROMIUM, "args": ARGUMENTS}


@pytest.fixture(scope="session")
def base_url() -> None:
    """No base: every address is whole. (The browser plug-in's own fixture of this name warns under pytest 9.)"""


@pytest.fixture(scope="session")
def project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A project's folder with two pages of a teacher's and the site's own mkdocs.yml."""
    folder = tmp_path_factory.mktemp("project")
    (folder / "content" / "lessons").mkdir(parents=True)
    (folder / "models").mkdir()
    shutil.copy(Path(__file__).parents[2] / "mkdocs.yml", folder / "mkdocs.yml")
    (folder / "content" / "index.md").write_text(
        "# Welcome\n\nStart with [the second view](view:egg/2/side-lamp/values-3).\n", encoding="utf-8"
    )
    (folder / "content" / "lessons" / "values.md").write_text(
        "# Values\n\n![](view:egg/2/window/values-3)\n\n| Step | Name |\n|--|--:|\n| 1 | light |\n\n"
        "!!! note\n    Keep `this` in mind.\n",
        encoding="utf-8",
    )
    return folder


@pytest.fixture(scope="session")
def site(project: Path) -> Path:
    """The site's folder, built by MkDocs with every warning an error; its kinds of the form are invented like it."""
    config = load_config(str(project / "mkdocs.yml"), strict=True, site_dir=str(project / "site"))
    config.plugins["castwalk"].pack = invented_pack(project / "pictures", width=96, views=12)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("builder.site.plugin.KINDS", (*(kind for kind in KINDS if kind.group == "light"), *FORM_KINDS))
        build(config)
    return project / "site"


@pytest.fixture
def asked(context: BrowserContext) -> Iterator[list[str]]:
    """Addresses outside the folder that a page asked for; each is refused."""
    outside: list[str] = []

    def judge(route: Route) -> None:
        if route.request.url.startswith(LOCAL):
            route.continue_()
        else:
            outside.append(route.request.url)
            route.abort()

    context.route("**/*", judge)
    yield outside


@pytest.fixture
def complaints(page: Page) -> list[str]:
    """Errors and warnings of the browser's console, the policy's among them."""
    found: list[str] = []

    def hear(message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            found.append(message.text)

    page.on("console", hear)
    page.on("pageerror", lambda error: found.append(str(error)))
    return found


@pytest.fixture
def quiet(page: Page, asked: list[str], complaints: list[str]) -> Iterator[Page]:
    """A page that must end its test without a word on the console and without asking for anything outside."""
    yield page
    assert asked == []
    assert complaints == []


@pytest.fixture
def address(site: Path) -> str:
    """The site's folder as the address a double-click opens."""
    return site.as_uri()
