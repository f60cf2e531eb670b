"""The plug-in in a true MkDocs build, without a browser."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from mkdocs.commands.build import build
from mkdocs.config.base import load_config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import Abort

from builder.errors import SiteError
from builder.pack import Pack
from builder.site.plugin import CastwalkPlugin


def configured(project: Path, pack: Pack, **changes: object) -> MkDocsConfig:
    config = load_config(str(project / "mkdocs.yml"), strict=True, site_dir=str(project / "site"), **changes)
    plugin = config.plugins["castwalk"]
    assert isinstance(plugin, CastwalkPlugin)
    plugin.pack = pack
    return config


def test_plain_project_becomes_a_site(project: Path, pack: Pack) -> None:
    """The least mkdocs.yml gives every page and picture; prompts stay out; a home page is made if there is none."""
    build(configured(project, pack))
    site = project / "site"
    assert (site / "studies" / "egg" / "view-005.html").is_file()
    assert (site / "plates" / "egg" / "001" / "side-lamp-tone.webp").read_bytes() == (
        pack.studies[0].views[0].shown["side-lamp"].plates["tone"].path.read_bytes()
    )
    assert not (site / "prompts").exists()
    home = (site / "index.html").read_text(encoding="utf-8")
    assert "studies/egg/index.html" in home
    assert "fonts.googleapis" not in home and "unpkg" not in home


def test_menu_names_studies_not_folders(project: Path, pack: Pack) -> None:
    """Each study stands in the menu by its title, once, and views do not."""
    build(configured(project, pack))
    home = (project / "site" / "index.html").read_text(encoding="utf-8")
    menu = home.split("md-sidebar--primary")[1].split("md-sidebar--secondary")[0]
    assert re.findall(r'href="(studies/[^"]+)"', menu) == ["studies/egg/index.html", "studies/pebble/index.html"]
    assert "Egg &amp; stand" in menu
    assert "view-001" not in menu


def test_written_menu_gets_the_studies(project: Path, pack: Pack) -> None:
    """A menu written in mkdocs.yml keeps its order and gets the studies at its end."""
    (project / "content" / "index.md").write_text("# Home\n", encoding="utf-8")
    build(configured(project, pack, nav=[{"Welcome": "index.md"}]))
    home = (project / "site" / "index.html").read_text(encoding="utf-8")
    assert re.search(r"Welcome.*Studies.*studies/egg/index\.html.*studies/pebble/index\.html", home, re.S)


def test_wrong_links_of_every_page_come_at_once(project: Path, pack: Pack, caplog: pytest.LogCaptureFixture) -> None:
    """Each wrong link is named with its file and its line, front matter counted, before any page is written."""
    content = project / "content"
    (content / "index.md").write_text("---\ntitle: Home\n---\n# Home\n\n[a](view:egg/77)\n", encoding="utf-8")
    (content / "other.md").write_text("# Other\n[a](view:gourd/1)\n", encoding="utf-8")
    with pytest.raises(Abort):
        build(configured(project, pack))
    assert "content/index.md:6: 'view:egg/77' names no view '77' of egg; views there: 1, 2, 3, 4, 5." in caplog.text
    assert "content/other.md:2: 'view:gourd/1' names no study 'gourd'; studies there: egg, pebble." in caplog.text
    assert "Traceback" not in caplog.text
    assert not (project / "site" / "index.html").exists()


def test_cause_is_kept_for_the_command(project: Path, pack: Pack) -> None:
    """The command can take the problems one by one from the error's cause."""
    (project / "content" / "index.md").write_text("[a](view:gourd/1) [b](view:gourd/2)\n", encoding="utf-8")
    with pytest.raises(Abort) as caught:
        build(configured(project, pack))
    errors = []
    error: BaseException | None = caught.value
    while error is not None:
        errors.append(error)
        error = error.__cause__ or error.__context__
    assert any(isinstance(each, SiteError) and len(each.problems) == 2 for each in errors)


def test_two_builds_are_the_same(project: Path, pack: Pack) -> None:
    """Every file of the site is the same the second time."""
    contents = []
    for _ in range(2):
        build(configured(project, pack))
        site = project / "site"
        contents.append(
            {
                path.relative_to(site).as_posix(): path.read_bytes()
                for path in sorted(site.rglob("*"))
                if path.is_file() and path.name != "sitemap.xml.gz"
            }
        )
    assert contents[0] == contents[1]


def test_right_set_columns_need_no_style(project: Path, pack: Pack) -> None:
    """Alignment in a table is an attribute: the policy forbids styles in the page."""
    (project / "content" / "index.md").write_text("# T\n\n| a | b |\n|--|--:|\n| 1 | 2 |\n", encoding="utf-8")
    build(configured(project, pack))
    home = (project / "site" / "index.html").read_text(encoding="utf-8")
    assert '<td align="right">2</td>' in home
    assert 'style="' not in home
