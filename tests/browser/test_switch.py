"""Lighting, plate and prompt can be switched by mouse, keyboard and address, and are remembered."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, Page, expect

VIEW = "studies/egg/view-002.html"
"""Opens with the tall window."""


def picture(page: Page) -> str:
    return page.locator("[data-plate-picture]").get_attribute("src") or ""


def shown_prompt(page: Page) -> str:
    return page.locator(".cw-prompt:visible .cw-aim").inner_text()


def test_opens_as_the_pack_says(quiet: Page, address: str) -> None:
    """A view opened without a choice shows the tone plate under its opening lighting, at its size."""
    quiet.goto(f"{address}/{VIEW}")
    assert picture(quiet) == "../../plates/egg/002/window-tone.webp"
    assert quiet.evaluate("document.querySelector('[data-plate-picture]').naturalWidth") == 96
    assert shown_prompt(quiet) == "Catch the whole under the tall window before any part of it."


def test_mouse_switches_plate_and_lighting(quiet: Page, address: str) -> None:
    """A click changes picture, description, caption, prompt and address together."""
    quiet.goto(f"{address}/{VIEW}")
    quiet.get_by_text("Side lamp", exact=True).first.click()
    quiet.get_by_text("Three values", exact=True).first.click()
    assert picture(quiet) == "../../plates/egg/002/side-lamp-values-3.webp"
    alt = quiet.locator("[data-plate-picture]").get_attribute("alt")
    assert alt == 'Egg & stand, view 2, side lamp, values-3: an egg, light on the "near" side'
    expect(quiet.locator(".cw-caption")).to_have_text("Three values, Side lamp", use_inner_text=True)
    assert quiet.url.endswith("#side-lamp/values-3")
    assert shown_prompt(quiet) == "Catch the whole under the side lamp before any part of it."
    assert quiet.locator("[data-lighting-anchor]").get_attribute("href") == "lightings.html#side-lamp"


def test_keyboard_switches_within_a_group(quiet: Page, address: str) -> None:
    """Arrow keys on a radio button move the choice and do not leave the page."""
    quiet.goto(f"{address}/{VIEW}")
    quiet.locator("#cw-plate-tone").focus()
    quiet.keyboard.press("ArrowRight")
    quiet.keyboard.press("ArrowRight")
    assert picture(quiet) == "../../plates/egg/002/window-values-3.webp"
    assert "view-002" in quiet.url


def test_single_keys(quiet: Page, address: str) -> None:
    """Digits choose plates, l the lighting, o the plate alone, arrows the neighbouring view with the choice kept."""
    quiet.goto(f"{address}/{VIEW}")
    quiet.keyboard.press("4")
    assert picture(quiet) == "../../plates/egg/002/window-values-5.webp"
    quiet.keyboard.press("l")
    assert picture(quiet) == "../../plates/egg/002/low-lamp-values-5.webp"
    quiet.keyboard.press("o")
    dialog = quiet.locator("dialog.cw-alone")
    expect(dialog).to_be_visible()
    quiet.keyboard.press("2")
    expect(dialog.locator("img")).to_have_attribute("src", "../../plates/egg/002/low-lamp-values-2.webp")
    quiet.keyboard.press("Escape")
    expect(dialog).to_be_hidden()
    quiet.keyboard.press("ArrowRight")
    quiet.wait_for_url(re.compile(r"/view-003\.html"))
    assert picture(quiet) == "../../plates/egg/003/low-lamp-values-2.webp"
    quiet.keyboard.press("ArrowLeft")
    quiet.wait_for_url(re.compile(r"/view-002\.html"))


def test_single_keys_can_be_switched_off(quiet: Page, address: str) -> None:
    """With the box unticked no letter or digit does anything, the theme's own included, here and on the next page."""
    quiet.goto(f"{address}/{VIEW}")
    quiet.locator(".cw-keys summary").click()
    quiet.locator("[data-keys]").uncheck()
    quiet.locator("h1").click()
    for number in (2, 3):
        quiet.goto(f"{address}/studies/egg/view-00{number}.html")
        before = picture(quiet)
        for key in ("4", "l", "o", "s", "ArrowRight"):
            quiet.keyboard.press(key)
        assert picture(quiet) == before
        assert quiet.evaluate("document.activeElement.matches('.md-search__input')") is False
        assert f"view-00{number}" in quiet.url


def test_keys_in_the_search_field_are_text(quiet: Page, address: str) -> None:
    """What is typed into a field is typed, not obeyed."""
    quiet.goto(f"{address}/{VIEW}")
    quiet.locator(".md-search__input").click()
    quiet.keyboard.type("2lo")
    assert quiet.locator(".md-search__input").input_value() == "2lo"
    assert picture(quiet) == "../../plates/egg/002/window-tone.webp"


def test_outlines_lie_over_the_picture_or_stand_alone(quiet: Page, address: str) -> None:
    """The key e, or the buttons, lay the outlines exactly over the picture, then hide it on white, then end that."""
    quiet.goto(f"{address}/{VIEW}#side-lamp/families")
    plate, lines = quiet.locator("[data-plate-picture]"), quiet.locator(".cw-plate .cw-lines")
    alt = plate.get_attribute("alt") or ""
    expect(lines).to_have_count(0)
    quiet.keyboard.press("e")
    expect(lines).to_have_attribute("src", "../../plates/egg/002/side-lamp-families-outlines.svg")
    assert lines.bounding_box() == plate.bounding_box()
    assert lines.evaluate("each => each.decode().then(() => each.naturalWidth > 0)")
    assert plate.get_attribute("alt") == f"{alt} The outlines of its shapes are drawn over it."
    assert lines.get_attribute("alt") == ""
    expect(quiet.locator(".cw-caption")).to_have_text("Light families, with outlines, Side lamp", use_inner_text=True)
    quiet.get_by_text("alone, on white", exact=True).locator("visible=true").click()
    assert plate.get_attribute("alt") == f"Only the outlines of the shapes, black on white. {alt}"
    assert plate.evaluate("each => getComputedStyle(each).opacity") == "0"
    assert plate.evaluate("each => getComputedStyle(each.parentElement).backgroundColor") == "rgb(255, 255, 255)"
    assert quiet.url.endswith("#side-lamp/families/first-look/alone")
    quiet.keyboard.press("o")
    shown, over = (quiet.locator(f"dialog.cw-alone img{which}") for which in (":not(.cw-lines)", ".cw-lines"))
    expect(over).to_be_visible()
    assert over.bounding_box() == shown.bounding_box()
    quiet.keyboard.press("Escape")
    quiet.keyboard.press("e")
    expect(quiet.locator(".cw-lines")).to_have_count(0)
    assert plate.get_attribute("alt") == alt
    assert quiet.url.endswith("#side-lamp/families")


def test_outlines_stay_chosen_past_a_plate_without_any(quiet: Page, address: str) -> None:
    """Tone, and a plate whose outlines are not made, hide the choice and show their picture; the next plate has it."""
    quiet.goto(f"{address}/{VIEW}#low-lamp/values-5//over")
    choice, file = quiet.locator("[data-choice=outlines]"), quiet.locator("[data-with-outlines] a")
    for key, name in (("1", ""), ("3", ""), ("2", "values-2")):
        quiet.keyboard.press(key)
        expect(choice).to_be_visible(visible=bool(name))
        expect(quiet.locator(".cw-plate .cw-lines")).to_have_count(1 if name else 0)
        if name:
            expect(file).to_have_attribute("href", f"../../plates/egg/002/low-lamp-{name}-outlines.svg")
    quiet.keyboard.press("1")
    quiet.keyboard.press("e")  # does nothing here
    quiet.keyboard.press("2")
    expect(quiet.locator(".cw-plate .cw-lines")).to_have_count(1)
    quiet.keyboard.press("ArrowRight")
    quiet.wait_for_url(re.compile(r"/view-003\.html#low-lamp/values-2/first-look/over$"))
    expect(quiet.locator(".cw-plate .cw-lines")).to_have_count(1)


def test_legend_follows_plate_and_lighting(quiet: Page, address: str) -> None:
    """Beside the families stands their legend, with what is said of the rule under that lighting; beside tone none."""
    quiet.goto(f"{address}/{VIEW}#side-lamp/families")
    legend = quiet.locator(".cw-legend-of:visible")
    expect(legend).to_have_count(1)
    expect(legend).to_contain_text("The family rule holds here")
    quiet.get_by_text("Tall window", exact=True).first.click()
    expect(legend).to_contain_text("most of all in the lower left of the form")
    quiet.keyboard.press("7")
    expect(legend).to_contain_text("core shadow, cast shadow and reflected light")
    quiet.keyboard.press("1")
    expect(legend).to_have_count(0)


def test_address_opens_a_state(quiet: Page, address: str) -> None:
    """The part after # opens lighting, plate and prompt, and wins over what is remembered."""
    quiet.goto(f"{address}/{VIEW}#low-lamp/values-2/values")
    assert picture(quiet) == "../../plates/egg/002/low-lamp-values-2.webp"
    assert shown_prompt(quiet) == "Place every part of the low lamp on a scale of five."
    quiet.evaluate("location.hash = 'side-lamp/values-9'")
    expect(quiet.locator("[data-plate-picture]")).to_have_attribute(
        "src", "../../plates/egg/002/side-lamp-values-9.webp"
    )


@pytest.mark.parametrize("state", ["no-such-lamp/values-3", "side-lamp/no-such-plate", "%E0%A4%A", "low-lamp/values-9"])
def test_a_wrong_address_still_shows_a_plate(quiet: Page, address: str, state: str) -> None:
    """What the part after # gets wrong falls back to what the page opens with."""
    quiet.goto(f"{address}/{VIEW}#{state}")
    assert quiet.evaluate("document.querySelector('[data-plate-picture]').naturalWidth") == 96
    assert quiet.locator(".cw-prompt:visible").count() == 1


def test_a_plate_that_is_not_made_cannot_be_chosen(quiet: Page, address: str) -> None:
    """Under the low lamp there is no nine-value plate: its button is off, and the picture goes back to tone."""
    quiet.goto(f"{address}/{VIEW}#side-lamp/values-9")
    quiet.get_by_text("Low lamp", exact=True).first.click()
    assert quiet.locator("#cw-plate-values-9").is_disabled()
    assert picture(quiet) == "../../plates/egg/002/low-lamp-tone.webp"


def test_choice_is_remembered_for_the_study(quiet: Page, address: str) -> None:
    """A choice made on one view opens the next one the same way; another study keeps its own."""
    quiet.goto(f"{address}/{VIEW}")
    quiet.get_by_text("Side lamp", exact=True).first.click()
    quiet.get_by_text("Two values", exact=True).first.click()
    quiet.goto(f"{address}/studies/egg/view-003.html")
    assert picture(quiet) == "../../plates/egg/003/side-lamp-values-2.webp"
    quiet.goto(f"{address}/studies/pebble/view-001.html")
    assert picture(quiet) == "../../plates/pebble/001/side-lamp-tone.webp"


def test_contact_sheet_switches_lighting(quiet: Page, address: str) -> None:
    """On the study's page a lighting changes every small picture, the lamps in the plan, and the links' state."""
    quiet.goto(f"{address}/studies/egg/index.html")
    assert quiet.locator("svg g[data-for-lighting]:visible").count() == 0
    quiet.get_by_text("Tall window", exact=True).first.click()
    sources = quiet.locator(".cw-contact img").evaluate_all("images => images.map(each => each.getAttribute('src'))")
    assert sources == [f"../../plates/egg/{number:03d}/window-tone-small.webp" for number in range(1, 13)]
    assert quiet.locator("polygon.cw-plan-beam:visible").count() == 3
    assert quiet.locator(".cw-contact a").first.get_attribute("href") == "view-001.html#window"
    assert quiet.locator("a.cw-plan-number").first.get_attribute("href") == "view-001.html#window"


def test_plan_number_leads_to_its_view(quiet: Page, address: str) -> None:
    """A number in the plan is a link, by keyboard too."""
    quiet.goto(f"{address}/studies/egg/index.html")
    quiet.get_by_role("link", name="View 3, ").focus()
    quiet.keyboard.press("Enter")
    quiet.wait_for_url(re.compile(r"/view-003\.html"))


def test_self_check_is_hidden_until_asked_for(quiet: Page, address: str) -> None:
    """Answers stay folded, and Space opens them."""
    quiet.goto(f"{address}/{VIEW}")
    answer = quiet.get_by_text("Is one edge lost?").locator("visible=true")
    assert answer.count() == 0
    quiet.locator(".cw-prompt:visible .cw-check summary").focus()
    quiet.keyboard.press("Space")
    assert answer.count() == 1


def test_without_scripts(browser: Browser, address: str) -> None:
    """Without JavaScript the opening plate, its lighting's prompts, every plate's file and the neighbours are there."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{address}/{VIEW}")
    assert picture(page) == "../../plates/egg/002/window-tone.webp"
    assert page.locator("fieldset:visible").count() == 0
    assert page.locator(".cw-prompt:visible").count() == 2
    page.locator(".cw-files summary").click()
    page.get_by_role("link", name="Three values").first.click()
    page.wait_for_url("**/side-lamp-values-3.webp")
    page.go_back()
    page.locator("a[rel=next]").click()
    page.wait_for_url("**/view-003.html")
    context.close()
