"""The site as a whole, from the disk: silent, self-contained, no broken link, and its search works."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

from playwright.sync_api import Page, expect


class Links(HTMLParser):
    """Addresses a page names, with the ids it holds and its pictures."""

    def __init__(self) -> None:
        super().__init__()
        self.addresses: list[str] = []
        self.ids: set[str] = set()
        self.pictures: list[dict[str, str | None]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        self.addresses += [value for name in ("href", "src") if (value := named.get(name))]
        if named.get("id"):
            self.ids.add(str(named["id"]))
        if tag == "img":
            self.pictures.append(named)


def pages(site: Path) -> Iterator[tuple[Path, Links]]:
    for path in sorted(site.rglob("*.html")):
        if path.name != "404.html":  # its addresses start at the server's root
            links = Links()
            links.feed(path.read_text(encoding="utf-8"))
            yield path, links


def test_every_page_is_silent_and_self_contained(quiet: Page, site: Path) -> None:
    """No page complains on the console, breaks its own policy or asks for anything outside its folder."""
    for path, _ in pages(site):
        quiet.goto(path.as_uri())
        policy = quiet.locator("meta[http-equiv='Content-Security-Policy']")
        assert policy.count() == 1, path
        assert "default-src 'none'" in (policy.get_attribute("content") or "")


def test_fonts_are_the_sites_own(quiet: Page, address: str) -> None:
    """The faces the style names are loaded from the folder."""
    quiet.goto(f"{address}/studies/egg/view-002.html")
    quiet.evaluate("document.fonts.ready")
    loaded = quiet.evaluate("[...document.fonts].filter(face => face.status === 'loaded').map(face => face.family)")
    assert {name.strip('"') for name in loaded} == {"Castwalk Sans", "Castwalk Serif"}


def test_no_link_is_broken(site: Path) -> None:
    """Every relative address leads to a file of the site; every part after # that is no state, to an id."""
    known = {path.resolve(): links for path, links in pages(site)}
    broken = []
    for path, links in known.items():
        for address in links.addresses:
            parts = urlsplit(address)
            assert not parts.scheme and not parts.netloc, f"{path}: {address}"
            target = (path.parent / unquote(parts.path)).resolve() if parts.path else path
            lost = target in known and parts.fragment and unquote(parts.fragment) not in known[target].ids
            if lost or not target.is_file():
                broken.append(f"{path.relative_to(site)}: {address}")
    assert broken == []


def test_every_picture_has_size_and_description(site: Path) -> None:
    """Every picture of the pages states width, height and what it shows; the logo stands in a named link."""
    for path, links in pages(site):
        for picture in links.pictures:
            if picture.get("alt") == "logo":
                continue
            assert picture.get("alt"), path
            assert int(picture["width"] or 0) > 0 and int(picture["height"] or 0) > 0, path


def test_missing_page_has_the_policy_too(site: Path) -> None:
    """The page for a wrong address carries the policy, and its inline scripts are allowed by hash."""
    text = (site / "404.html").read_text(encoding="utf-8")
    assert re.search(r"script-src 'self' 'sha256-[\w+/=]+'", text)


def test_maps_of_the_theme_are_dropped(site: Path) -> None:
    """No source map is published."""
    assert list(site.rglob("*.map")) == []


def test_search_finds_a_view_by_its_title(quiet: Page, address: str) -> None:
    """The search works from the disk and leads to the view."""
    quiet.goto(f"{address}/index.html")
    quiet.locator(".md-search__input").click()
    quiet.keyboard.type("lost profile")
    first = quiet.locator(".md-search-result__link").first
    expect(first).to_contain_text("Egg & stand, view 4")
    first.click()
    quiet.wait_for_url("**/studies/egg/view-004.html*")


def test_search_stays_small(site: Path) -> None:
    """The index holds each view once, without its repeated prompts and plates: under 600 bytes a view."""
    index = (site / "search" / "search_index.js").read_text(encoding="utf-8")
    assert index.count("studies/egg/view-") == 12
    assert "Fill all shadow" not in index
    assert "sheet-" not in index
    assert len(index) < 14 * 600 + 4000


def test_true_workers_still_work_on_the_disk(quiet: Page, address: str) -> None:
    """A worker made on the spot answers, beside the stand-in that the search uses."""
    quiet.goto(f"{address}/index.html")
    answer = quiet.evaluate(
        """() => new Promise((resolve, reject) => {
            const source = "onmessage = event => postMessage(event.data + 1)";
            const worker = new Worker(URL.createObjectURL(new Blob([source])));
            worker.onmessage = event => resolve(event.data);
            worker.onerror = () => reject(new Error("no worker"));
            worker.postMessage(41);
        })"""
    )
    assert answer == 42


def test_teachers_page_shows_the_picture_it_names(quiet: Page, address: str) -> None:
    """A picture written as view:... is there at its size, with a description from the facts."""
    quiet.goto(f"{address}/lessons/values.html")
    image = quiet.locator("article img")
    expect(image).to_have_attribute("src", "../plates/egg/002/window-values-3.webp")
    size = image.evaluate("each => [each.naturalWidth, each.getAttribute('width'), each.getAttribute('height')]")
    assert size == [96, "96", "120"]
    assert "tall window" in (image.get_attribute("alt") or "")


def test_teachers_link_opens_the_state_it_names(quiet: Page, address: str) -> None:
    """A link written as view:... opens the view under that lighting with that plate."""
    quiet.goto(f"{address}/index.html")
    quiet.get_by_role("link", name="the second view").click()
    quiet.wait_for_url("**/view-002.html#side-lamp/values-3")
    expect(quiet.locator("[data-plate-picture]")).to_have_attribute(
        "src", "../../plates/egg/002/side-lamp-values-3.webp"
    )


def test_ground_choice_is_kept(quiet: Page, address: str) -> None:
    """The dark grey ground, once chosen, is there on the next page."""
    quiet.goto(f"{address}/index.html")
    quiet.locator("label[title='Change to the dark grey ground']").click()
    quiet.goto(f"{address}/studies/egg/view-002.html")
    assert quiet.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(72, 72, 72)"
