"""A page of prompt text as written in a file: fields at its top, then sections that are lists."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise

import yaml

from builder.prompts.grammar import faults
from builder.study.report import Report, any_of

LEVELS = ("beginner", "steady", "advanced")
TEXT_FIELDS = ("title", "aim", "medium")
FIELDS = ("title", "aim", "minutes", "medium", "level")
SECTIONS: Mapping[str, str] = {
    "Steps": "steps",
    "Look for": "look_for",
    "Check yourself": "self_check",
    "Take care": "cautions",
}
"""Headings, with the part of a prompt that each fills."""
ADDED = ", added"
"""A heading that ends so adds to the list it would otherwise replace."""
MAY_BE_EMPTY = "cautions"

MOST_MINUTES = 600
MOST_ITEMS = 12
FILE_LIMIT = 65_536

_ITEM = re.compile(r"(?:[-*+]|\d{1,2}[.)])[ \t]+(?P<text>.*)$")


@dataclass(frozen=True, slots=True)
class Text:
    """A template text and where it stands."""

    source: str
    file: str
    line: int


@dataclass(frozen=True, slots=True)
class Page:
    """What one file says of a prompt; whatever it leaves out is inherited. ``minutes`` is per level."""

    file: str
    texts: Mapping[str, Text] = field(default_factory=dict)
    minutes: Mapping[str, int] | None = None
    level: str | None = None
    sections: Mapping[str, tuple[Text, ...]] = field(default_factory=dict)
    added: Mapping[str, tuple[Text, ...]] = field(default_factory=dict)


def read_page(file: str, written: str, report: Report) -> Page:
    """The page in the text ``written`` of ``file``. Problems go to ``report``; what is unreadable is left out."""
    if len(written) > FILE_LIMIT:
        report.add(0, f"the file has {len(written)} characters", f"at most {FILE_LIMIT} are allowed")
        return Page(file)
    lines = written.replace("\r\n", "\n").replace("\r", "\n").removeprefix("\ufeff").split("\n")
    start = 0
    texts: dict[str, Text] = {}
    minutes: Mapping[str, int] | None = None
    level: str | None = None
    if lines[0].rstrip() == "---":
        end = next((n for n, line in enumerate(lines[1:], 1) if line.rstrip() == "---"), None)
        if end is None:
            report.add(1, "the fields begin with `---` and never end", "", "close them with a line `---`")
            return Page(file)
        start = end + 1
        for name, node in _fields(lines[1:end], report):
            if name == "minutes":
                minutes = _minutes(node, report)
            elif name == "level":
                level = _level(node, report)
            else:
                text = _text_field(name, node, file, report)
                if text is not None and _checked(text, report):
                    texts[name] = text
    sections, added = _sections(file, lines, start, report)
    return Page(file, texts, minutes, level, sections, added)


def _fields(lines: list[str], report: Report) -> list[tuple[str, yaml.Node]]:
    head = "\n".join(lines)
    try:
        root = yaml.compose(head, Loader=yaml.SafeLoader)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        do = "put a text in quotes if it has a colon in it or begins with `{`, and take out tabs"
        report.add(mark.line + 2 if mark else 1, "the fields cannot be read", "allowed are lines `name: value`", do)
        return []
    if root is None:
        return []
    if not isinstance(root, yaml.MappingNode):
        report.add(2, "the fields are not written as `name: value`", f"fields are {any_of(FIELDS)}")
        return []
    seen: dict[str, int] = {}
    found_fields = []
    for key, value in root.value:
        line = key.start_mark.line + 2
        name = str(key.value)
        if name not in FIELDS:
            report.add(line, f"`{name}` is not a field of a prompt", f"fields are {any_of(FIELDS)}")
        elif name in seen:
            report.add(line, f"`{name}` is given twice", "", f"keep this one or the one in line {seen[name]}")
        else:
            seen[name] = line
            found_fields.append((name, value))
    return found_fields


def _text_field(name: str, node: yaml.Node, file: str, report: Report) -> Text | None:
    line = node.start_mark.line + 2
    if not isinstance(node, yaml.ScalarNode) or not str(node.value).strip():
        report.add(line, f"`{name}` is not a text", "", "write a few words; put them in quotes if they begin with `{`")
        return None
    return Text(str(node.value).strip(), file, line)


def _whole(node: yaml.Node) -> int | None:
    if isinstance(node, yaml.ScalarNode) and node.style is None and re.fullmatch(r"[1-9]\d{0,2}", str(node.value)):
        number = int(str(node.value))
        return number if number <= MOST_MINUTES else None
    return None


def _minutes(node: yaml.Node, report: Report) -> Mapping[str, int] | None:
    line = node.start_mark.line + 2
    allowed = f"a whole number from 1 to {MOST_MINUTES}, or one for each of {any_of(LEVELS)}"
    number = _whole(node)
    if number is not None:
        return dict.fromkeys(LEVELS, number)
    if isinstance(node, yaml.MappingNode):
        pairs = {str(key.value): _whole(value) for key, value in node.value}
        if sorted(pairs) == sorted(LEVELS) and len(node.value) == len(LEVELS):
            whole = {name: minutes for name, minutes in pairs.items() if minutes is not None}
            if len(whole) == len(LEVELS):
                return whole
    report.add(line, "`minutes` is not a time", f"allowed is {allowed}")
    return None


def _level(node: yaml.Node, report: Report) -> str | None:
    if isinstance(node, yaml.ScalarNode) and node.value in LEVELS:
        return str(node.value)
    said = f"`{node.value}`" if isinstance(node, yaml.ScalarNode) else "this"
    report.add(node.start_mark.line + 2, f"{said} is not a level", f"levels are {any_of(LEVELS)}")
    return None


def _checked(text: Text, report: Report) -> bool:
    found = faults(text.source)
    for line, said, allowed, do in found:
        report.add(text.line + line - 1, said, allowed, do)
    return not found


def _sections(
    file: str, lines: list[str], start: int, report: Report
) -> tuple[dict[str, tuple[Text, ...]], dict[str, tuple[Text, ...]]]:
    sections: dict[str, tuple[Text, ...]] = {}
    added: dict[str, tuple[Text, ...]] = {}
    headings: dict[str, int] = {}
    bounds = [n for n in range(start, len(lines)) if lines[n].startswith("#")] + [len(lines)]
    _loose(lines, start, bounds[0], report)
    for here, following in pairwise(bounds):
        heading = lines[here].lstrip("#").strip()
        name = SECTIONS.get(heading.removesuffix(ADDED))
        if name is None or not lines[here].startswith("## "):
            headed = any_of(f"## {section}" for section in SECTIONS)
            allowed = f"sections are {headed}, each with `{ADDED}` behind it to add to the list"
            report.add(here + 1, f"`{lines[here].strip()}` is not a section of a prompt", allowed)
            continue
        if heading in headings:
            report.add(here + 1, f"`## {heading}` is given twice", "", f"join it to line {headings[heading]}")
            continue
        headings[heading] = here + 1
        items = _items(file, lines, here + 1, following, report)
        if not items and (heading.endswith(ADDED) or name != MAY_BE_EMPTY):
            report.add(here + 1, f"`## {heading}` has no item", "", "write a line that begins with `- ` under it")
        if len(items) > MOST_ITEMS:
            report.add(here + 1, f"`## {heading}` has {len(items)} items", f"at most {MOST_ITEMS} are allowed")
        checked = tuple(item for item in items if _checked(item, report))
        (added if heading.endswith(ADDED) else sections)[name] = checked
    return sections, added


def _loose(lines: list[str], start: int, end: int, report: Report) -> None:
    line = next((n for n in range(start, end) if lines[n].strip()), None)
    if line is not None:
        report.add(line + 1, "text stands outside a section", "", "put it in a list under a `## ` heading")


def _items(file: str, lines: list[str], start: int, end: int, report: Report) -> list[Text]:
    items: list[tuple[int, list[str]]] = []
    for number in range(start, end):
        begun = _ITEM.match(lines[number])
        if begun:
            items.append((number + 1, [begun["text"]]))
        elif not lines[number].strip():
            if items:
                items[-1][1].append("")
        elif items and lines[number][0] in " \t":
            items[-1][1].append(lines[number].strip())
        else:
            do = "begin it with `- `, or with two spaces if it goes on from the line above; an `{% if %}` stands inside"
            report.add(number + 1, "this line belongs to no item", "", f"{do} its item, and an empty item is left out")
    return [Text("\n".join(parts).rstrip(), file, line) for line, parts in items]
