"""Links a teacher writes to a view, turned into links of the site.

``view:<study>/<number>[/<lighting>[/<plate kind>]]`` stands where a link's address stands, ``[text](view:mask/7)``, or
a picture's, ``![](view:mask/7/side-lamp/values-3)``. Code and comments are left as they are.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

from builder.errors import Problem, SiteError
from builder.pack import Pack, PlateFile, StudyPack, StudyView
from builder.site.address import source_way, state, view_page, way
from builder.site.pages import opening_plate

SCHEME = "view:"
TARGET = r"view:(?P<{}>[^\s)\"']*)"
ADDRESS = re.compile(
    rf"!\[(?P<alt>[^\]]*)\]\(\s*{TARGET.format('picture')}[^)]*\)"
    rf"|(?P<before>\]\(\s*|^ {{0,3}}\[[^\]]+\]:\s+){TARGET.format('link')}",
    re.MULTILINE,
)
FENCE = re.compile(r"^[ \t>]*(`{3,}|~{3,})")
COMMENT_OR_CODE = re.compile(r"<!--.*?-->|(?P<ticks>(?<!`)`+(?!`))(?:(?!\n\s*\n).)+?(?<!`)(?P=ticks)(?!`)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Target:
    """What a ``view:`` address names; ``lighting`` and ``kind`` are ``None`` where it leaves them open."""

    study: StudyPack
    view: StudyView
    lighting: str | None
    kind: str | None

    @property
    def plate(self) -> PlateFile:
        """The plate named, or the one that opens."""
        lighting = self.lighting or self.view.opens_with
        if self.kind is not None:
            return self.view.shown[lighting].plates[self.kind]
        return opening_plate(self.view, lighting)


def rewrite_links(text: str, pack: Pack, page: str, where: str, first_line: int = 1) -> str:
    """The Markdown of a page with its ``view:`` addresses resolved.

    ``page`` is the page's address among the sources; ``where`` its file, and ``first_line`` the line of it that the
    text begins at, for messages. Raises SiteError with every address that names nothing.
    """
    if SCHEME not in text:
        return text
    code = code_ranges(text)
    starts = [start for start, _ in code]
    problems: list[Problem] = []

    def resolve(match: re.Match[str]) -> str:
        before = bisect_right(starts, match.start()) - 1
        if before >= 0 and match.start() < code[before][1]:
            return match[0]
        group = "link" if match["picture"] is None else "picture"
        line = first_line + text.count("\n", 0, match.start(group))
        found = find_target(match[group], pack, f"{where}:{line}")
        if isinstance(found, Problem):
            problems.append(found)
            return match[0]
        if group == "picture":
            return _picture(found, match["alt"], page)
        return match["before"] + _link(found, page)

    rewritten = ADDRESS.sub(resolve, text)
    if problems:
        raise SiteError(problems)
    return rewritten


def find_target(address: str, pack: Pack, where: str) -> Target | Problem:
    """What ``<study>/<number>[/<lighting>[/<plate kind>]]`` names, or what is wrong with it."""
    parts = address.strip("/").split("/")
    found = f"'{SCHEME}{address}'"
    if not 2 <= len(parts) <= 4:
        return Problem(where, f"{found} is not the address of a view", "write view:study/number/lighting/plate-kind")
    studies = {study.study.name: study for study in pack.studies}
    study = studies.get(parts[0])
    if study is None:
        return Problem(where, f"{found} names no study '{parts[0]}'", _one_of("studies", studies))
    views = {str(view.view.number): view for view in study.views}
    view = views.get(parts[1].lstrip("0"))
    if view is None:
        return Problem(where, f"{found} names no view '{parts[1]}' of {parts[0]}", _one_of("views", views))
    lighting = parts[2] if len(parts) > 2 else None
    if lighting is not None and lighting not in view.shown:
        return Problem(where, f"{found} names no lighting '{lighting}' of that view", _one_of("lightings", view.shown))
    kind = parts[3] if len(parts) > 3 else None
    if lighting is not None and kind is not None and kind not in view.shown[lighting].plates:
        allowed = _one_of("plate kinds", view.shown[lighting].plates)
        return Problem(where, f"{found} names no plate kind '{kind}' of that view", allowed)
    return Target(study, view, lighting, kind)


def code_ranges(text: str) -> list[tuple[int, int]]:
    """Start and end of every stretch of Markdown that is fenced code, a code span or a comment, in order."""
    ranges = []
    prose_from, at, fence, fence_from = 0, 0, "", 0
    for line in text.splitlines(keepends=True):
        mark = FENCE.match(line)
        if not fence and mark:
            ranges += _spans(text, prose_from, at)
            fence, fence_from = mark[1], at
        elif fence and mark and mark[1].startswith(fence) and not line[mark.end() :].strip():
            ranges.append((fence_from, at + len(line)))
            fence, prose_from = "", at + len(line)
        at += len(line)
    return [*ranges, (fence_from, at)] if fence else ranges + _spans(text, prose_from, at)


def _spans(text: str, start: int, end: int) -> list[tuple[int, int]]:
    return [match.span() for match in COMMENT_OR_CODE.finditer(text, start, end)]


def _one_of(what: str, names: Iterable[str]) -> str:
    return f"{what} there: {', '.join(names)}"


def _link(target: Target, page: str) -> str:
    address = source_way(page, view_page(target.study.study.name, target.view.view.number))
    return address if target.lighting is None else f"{address}#{state(target.lighting, target.plate.kind)}"


def _picture(target: Target, alt: str, page: str) -> str:
    plate = target.plate
    return (
        f'<img class="cw-picture" src="{way(page, plate.address)}" alt="{escape(alt.strip() or plate.alt)}"'
        f' width="{plate.width_px}" height="{plate.height_px}" loading="lazy">'
    )
