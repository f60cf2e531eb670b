"""Where each page of the site is, and the way from one to another."""

from __future__ import annotations

import posixpath
from urllib.parse import quote

FACTS_SCHEMA = "reference/facts.schema.json"
"""Where the description of the files of facts is published."""


def view_page(study: str, number: int) -> str:
    """Address of a view's page among the sources."""
    return f"studies/{study}/view-{number:03d}.md"


def sheet_page(study: str, number: int) -> str:
    """Address of a view's printable sheet among the sources."""
    return f"studies/{study}/sheet-{number:03d}.md"


def study_page(study: str) -> str:
    """Address of a study's page among the sources."""
    return f"studies/{study}/index.md"


def lightings_page(study: str) -> str:
    """Address of the page of a study's lamps among the sources."""
    return f"studies/{study}/lightings.md"


def course_page(study: str) -> str:
    """Address of the page of a study's course among the sources."""
    return f"studies/{study}/course.md"


def build_page(study: str) -> str:
    """Address of the page about building a study's model in clay among the sources."""
    return f"studies/{study}/build.md"


def state(lighting: str, kind: str) -> str:
    """The part after ``#`` that opens a page under a lighting, showing a plate kind."""
    return f"{lighting}/{kind}"


def way(page: str, target: str) -> str:
    """Relative link from a page to a file or a page, as published: percent-encoded, ``.md`` turned into ``.html``."""
    goal = f"{target[:-3]}.html" if target.endswith(".md") else target
    return quote(posixpath.relpath(goal, posixpath.dirname(page) or "."))


def source_way(page: str, target: str) -> str:
    """Relative link from one source to another, as written in Markdown."""
    return posixpath.relpath(target, posixpath.dirname(page) or ".")
