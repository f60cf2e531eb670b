"""Every page kind can be used by everyone: axe-core finds nothing, nothing runs off a narrow screen, focus is seen."""

from __future__ import annotations

import json
import re
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

AXE = (resources.files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
PAGES = {
    "home": "index.html",
    "lesson": "lessons/values.html",
    "study": "studies/egg/index.html",
    "view": "studies/egg/view-002.html",
    "families": "studies/egg/view-002.html#window/families/first-look/over",
    "envelope": "studies/egg/view-002.html#window/block-in-1",
    "measures": "studies/egg/view-002.html#side-lamp/measures",
    "sheet": "studies/egg/sheet-002.html",
    "questions": "studies/egg/sheet-002.html#window/measures",
    "outlines": "studies/egg/sheet-002.html#window/families/first-look/alone",
    "lamps": "studies/egg/lightings.html",
}


def violations(page: Page) -> list[str]:
    """What axe-core finds wrong: rule and place."""
    page.evaluate(AXE)
    result: dict[str, Any] = page.evaluate("tags => axe.run(document, {runOnly: {type: 'tag', values: tags}})", TAGS)
    return [
        f"{found['id']}: {json.dumps(node['target'])} {node['failureSummary']}"
        for found in result["violations"]
        for node in found["nodes"]
    ]


@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("ground", ["light", "dark"])
@pytest.mark.parametrize("name", PAGES)
def test_axe_finds_nothing(browser: Browser, address: str, name: str, ground: str, width: int) -> None:
    """WCAG 2.2 A and AA and axe's best practice: no violation on either ground, wide or narrow."""
    page = browser.new_page(viewport={"width": width, "height": 844}, color_scheme=ground)  # type: ignore[arg-type]
    page.goto(f"{address}/{PAGES[name]}")
    for fold in page.query_selector_all("details"):
        fold.evaluate("each => each.open = true")
    assert violations(page) == []
    page.close()


@pytest.mark.parametrize("name", PAGES)
def test_nothing_runs_off_a_narrow_screen(browser: Browser, address: str, name: str) -> None:
    """At 320 CSS px no page scrolls sideways (WCAG 2.2, 1.4.10)."""
    page = browser.new_page(viewport={"width": 320, "height": 640})
    page.goto(f"{address}/{PAGES[name]}")
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    page.close()


def test_first_stop_of_the_keyboard_leads_to_the_content(quiet: Page, address: str) -> None:
    """The first Tab of a view reaches the link that skips to its heading."""
    quiet.goto(f"{address}/{PAGES['view']}")
    quiet.keyboard.press("Tab")
    target = quiet.evaluate("document.activeElement.getAttribute('href')")
    assert target.startswith("#")
    assert quiet.locator(f"h1[id='{target[1:]}']").count() == 1


def test_focus_is_seen_on_a_choice(quiet: Page, address: str) -> None:
    """The label of the radio button in focus has a ring of 3 px."""
    quiet.goto(f"{address}/{PAGES['view']}")
    quiet.locator("#cw-plate-tone").focus()
    quiet.keyboard.press("ArrowRight")
    width = quiet.evaluate("getComputedStyle(document.activeElement.nextElementSibling).outlineWidth")
    assert width == "3px"


def test_greys_are_without_colour(site: Path) -> None:
    """The style sheets name no colour whose red, green and blue differ."""
    for path in sorted((site / "assets" / "castwalk").glob("*.css")):
        for code in re.findall(r"#([0-9a-fA-F]{3,8})\b", path.read_text(encoding="utf-8")):
            digits = code if len(code) == 6 else "".join(digit * 2 for digit in code[:3])
            assert digits[0:2] == digits[2:4] == digits[4:6], f"{path.name}: #{code}"
