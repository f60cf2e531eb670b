"""Values of study.yml that hold others: lists, groups of named fields, named points.

A kind of value reads what it can and reports the rest, so that one run shows the tutor everything there is to mend.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from builder.study.node import Entry, Node, clipped
from builder.study.report import Report, listed
from builder.study.values import Choice, Kind, Name, nearest, wrong


@dataclass(frozen=True, slots=True)
class ListOf:
    """A list of values of one kind, of a fixed or a limited length. Bad items are left out after their report."""

    kind: Kind
    least: int
    most: int
    noun: str
    once: bool = False
    """Whether no item may come twice."""

    @property
    def takes(self) -> str:
        """What may stand here."""
        count = f"{self.least}" if self.least == self.most else f"{self.least} to {self.most}"
        return f"a list of {count} {self.noun}"

    def read(self, node: Node, name: str, report: Report) -> tuple[Any, ...] | None:
        """The items that are right; ``None`` unless there are as many as a list of fixed length needs."""
        if node.kind != "list" or not self.least <= len(node.items) <= self.most:
            wrong(self, node, name, report)
            return None
        read = [self.kind.read(item, f"{name} item {place}", report) for place, item in enumerate(node.items, 1)]
        items = tuple(item for item in read if item is not None)
        for place, item in enumerate(read):
            if self.once and item is not None and item in read[:place]:
                found = f"{name} item {place + 1} is {node.items[place].described()} again"
                report.add(node.items[place].line, found, "each stands once", "take one of them out")
        return items if self.least != self.most or len(items) == self.most else None


@dataclass(frozen=True, slots=True)
class Field:
    """A field of a group: its name, what it takes, what it means, and what holds without it."""

    key: str
    kind: Kind
    meaning: str
    default: Any = None
    otherwise: str = ""
    """What the reference page says of the default; empty: the default itself."""
    required: bool = False
    unless: str = ""
    """A field in whose presence this one is not needed."""


@dataclass(slots=True)
class Record:
    """The fields of a group as read. A field that was wrong or is missing has no value."""

    line: int
    values: dict[str, Any] = field(default_factory=dict)
    lines: dict[str, int] = field(default_factory=dict)

    def __getitem__(self, key: str) -> Any:
        """The value of a field, or its default."""
        return self.values[key]

    def get(self, key: str) -> Any:
        """The value of a field, or ``None`` where it was wrong or is not given."""
        return self.values.get(key)

    def given(self, key: str) -> bool:
        """Whether the file has the field."""
        return key in self.lines


@dataclass(frozen=True, slots=True)
class Group:
    """A group of named fields. ``noun`` names it with its article: "a view"."""

    noun: str
    fields: tuple[Field, ...]

    @property
    def takes(self) -> str:
        """What may stand here."""
        return f"fields, each as `name: value`: {listed(self.names())}"

    def names(self) -> tuple[str, ...]:
        """Names of the fields."""
        return tuple(field.key for field in self.fields)

    def field(self, key: str) -> Field:
        """The field of that name."""
        return next(field for field in self.fields if field.key == key)

    def defaults(self, line: int = 0) -> Record:
        """The record of a group of which nothing is written."""
        return Record(line, {field.key: field.default for field in self.fields if not field.required})

    def read(self, node: Node, name: str, report: Report) -> Record | None:
        """The record of the fields that are right; the others are reported."""
        if node.kind != "mapping":
            wrong(self, node, name, report)
            return None
        record = self.defaults(node.line)
        known = {one.key: one for one in self.fields}
        meant = set()
        for entry in node.entries:
            record.lines[entry.key] = entry.line
            if entry.key in known:
                record.values.pop(entry.key, None)
                value = self._value(known[entry.key], entry, report)
                if value is not None:
                    record.values[entry.key] = value
            else:
                meant.add(self._unknown(entry, report))
        for key in self.names():
            if known[key].required and not {key, known[key].unless} & {*record.lines, *meant}:
                found = f"`{key}` is missing{f' in {self.noun}' if name else ''}"
                report.add(node.line if name else 0, found, f"it takes {known[key].kind.takes}", f"add `{key}: ...`")
        return record

    def _value(self, field: Field, entry: Entry, report: Report) -> Any:
        if entry.node.empty:
            do = f"give it a value{'' if field.required else ' or take the line out'}"
            report.add(entry.line, f"`{entry.key}` is empty", f"it takes {field.kind.takes}", do)
            return None
        return field.kind.read(entry.node, f"`{entry.key}`", report)

    def _unknown(self, entry: Entry, report: Report) -> str | None:
        likely = nearest(entry.key, self.names())
        do = f"write `{likely}` if that is meant" if likely else "take it out"
        report.add(
            entry.line, f"`{clipped(entry.key)}` is no field of {self.noun}", f"there are {listed(self.names())}", do
        )
        return likely


@dataclass(frozen=True, slots=True)
class Variant:
    """A word of ``choice`` alone; or a group that names it under ``key`` (``adjusted``); or one without it (``own``).

    Gives a :class:`Record`, which holds ``key`` in the first two cases.
    """

    key: str
    choice: Choice
    adjusted: Group
    own: Group

    @property
    def takes(self) -> str:
        """What may stand here."""
        return f"{self.choice.takes}, or a group of fields"

    def read(self, node: Node, name: str, report: Report) -> Record | None:
        """The record of whichever of the three was written."""
        if node.kind == "mapping":
            keys = [entry.key for entry in node.entries]
            own = self.own.names()
            named = self.key in keys or any(key not in own and nearest(key, (self.key,)) for key in keys)
            return (self.adjusted if named else self.own).read(node, name, report)
        if not isinstance(node.value, str):
            wrong(self, node, name, report)
            return None
        word = self.choice.read(node, name, report)
        if word is None:
            return None
        record = self.adjusted.defaults(node.line)
        record.values[self.key], record.lines[self.key] = word, node.line
        return record


@dataclass(frozen=True, slots=True)
class NamedRows:
    """Named rows: any number of names up to ``most``, each with a list of ``row``; ``written`` shows how."""

    row: ListOf
    most: int
    written: str

    @property
    def takes(self) -> str:
        """What may stand here."""
        return f"up to {self.most} lines `name: {self.written}`"

    def read(self, node: Node, name: str, report: Report) -> tuple[tuple[str, int, tuple[Any, ...]], ...] | None:
        """Name, line and row of each; what is wrong is left out after its report."""
        if node.kind != "mapping" or len(node.entries) > self.most:
            wrong(self, node, name, report)
            return None
        rows = []
        for entry in node.entries:
            key = Name().read(Node(entry.line, "scalar", entry.key, entry.key), f"a name in {name}", report)
            row = self.row.read(entry.node, f"`{clipped(entry.key)}`", report)
            if key is not None and row is not None:
                rows.append((key, entry.line, row))
        return tuple(rows)
