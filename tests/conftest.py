"""How properties are searched (anew on every run at the desk, the same examples each time where CI is set), and what
rooms share.
"""

from __future__ import annotations

import os

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
