"""Pages of the tutor's that say what a plate kind teaches: a page names its kinds in its front matter.

``plates: [grid, sight-size]`` at the top of a page makes it the page about those two, and views link to it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Any

from builder.errors import Problem, SiteError

FIELD = "plates"


def about_pages(pages: Iterable[tuple[str, str, Mapping[str, Any]]], kinds: Collection[str]) -> dict[str, str]:
    """The address of the page about each plate kind that has one.

    ``pages`` are address, file for messages, and front matter of each. Raises SiteError for a name that is no plate
    kind, and for a kind that two pages claim.
    """
    found: dict[str, tuple[str, str]] = {}
    problems = []
    for address, where, matter in pages:
        named = matter.get(FIELD, [])
        for kind in map(str, named if isinstance(named, list) else [named]):
            if kind not in kinds:
                text = f"`{FIELD}` names '{kind}', which is no plate kind"
                problems.append(Problem(where, text, f"plate kinds are: {', '.join(kinds)}"))
            elif kind in found:
                text = f"`{FIELD}` names '{kind}', as {found[kind][1]} does"
                problems.append(Problem(where, text, "one page is about a plate kind", "take it out of one of the two"))
            else:
                found[kind] = address, where
    if problems:
        raise SiteError(problems)
    return {kind: address for kind, (address, _) in found.items()}
