"""PyYAML's complaints in the tutor's words."""

from __future__ import annotations

import yaml
from yaml.reader import ReaderError

_QUOTES = "put the whole text in quotes"
_INDENT = "give the fields of one group the same number of spaces"

# What PyYAML 6 says (part of its message), what to call it, what to do; the first that fits counts.
_WORDS = (
    ("nested too deep", "lists and groups are nested too deep", "a study needs four levels at most"),
    ("found character '\\t'", "a tab stands here", "use spaces before a line's text, never tabs"),
    ("found character '@'", "a text begins with `@`", _QUOTES),
    ("found character '`'", "a text begins with a backquote", _QUOTES),
    ("found character '%'", "a text begins with `%`", _QUOTES),
    ("mapping values are not allowed", "a colon stands where none can", f"{_QUOTES}, or {_INDENT}"),
    ("could not find expected ':'", "a line here is not of the form `name: value`", f"{_QUOTES}, or {_INDENT}"),
    ("unexpected end of stream", "a quote opens here and never closes", "close it"),
    ("unexpected document separator", "a quote opens here and never closes", "close it"),
    ("expected ',' or ']'", "a list in square brackets lacks a comma or its end", "write it as `[a, b, c]`"),
    ("expected ',' or '}'", "a group in braces lacks a comma or its end", "write it as `{a: 1, b: 2}`"),
    ("sequence entries are not allowed", "a list item stands where none can", "start it on a line of its own"),
    ("escape", "a backslash in double quotes begins no known character", "use single quotes"),
    ("expected <block end>", "the line does not fit the lines above it", _INDENT),
    ("but found another document", "a second document begins here", "keep one study in a file and take out `---`"),
    ("expected '<document start>'", "the line does not fit the lines above it", _INDENT),
    ("directive", "a line begins with `%`", _QUOTES),
)  # fmt: skip


def in_plain_words(error: yaml.YAMLError, text: str) -> tuple[int, str, str]:
    """Line (0 if unknown), what was found and what to do, for an error of PyYAML on ``text``."""
    if isinstance(error, ReaderError):
        line = text.count("\n", 0, error.position) + 1
        return line, f"an invisible character (U+{error.character:04X}) stands here", "delete it"
    assert isinstance(error, yaml.MarkedYAMLError), f"unexpected {type(error)}"
    said = f"{error.problem} {error.context}"
    found, do = next(
        ((found, do) for part, found, do in _WORDS if part in said),
        ("the line cannot be read as YAML", "compare it with the example in the reference of the study file"),
    )
    # of what never closes, the beginning is the place to look
    mark = error.context_mark if "closes" in found or "its end" in found else error.problem_mark
    return (mark.line + 1 if mark else 0), found, do
