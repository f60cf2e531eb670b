"""The prompts of a project: the built-in ones, and what the tutor put in their place.

A tutor's page lies in ``content/prompts`` and gives only what it changes:

    <kind>.md                      for every study
    <study>/<kind>.md              for one study
    <study>/<number>-<kind>.md     for one view

The later in this list, the stronger.
"""

from __future__ import annotations

import functools
import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from builder.errors import Problem, PromptError
from builder.plates.plate import FactValue
from builder.prompts import words
from builder.prompts.compared import compared_words
from builder.prompts.facts import OPTIONAL, SPECIMEN, WORDS_SPECIMEN, absences
from builder.prompts.grammar import PRESENT, Unrendered, names, rendered
from builder.prompts.opening import begin_words
from builder.prompts.page import LEVELS, MAY_BE_EMPTY, SECTIONS, TEXT_FIELDS, Page, Text, read_page
from builder.prompts.prompt import Prompt
from builder.prompts.unusual import unusual_words
from builder.study.description import Lighting, Study, View
from builder.study.report import Report, any_of

KINDS = (
    "first-look",
    "measures",
    "block-in",
    "shadow-shapes",
    "values",
    "planes",
    "cross-contours",
    "negative-shapes",
    "memory",
    "long-study",
)
"""Every prompt kind, in the order in which a student meets them."""

TEMPLATES = Path(__file__).parent / "templates"

Place = tuple[str, int, str]
"""Study (``""``: every study), view number (0: every view), kind."""

_VIEW_PAGE = re.compile(r"(?P<number>\d{1,3})-(?P<kind>.+)")


@dataclass(frozen=True, slots=True, eq=False)
class Library:
    """Every page of prompts of a project, checked. Made by :func:`load_library`."""

    language: str
    built_in: Mapping[str, Page]
    overrides: Mapping[Place, Page]
    _digest: str

    def digest(self) -> str:
        """SHA-256 over everything that was read, as hex: the same pages give the same digest."""
        return self._digest

    def problems(self, study: Study) -> tuple[Problem, ...]:
        """What is wrong with the prompt kinds a study asks for; empty when all is well."""
        where = f"{study.name}: prompts"
        unknown = [kind for kind in study.prompts.kinds if kind not in KINDS]
        return tuple(Problem(where, f"`{kind}` is not a prompt kind", f"kinds are {any_of(KINDS)}") for kind in unknown)

    def prompts(
        self, study: Study, view: View, lighting: Lighting, facts: Mapping[str, FactValue]
    ) -> tuple[Prompt, ...]:
        """The prompts of a view under a lighting, in the study's order of kinds.

        ``facts`` are those of :data:`builder.plates.fact_list.FACTS`. Raises :class:`PromptError` with every problem.
        """
        problems = list(self.problems(study))
        made = []
        for kind in study.prompts.kinds:
            if kind not in KINDS:
                continue
            pages = self._pages(study.name, view.number, kind)
            about = f"view {view.number} of {study.name} under {lighting.name}"
            level = next((page.level for page in reversed(pages) if page.level), study.prompts.level)
            minutes = next(page.minutes[level] for page in reversed(pages) if page.minutes is not None)
            found = {**unusual_words(facts), **begin_words(facts), **compared_words(facts)}
            values = {**facts, **spoken(study, view, lighting), **found, "level": level, "minutes": minutes}
            prompt, wrong = _composed(kind, pages, values, about)
            problems += wrong
            if prompt is not None:
                made.append(prompt)
        if problems:
            raise PromptError(problems)
        return tuple(made)

    def _pages(self, study: str, number: int, kind: str) -> list[Page]:
        places: tuple[Place, ...] = (("", 0, kind), (study, 0, kind), (study, number, kind))
        return [self.built_in[kind], *(self.overrides[place] for place in places if place in self.overrides)]


def spoken(study: Study, view: View, lighting: Lighting) -> dict[str, FactValue]:
    """The words of :data:`builder.prompts.facts.WORDS` that follow from the description alone."""
    seen = words.view_words(view)
    return {
        "study_title": study.title,
        "view_title": view.title or seen,
        "view_words": seen,
        "eye_words": words.eye_words(view.eye_level_deg),
        "lighting_title": lighting.title,
        "light_from": words.light_from(view, lighting.key),
        "light_clock": words.light_clock(view, lighting.key),
        "shadow_falls": words.shadow_falls(view, lighting.key),
        "unit_name": " to ".join(study.guides.unit or ()),
    }


def _composed(
    kind: str, pages: Sequence[Page], values: Mapping[str, Any], about: str
) -> tuple[Prompt | None, list[Problem]]:
    problems: list[Problem] = []

    def put(text: Text) -> str:
        missing = sorted(names(text.source) - values.keys() - OPTIONAL)
        if missing:
            problems.append(Problem(f"{text.file}:{text.line}", f"{about} has no fact {any_of(missing)}"))
            return ""
        try:
            return rendered(text.source, dict(values))
        except Unrendered as error:
            problems.append(Problem(f"{text.file}:{text.line + error.line - 1}", f"{error.found} ({about})"))
            return ""

    def filled(name: str) -> str:
        text = next(page.texts[name] for page in reversed(pages) if name in page.texts)
        before = len(problems)
        line = put(text)
        if not line and len(problems) == before:
            problems.append(Problem(f"{text.file}:{text.line}", f"`{name}` comes out empty for {about}"))
        return line

    def listed(section: str) -> tuple[str, ...]:
        items: tuple[Text, ...] = ()
        for page in pages:
            items = page.sections.get(section, items) + page.added.get(section, ())
        before = len(problems)
        lines = tuple(line for line in map(put, items) if line)
        if not lines and section != MAY_BE_EMPTY and len(problems) == before:
            heading = next(heading for heading, name in SECTIONS.items() if name == section)
            where = f"{items[0].file}:{items[0].line}" if items else pages[-1].file
            problems.append(Problem(where, f"`## {heading}` comes out empty for {about}"))
        return lines

    texts = {name: filled(name) for name in TEXT_FIELDS}
    lists = {section: listed(section) for section in SECTIONS.values()}
    if problems:
        return None, problems
    prompt = Prompt(
        kind=kind,
        title=texts["title"],
        aim=texts["aim"],
        minutes=values["minutes"],
        medium=texts["medium"],
        steps=lists["steps"],
        look_for=lists["look_for"],
        self_check=lists["self_check"],
        cautions=lists["cautions"],
    )
    return prompt, problems


def load_library(content: Path | None, studies: Mapping[str, Sequence[int]], language: str = "en") -> Library:
    """Read the built-in prompts in ``language`` and the tutor's pages in ``content/prompts``.

    ``studies`` gives the view numbers of every study by its name. Raises :class:`PromptError` with every problem of
    every page, each with its file and line.
    """
    home = TEMPLATES / language
    if not re.fullmatch(r"[a-z]{2}", language) or not home.is_dir():
        there = sorted(folder.name for folder in TEMPLATES.iterdir() if folder.is_dir())
        raise PromptError(Problem("prompts", f"there are no prompts in `{language}`", f"languages are {any_of(there)}"))
    sha = hashlib.sha256(language.encode())
    problems: list[Problem] = []
    built_in = {}
    for kind in KINDS:
        built_in[kind] = _read(home / f"{kind}.md", f"{language}/{kind}.md", sha, problems)
    overrides: dict[Place, Page] = {}
    for path, shown in _files(content):
        place, wrong = _place(shown, studies)
        if place is None:
            problems += wrong
        elif place in overrides:
            problems.append(
                Problem(shown, f"this view has its {place[2]} in {overrides[place].file} too", "", "join the two")
            )
        else:
            overrides[place] = _read(path, shown, sha, problems)
    if problems:
        raise PromptError(problems)
    return Library(language, built_in, overrides, sha.hexdigest())


def _files(content: Path | None) -> Iterator[tuple[Path, str]]:
    root = None if content is None else content / "prompts"
    if content is None or root is None or not root.is_dir():
        return
    for path in sorted(root.rglob("*")):
        if path.is_file() and not any(part.startswith(".") for part in path.relative_to(root).parts):
            yield path, f"{content.name}/{path.relative_to(content).as_posix()}"


def _place(shown: str, studies: Mapping[str, Sequence[int]]) -> tuple[Place | None, tuple[Problem, ...]]:
    """Which prompt the page of that address changes, or why none."""
    _, _, *folders, file = shown.split("/")
    if not file.endswith(".md"):
        return None, (Problem(shown, "this is not a page of prompts", "pages end in `.md`", "move it elsewhere"),)
    if len(folders) > 1:
        allowed = "allowed are `<kind>.md`, `<study>/<kind>.md` and `<study>/<number>-<kind>.md`"
        return None, (Problem(shown, "this page lies too deep", allowed),)
    study = folders[0] if folders else ""
    stem = file.removesuffix(".md")
    problems = []
    if study and study not in studies:
        problems.append(Problem(shown, f"`{study}` is not a study", _known(sorted(studies))))
    number = 0
    match = _VIEW_PAGE.fullmatch(stem)
    if match:
        number, stem = int(match["number"]), match["kind"]
        if not study:
            problems.append(Problem(shown, "a page for one view lies outside its study", "", "move it to its folder"))
        elif study in studies and number not in studies[study]:
            there = ", ".join(str(there) for there in sorted(studies[study]))
            problems.append(Problem(shown, f"{study} has no view {number}", f"views are {there}"))
    if stem not in KINDS:
        problems.append(Problem(shown, f"`{stem}` is not a prompt kind", f"kinds are {any_of(KINDS)}"))
    return (None, tuple(problems)) if problems else ((study, number, stem), ())


def _known(studies: Sequence[str]) -> str:
    return f"studies are {any_of(studies)}" if studies else "there are no studies yet"


def _read(path: Path, shown: str, sha: Any, problems: list[Problem]) -> Page:
    written = ""
    unread: tuple[str, ...] = ()
    try:
        written = path.read_bytes().decode("utf-8")
    except UnicodeDecodeError:
        unread = ("the file is not UTF-8 text", "", "save it as UTF-8")
    except OSError as error:
        unread = (f"the file cannot be read ({error.strerror})",)
    page, found = _checked(shown, written, unread)
    sha.update(f"\0{shown}\0{written}".encode())
    problems += found
    return page


@functools.lru_cache(256)
def _checked(shown: str, written: str, unread: tuple[str, ...]) -> tuple[Page, tuple[Problem, ...]]:
    """The page of a text, and all that is wrong with it; ``unread`` is what kept its file from being read. Kept, for
    trying a page costs far more than reading it, and most are the same at every build.
    """
    report = Report(shown)
    if unread:
        report.add(0, *unread)
    page = read_page(shown, written, report)
    return page, report.problems() or tuple(_tried(page))


def _tried(page: Page) -> list[Problem]:
    """What goes wrong when the page is put together for a believable view, so that mistakes show before any drawing.

    A text that uses facts which some views do not have is tried without each of them, and without all; those that are
    measured together are missing together.
    """
    found = []
    items = [text for part in (page.sections, page.added) for row in part.values() for text in row]
    for level in LEVELS:
        values = {**SPECIMEN, **WORDS_SPECIMEN, "level": level}
        for text in (*page.texts.values(), *items):
            for absent in ((), *map(sorted, absences(names(text.source)))):
                there = {name: value for name, value in values.items() if name not in absent}
                problem = _trial(text, there, absent, text in items)
                if problem is not None:
                    found.append(problem)
                    break
    return list(dict.fromkeys(found))


def _trial(text: Text, values: Mapping[str, Any], absent: Sequence[str], may_be_empty: bool) -> Problem | None:
    """What goes wrong with a text where some facts are absent; ``None`` when it reads well."""
    lack = f"some views have no {any_of(absent)}" if absent else ""
    try:
        made = rendered(text.source, dict(values))
    except Unrendered as error:
        where = f"{text.file}:{text.line + error.line - 1}"
        if not absent:
            return Problem(where, error.found)
        return Problem(
            where, lack, "", f"put what uses it between `{{% if {absent[0]} is {PRESENT} %}}` and `{{% endif %}}`"
        )
    if made or may_be_empty or not absent:
        return None
    return Problem(f"{text.file}:{text.line}", f"{lack}, and then this comes out empty", "", "say something else there")
