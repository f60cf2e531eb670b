"""How properties are searched (anew on every run at the desk, the same examples each time where CI is set), and what
rooms share.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import settings

from builder.words.words import Words, load_words

# no deadline: the first call of a compiled kernel takes seconds
settings.register_profile("desk", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "desk")


@pytest.fixture(scope="session")
def words() -> Words:
    return load_words()


SLOW_FIRST = ("test_build.py", "browser", "planes", "cards", "sections")
"""Files and folders under tests/ that take longest: begun first, so that no process ends long after the others."""
TOGETHER = ("browser",)
"""Folders whose files share something dear to make."""


@pytest.hookimpl(tryfirst=True)  # before xdist reads the groups
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Keep the tests of a file in one process, and begin with the slowest."""
    tests = Path(__file__).parent

    def place(item: pytest.Item) -> int:
        room = item.path.relative_to(tests).parts[0]
        return SLOW_FIRST.index(room) if room in SLOW_FIRST else len(SLOW_FIRST)

    items.sort(key=place)
    for item in items:
        path = item.path.relative_to(tests)
        item.add_marker(pytest.mark.xdist_group(path.parts[0] if path.parts[0] in TOGETHER else path.as_posix()))
