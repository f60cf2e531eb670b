"""How properties are searched: anew on every run at the desk, the same examples each time where CI is set."""

from __future__ import annotations

import os

from hypothesis import settings

# no deadline: the first call of a compiled kernel takes seconds
settings.register_profile("desk", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "desk")
