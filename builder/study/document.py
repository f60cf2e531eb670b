"""study.yml as a tree: plain YAML only, read without building any object."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml

from builder.study.node import Entry, Node, Odd, Scalar, clipped
from builder.study.report import Report
from builder.study.syntax import in_plain_words

_YAML_TAG = "tag:yaml.org,2002:"
_WRITE_OUT = "write the value out, or put it in quotes if it is text"
LARGEST_BYTES = 256 * 1024
DEEPEST = 12
_DECIMAL = re.compile(r"[-+]?(0|[1-9][0-9]{0,17})(\.[0-9]{0,30})?|[-+]?\.[0-9]{1,30}")


def read_document(path: Path, report: Report) -> Node | None:
    """The tree of the file at ``path``, or ``None`` with the reasons in ``report``.

    Keys written twice are reported and the first kept. Tags, anchors, references, several documents, nesting deeper
    than ``DEEPEST`` and files over ``LARGEST_BYTES`` are refused.
    """
    text = _text_of(path, report)
    root = None if text is None else _composed(text, report)
    if root is None:
        return None
    if not isinstance(root, yaml.MappingNode):
        found = f"the file holds {_converted(root, report).described()} where the fields should be"
        report.add(_line(root), found, "a study is made of lines like `title: Closed-eyed mask`")
        return None
    return _converted(root, report)


def _text_of(path: Path, report: Report) -> str | None:
    if path.is_dir():
        report.add(0, "this is a folder", "a study is a text file named study.yml")
        return None
    try:
        size = path.stat().st_size
        data = path.read_bytes() if size <= LARGEST_BYTES else b""
    except FileNotFoundError:
        report.add(0, "there is no such file", "every study has a study.yml in its folder")
        return None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else "impossible name"
        report.add(0, f"the file cannot be read ({reason})", do="check its name and permissions")
        return None
    if size > LARGEST_BYTES:
        allowed = f"a study file has at most {LARGEST_BYTES:,}"
        report.add(0, f"the file has {size:,} bytes", allowed, "keep meshes and long texts in files of their own")
        return None
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        report.add(0, "the file is saved as UTF-16", "a study file is UTF-8 text", "save it again with encoding UTF-8")
        return None
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        found = f"a character here is not UTF-8 (byte {data[error.start]:#04x})"
        report.add(line, found, "a study file is UTF-8 text", "save it again with encoding UTF-8")
        return None


def _composed(text: str, report: Report) -> yaml.Node | None:
    refused: list[tuple[int, str, str]] = []
    loader: _Loader | None = None
    try:
        loader = _Loader(text, refused)
        root = loader.get_single_node()
    except yaml.YAMLError as error:
        line, found, do = in_plain_words(error, text)
        report.add(line, found, do=do)
        return None
    except (ValueError, OverflowError):
        # PyYAML lets these through for character codes and version numbers that cannot be
        report.add(
            loader.line + 1 if loader else 0,
            "a code after a backslash or a `%` names nothing",
            do="write the character itself",
        )
        return None
    for line, found, do in refused:
        report.add(line, found, "a study file holds plain values only", do)
    if root is None:
        report.add(0, "the file is empty", "a study needs at least `title`, `mesh`, `up` and `front`")
    return None if refused else root


class _Loader(yaml.SafeLoader):
    """Composes nodes; notes in ``refused`` (line, found, what to do) and steps over what a study may not hold."""

    def __init__(self, text: str, refused: list[tuple[int, str, str]]) -> None:
        super().__init__(text)
        self._refused = refused
        self._depth = 0

    def compose_node(self, parent: yaml.Node | None, index: Any) -> yaml.Node | None:
        event: Any = self.peek_event()  # type: ignore[no-untyped-call]
        line = event.start_mark.line + 1
        if isinstance(event, yaml.AliasEvent):
            self.get_event()  # type: ignore[no-untyped-call]
            self._refused.append((line, f"`*{clipped(str(event.anchor))}` is a YAML reference", _WRITE_OUT))
            return yaml.ScalarNode(f"{_YAML_TAG}null", "", event.start_mark, event.end_mark)  # type: ignore[arg-type]
        if event.anchor is not None:
            self._refused.append((line, f"`&{clipped(event.anchor)}` is a YAML anchor", _WRITE_OUT))
            event.anchor = None
        if event.tag is not None:
            self._refused.append(
                (line, f"`{clipped(event.tag.replace(_YAML_TAG, '!!'))}` is a YAML tag", "take it out")
            )
            event.tag = None
        if self._depth == DEEPEST:
            raise yaml.composer.ComposerError(None, None, "nested too deep", event.start_mark)
        self._depth += 1
        node = super().compose_node(parent, index)
        self._depth -= 1
        return node


def _converted(node: yaml.Node, report: Report) -> Node:
    if isinstance(node, yaml.ScalarNode):
        quoted = node.style is not None
        value = node.value if quoted else _meaning(node)
        return Node(_line(node), "scalar", node.value, value, quoted)
    if isinstance(node, yaml.SequenceNode):
        return Node(_line(node), "list", items=tuple(_converted(item, report) for item in node.value))
    return Node(_line(node), "mapping", entries=tuple(_entries(node, report)))


def _entries(node: yaml.Node, report: Report) -> Iterator[Entry]:
    lines: dict[str, int] = {}
    for key, value in node.value:
        line = _line(key)
        if not isinstance(key, yaml.ScalarNode):
            report.add(line, "a list or a group stands where a field's name should", "a name is plain text")
        elif key.value in lines:
            where = "twice in this line" if lines[key.value] == line else f"here and in line {lines[key.value]}"
            found = f"`{clipped(key.value)}` stands {where}"
            report.add(line, found, "each field is given once", "keep one of the two")
        else:
            lines[key.value] = line
            yield Entry(key.value, line, _converted(value, report))


def _meaning(node: yaml.ScalarNode) -> Scalar:
    """What YAML 1.1 makes of a bare scalar; plain decimal numbers and text pass, the rest is odd."""
    text, kind = str(node.value), node.tag.rpartition(":")[2]
    if kind == "null":
        return None
    if kind == "bool":
        return yaml.SafeLoader.bool_values[text.lower()]
    if kind in ("int", "float"):
        if _DECIMAL.fullmatch(text):
            return int(text) if kind == "int" else float(text)
        return Odd(_odd_number(node, kind))
    if kind == "timestamp":
        return Odd("a date" if _is_date(text) else "a date that does not exist")
    return Odd("a sign of its own") if kind in ("merge", "value") else text


def _odd_number(node: yaml.ScalarNode, kind: str) -> str:
    """What YAML reads in 010, 0x1f, 12:30, 1_000 or 1.0e+3."""
    text = node.value.lower()
    if text.endswith(("inf", "nan")):
        return "infinity" if text.endswith("inf") else "no number at all"
    constructor: Any = yaml.constructor.SafeConstructor()
    try:
        number = getattr(constructor, f"construct_yaml_{kind}")(node)
        return f"the number {number:.15g}" if abs(number) < 1e15 else "a number beyond any use"
    except (ValueError, OverflowError):
        return "a number beyond any use"


def _is_date(text: str) -> bool:
    year, month, day = (int(part) for part in re.findall(r"\d+", text)[:3])
    try:
        datetime.date(year, month, day)
    except ValueError:
        return False
    return True


def _line(node: yaml.Node) -> int:
    return int(node.start_mark.line) + 1
