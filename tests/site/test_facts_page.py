"""The tutor's page of facts."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

from builder.plates.fact_list import FACTS, GROUPS
from builder.site.facts_page import COMMAND, facts_page

PAGE = Path(__file__).parents[2] / "content" / "reference" / "facts.md"


def test_the_page_in_the_manual_is_up_to_date() -> None:
    """A changed fact reaches the tutor's page."""
    assert PAGE.read_text(encoding="utf-8") == facts_page(), f"the page is out of date; run: {COMMAND}"


def test_the_command_in_the_message_is_the_one_that_writes_the_page() -> None:
    """The message above is of use only if its command works."""
    target = re.fullmatch(r"python -m builder\.site\.facts_page > (\S+)", COMMAND)
    assert target and PAGE.parents[2] / target[1] == PAGE
    done = subprocess.run([sys.executable, "-m", "builder.site.facts_page"], capture_output=True, check=True)
    assert done.stdout.decode("utf-8") == facts_page()


def test_every_fact_has_its_row_under_its_heading() -> None:
    """Name, unit, meaning and when it is missing; the four counts of values share their rows."""
    parts = dict(re.findall(r"^## (.+?)\n(.*?)(?=^## |\Z)", facts_page(), re.MULTILINE | re.DOTALL))
    for group in GROUPS:
        rows = re.findall(r"^\| `(\w+)` \| ([a-z/]+) \| (.+?) \| (.*?) ?\|$", parts[group.title], re.MULTILINE)
        told = {name: (unit, missing) for name, unit, _, missing in rows}
        assert told == {re.sub(r"^values_\d", "values_N", fact.name): (fact.unit, fact.missing) for fact in group.facts}
        assert len(rows) == len(told)
    assert {fact.unit for fact in FACTS.values()} <= set(re.findall(r"mm/px|\w+", facts_page()))


def test_every_row_has_as_many_cells_as_its_head() -> None:
    """A stray bar in a text would shift the columns."""
    width = 0
    for line in facts_page().splitlines():
        width = (width or line.count("|")) if line.startswith("|") else 0
        assert line.count("|") in (width, 0)
