"""Plates of the form: groups of plates, lines over the tone plate or alone, answers opened one by one, and sheets."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.test_print import printed_page
from tests.browser.test_switch import picture

VIEW = "studies/egg/view-002.html"
SHEET = "studies/egg/sheet-002.html"


def answer(page: Page, number: int) -> Locator:
    return page.locator(f'[data-answer="{number}"]')


def lines_of(page: Page, number: int) -> Locator:
    return page.locator(f'.cw-plate [data-answer-lines="{number}"]')


def test_a_group_opens_with_its_first_plate_and_remembers(quiet: Page, address: str) -> None:
    """A click on a group shows its members and its first plate; back in a group, the plate chosen there last."""
    quiet.goto(f"{address}/{VIEW}#side-lamp/values-3")
    quiet.get_by_text("Construction", exact=True).click()
    assert quiet.url.endswith("#side-lamp/block-in-1")
    expect(quiet.locator("#cw-plate-block-in-1")).to_be_checked()
    assert quiet.locator("[data-members]:visible").evaluate_all("all => all.map(each => each.dataset.members)") == [
        "construction"
    ]
    quiet.get_by_text("Finished contour", exact=True).first.click()
    quiet.get_by_text("Light", exact=True).first.click()
    assert quiet.url.endswith("#side-lamp/values-3")
    quiet.get_by_text("Construction", exact=True).click()
    assert quiet.url.endswith("#side-lamp/block-in-4")


def test_keys_choose_group_then_member(quiet: Page, address: str) -> None:
    """g goes from group to group and round again, digits count within the group."""
    quiet.goto(f"{address}/{VIEW}")
    opened = []
    for _ in range(5):
        quiet.keyboard.press("g")
        opened.append(quiet.url.rsplit("/", 1)[1])
    assert opened == ["planes-big", "block-in-1", "sections-level", "measures", "tone"]
    quiet.keyboard.press("g")
    quiet.keyboard.press("g")
    quiet.keyboard.press("2")
    assert quiet.url.endswith("#window/block-in-4")
    quiet.keyboard.press("5")  # there is no fifth
    assert quiet.url.endswith("#window/block-in-4")


def test_groups_and_members_are_reached_by_tab_and_arrows(quiet: Page, address: str) -> None:
    """Tab goes from the groups to the members of the open one; arrows move within each and stay in it."""
    quiet.goto(f"{address}/{VIEW}")
    quiet.locator("#cw-group-light").focus()
    for _ in range(2):
        quiet.keyboard.press("ArrowRight")
    assert quiet.evaluate("document.activeElement.id") == "cw-group-construction"
    assert picture(quiet) == "../../plates/egg/002/window-tone.webp"  # under the envelope
    quiet.keyboard.press("Tab")
    assert quiet.evaluate("document.activeElement.id") == "cw-plate-block-in-1"
    quiet.keyboard.press("ArrowRight")
    assert quiet.url.endswith("#window/block-in-4")
    quiet.keyboard.press("ArrowRight")
    assert quiet.url.endswith("#window/block-in-1")


def test_groups_are_named_to_a_screen_reader(quiet: Page, address: str) -> None:
    """The groups are one named set of radio buttons, the members of the open group another."""
    quiet.goto(f"{address}/{VIEW}#window/grid")
    assert quiet.get_by_role("group", name="Plate", exact=True).get_by_role("radio").count() == 5
    members = quiet.get_by_role("group", name="Plate: Measure").get_by_role("radio")
    assert members.evaluate_all("all => all.map(each => each.value)") == ["measures", "grid"]
    assert quiet.get_by_role("group", name="Plate: Light").count() == 0


def test_lines_lie_over_the_tone_of_the_lighting(quiet: Page, address: str) -> None:
    """The same lines over each lighting's tone, exactly over it and paler; e, or the buttons, show them alone."""
    quiet.goto(f"{address}/{VIEW}#side-lamp/sections-level")
    plate, lines = quiet.locator("[data-plate-picture]"), quiet.locator(".cw-plate .cw-lines")
    for name, lighting in (("", "side-lamp"), ("Tall window", "window")):
        if name:
            quiet.get_by_text(name, exact=True).first.click()
        assert picture(quiet) == f"../../plates/egg/002/{lighting}-tone.webp"
        expect(lines).to_have_attribute("src", "../../plates/egg/002/sections-level.svg")
        assert lines.bounding_box() == plate.bounding_box()
        assert 0.5 < float(plate.evaluate("each => getComputedStyle(each).opacity")) < 1.0
    assert (plate.get_attribute("alt") or "").endswith("The lines lie over the tone plate, which is made paler.")
    expect(quiet.locator("[data-choice=outlines]")).to_be_hidden()
    quiet.keyboard.press("e")
    assert plate.evaluate("each => getComputedStyle(each).opacity") == "0"
    assert plate.evaluate("each => getComputedStyle(each.parentElement).backgroundColor") == "rgb(255, 255, 255)"
    assert plate.get_attribute("alt") == "Egg & stand, view 2, sections-level: lines alone"
    expect(quiet.locator(".cw-caption")).to_have_text("Level sections, lines alone, Tall window", use_inner_text=True)
    assert quiet.url.endswith("#window/sections-level/first-look/off/alone")
    quiet.reload()
    assert plate.evaluate("each => getComputedStyle(each).opacity") == "0"
    quiet.get_by_text("over the tone plate", exact=True).click()
    assert quiet.url.endswith("#window/sections-level")


def test_outlines_and_lines_are_chosen_apart(quiet: Page, address: str) -> None:
    """Lines alone leave the outlines of a value study as they were, and the other way round."""
    quiet.goto(f"{address}/{VIEW}#side-lamp/block-in-1")
    quiet.get_by_text("alone, on white", exact=True).locator("visible=true").click()
    quiet.keyboard.press("g")
    quiet.keyboard.press("g")
    quiet.keyboard.press("g")
    quiet.keyboard.press("2")
    assert picture(quiet) == "../../plates/egg/002/side-lamp-values-2.webp"
    expect(quiet.locator(".cw-plate .cw-lines")).to_have_count(0)
    assert quiet.locator(".cw-layers.cw-paper, .cw-layers.cw-pale").count() == 0


def test_planes_have_outlines_like_a_value_study(quiet: Page, address: str) -> None:
    """Planes are a picture of their own; their edges lie over it when asked for, and no grey's number is promised."""
    quiet.goto(f"{address}/{VIEW}#window/planes-big")
    assert picture(quiet) == "../../plates/egg/002/window-planes-big.webp"
    expect(quiet.locator(".cw-plate .cw-lines")).to_have_count(0)
    quiet.keyboard.press("e")
    expect(quiet.locator(".cw-plate .cw-lines")).to_have_attribute(
        "src", "../../plates/egg/002/window-planes-big-outlines.svg"
    )
    expect(quiet.get_by_text("The number in a shape says", exact=False)).to_be_hidden()


def test_answers_open_one_by_one_with_their_lines(quiet: Page, address: str) -> None:
    """Nothing is given away before; an opened answer shows its words and its own lines, and closing hides both."""
    quiet.goto(f"{address}/{VIEW}#window/measures")
    assert picture(quiet) == "../../plates/egg/002/window-tone.webp"
    expect(quiet.locator(".cw-plate .cw-lines")).to_have_count(0)
    for number in (1, 2):
        expect(lines_of(quiet, number)).to_be_hidden()
    expect(answer(quiet, 1).locator("p")).to_be_hidden()
    answer(quiet, 2).locator("summary").focus()
    quiet.keyboard.press("Space")
    expect(answer(quiet, 2).locator("p")).to_be_visible()
    expect(lines_of(quiet, 2)).to_be_visible()
    expect(lines_of(quiet, 1)).to_be_hidden()
    over, plate = (
        quiet.locator(".cw-plate .cw-over").bounding_box(),
        quiet.locator("[data-plate-picture]").bounding_box(),
    )
    assert over == plate
    quiet.keyboard.press("Space")
    expect(lines_of(quiet, 2)).to_be_hidden()


def test_all_answers_at_once(quiet: Page, address: str) -> None:
    """The buttons open and close all; the key a does both; elsewhere it does nothing."""
    quiet.goto(f"{address}/{VIEW}#window/measures")
    opened = "all => all.map(each => each.open)"
    quiet.get_by_role("button", name="Open all answers").click()
    assert quiet.locator("[data-answer]").evaluate_all(opened) == [True] * 3
    expect(lines_of(quiet, 1)).to_be_visible()
    quiet.get_by_role("button", name="Close all answers").click()
    assert quiet.locator("[data-answer]").evaluate_all(opened) == [False] * 3
    expect(lines_of(quiet, 1)).to_be_hidden()
    quiet.keyboard.press("a")
    assert quiet.locator("[data-answer]").evaluate_all(opened) == [True] * 3
    quiet.keyboard.press("2")  # the grid: the lines of the answers go with their plate
    expect(lines_of(quiet, 1)).to_be_hidden()
    quiet.keyboard.press("a")
    quiet.keyboard.press("1")
    expect(lines_of(quiet, 1)).to_be_visible()


def test_opened_answers_are_there_in_the_plate_alone(quiet: Page, address: str) -> None:
    """On the whole screen stand the lines of the answers that are open, and no others."""
    quiet.goto(f"{address}/{VIEW}#window/measures")
    answer(quiet, 1).locator("summary").click()
    quiet.keyboard.press("o")
    dialog = quiet.locator("dialog.cw-alone")
    expect(dialog.locator('[data-answer-lines="1"]')).to_be_visible()
    expect(dialog.locator('[data-answer-lines="2"]')).to_be_hidden()
    over, shown = dialog.locator(".cw-over").bounding_box(), dialog.locator("img").bounding_box()
    assert over == pytest.approx(shown)


def test_sides_are_hidden_until_asked_for(quiet: Page, address: str) -> None:
    """The tables of the envelope stand beside it alone, folded."""
    quiet.goto(f"{address}/{VIEW}#window/block-in-1")
    folds = quiet.locator(".cw-sides:visible")
    expect(folds).to_have_count(2)
    expect(quiet.get_by_text("6° to the right")).to_be_hidden()
    folds.first.locator("summary").click()
    expect(quiet.get_by_text("6° to the right")).to_be_visible()
    quiet.keyboard.press("2")
    expect(folds).to_have_count(0)


def test_choice_of_lines_goes_on_to_the_next_view(quiet: Page, address: str) -> None:
    """The address of the next view carries plate and lines along."""
    quiet.goto(f"{address}/{VIEW}#window/grid/first-look/off/alone")
    quiet.keyboard.press("ArrowRight")
    quiet.wait_for_url(re.compile(r"/view-003\.html#window/grid/first-look/off/alone$"))
    expect(quiet.locator(".cw-plate .cw-lines")).to_have_attribute("src", "../../plates/egg/003/grid.svg")


def test_questions_and_files_without_scripts(browser: Browser, address: str) -> None:
    """Without JavaScript the questions are there with folded answers, and the files of lines can be opened."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{address}/{VIEW}#window/measures")
    expect(answer(page, 1).locator("p")).to_be_hidden()
    answer(page, 1).locator("summary").click()
    expect(answer(page, 1).locator("p")).to_be_visible()
    page.locator(".cw-files summary").click()
    page.get_by_role("link", name="Lines: Grid").click()
    page.wait_for_url("**/grid.svg")
    context.close()


def printed_text(pdf: Path) -> str:
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, text=True).stdout
    return " ".join(text.split())


def pages_of(pdf: Path) -> int:
    info = subprocess.run(["pdfinfo", str(pdf)], check=True, capture_output=True, text=True).stdout
    return int(re.search(r"Pages:\s+(\d+)\n", info)[1])  # type: ignore[index]


@pytest.mark.parametrize("times", [1, 8])
def test_sheet_of_measures_asks_and_keeps_its_key_apart(quiet: Page, address: str, tmp_path: Path, times: int) -> None:
    """Two pages, with 3 questions and with 24: picture and prompt, then the questions; no line of an answer in the
    picture, and the key turned upside down.
    """
    quiet.goto(f"{address}/{SHEET}#window/measures")
    quiet.locator(".cw-questions-page ol").evaluate_all(
        "(lists, times) => lists.forEach(list => list.innerHTML = list.innerHTML.repeat(times))", times
    )
    pdf = tmp_path / "measures.pdf"
    quiet.pdf(path=str(pdf), prefer_css_page_size=True, print_background=True)
    assert pages_of(pdf) == 2
    text = printed_text(pdf)
    assert text.count("Does the highest point stand over the") == times
    assert text.count("the stand's rim"[::-1]) == times  # as a reader that goes by lines meets it
    assert quiet.locator(".cw-sheet [data-answer-lines]").count() == 0
    turned = quiet.locator(".cw-key").evaluate("each => getComputedStyle(each).transform")
    assert [round(float(part)) for part in re.findall(r"-?[\d.]+(?:e-?\d+)?", turned)][:4] == [-1, 0, 0, -1]


def test_sheet_of_lines_is_one_page(quiet: Page, address: str, tmp_path: Path) -> None:
    """Lines over pale tone, with what they are for and without a scale of greys."""
    pdf = printed_page(quiet, f"{address}/{SHEET}#window/block-in-1", tmp_path / "lines.pdf")
    assert pages_of(pdf) == 1
    text = printed_text(pdf)
    assert "Tall window, Envelope" in text
    assert "In few sides." in text
    assert quiet.locator(".cw-legend-of:visible").count() == 0


def test_hidden_answers_stay_hidden_on_a_printed_view(quiet: Page, address: str, tmp_path: Path) -> None:
    """Of the view's own page only opened answers are printed."""
    quiet.goto(f"{address}/{VIEW}#window/measures")
    quiet.emulate_media(media="print")
    expect(answer(quiet, 1).locator("p")).to_be_hidden()
    answer(quiet, 1).evaluate("each => each.open = true")
    expect(answer(quiet, 1).locator("p")).to_be_visible()
    expect(answer(quiet, 2).locator("p")).to_be_hidden()
