"""What a prompt's template may say: ``{{ … }}`` and ``{% if %}`` over facts, arithmetic, comparisons and filters.

Templates are written by tutors, so they are kept from reaching anything but the values they are given, from looping and
from growing: nothing on the list below can make a text longer than the template and its facts together.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import Any

import jinja2
from jinja2 import nodes
from jinja2.sandbox import ImmutableSandboxedEnvironment

from builder.plates.fact_list import FACTS
from builder.prompts.facts import WORDS
from builder.prompts.filters import BORROWED, FILTERS, Unfit
from builder.study.report import any_of, listed

SOURCE_LIMIT = 3000
"""Characters of one template text."""
TEXT_LIMIT = 700
"""Characters of one rendered text."""
_DEPTH_LIMIT = 30
_NUMBER_LIMIT = 1e12
PRESENT = "defined"
"""The one test: ``{% if name is defined %}`` asks whether the view has a fact."""
_TEMPLATE_FILE = "<template>"
_HTML = re.compile(r"<(?=[A-Za-z/!?])")

ALLOWED = "`{{ … }}`, `{% if %}`, comparisons, `and`, `or`, `not`, `in`, `is defined`, + - * /, lists and filters"

_ALLOWED_NODES: tuple[type[nodes.Node], ...] = (
    nodes.Template,
    nodes.Output,
    nodes.TemplateData,
    nodes.Name,
    nodes.Const,
    nodes.Filter,
    nodes.If,
    nodes.CondExpr,
    nodes.Compare,
    nodes.Operand,
    nodes.And,
    nodes.Or,
    nodes.Not,
    nodes.Test,
    nodes.Add,
    nodes.Sub,
    nodes.Mul,
    nodes.Div,
    nodes.Neg,
    nodes.Pos,
    nodes.Getitem,
    nodes.Tuple,
    nodes.List,
)
_NODE_WORDS: dict[type[nodes.Node], str] = {
    nodes.For: "a loop (`{% for %}`)",
    nodes.Call: "a call (a name followed by brackets)",
    nodes.Getattr: "a dot after a name",
    nodes.Assign: "`{% set %}`",
    nodes.AssignBlock: "`{% set %}`",
    nodes.Include: "`{% include %}`",
    nodes.Import: "`{% import %}`",
    nodes.FromImport: "`{% from %}`",
    nodes.Extends: "`{% extends %}`",
    nodes.Block: "`{% block %}`",
    nodes.Macro: "`{% macro %}`",
    nodes.Pow: "a power (`**`)",
    nodes.Mod: "a remainder (`%`)",
    nodes.FloorDiv: "a whole division (`//`)",
    nodes.Concat: "joining with `~` (write one after the other instead)",
    nodes.Dict: "braces with names",
}


def _only_text(value: object) -> object:
    if isinstance(value, str) or (isinstance(value, (int, float)) and not isinstance(value, bool)):
        return value
    if isinstance(value, jinja2.Undefined):
        return value
    if isinstance(value, (tuple, list)):
        raise Unfit("a row of numbers stands where one number or word belongs; pick one with [0] or use `shares`")
    raise Unfit("this gives neither a number nor a word")


class _Environment(ImmutableSandboxedEnvironment):
    """The sandbox with arithmetic on numbers only, of a bounded size."""

    intercepted_binops = frozenset({"+", "-", "*", "/"})

    def call_binop(self, context: Any, operator: str, left: Any, right: Any) -> Any:
        for side in (left, right):
            if isinstance(side, jinja2.Undefined):
                str(side)  # a strict one says what is missing
            if isinstance(side, bool) or not isinstance(side, (int, float)):
                raise Unfit(f"`{operator}` works on numbers")
        result = super().call_binop(context, operator, left, right)
        if abs(result) > _NUMBER_LIMIT:
            raise Unfit("this number is out of all proportion")
        return result


def _environment() -> _Environment:
    environment = _Environment(
        autoescape=False,
        undefined=jinja2.StrictUndefined,
        finalize=_only_text,
        trim_blocks=False,
        keep_trailing_newline=False,
    )
    borrowed = {name: environment.filters[name] for name in BORROWED}
    environment.filters = {**borrowed, **FILTERS}
    environment.tests = {PRESENT: environment.tests[PRESENT]}
    environment.globals = {}
    return environment


_ENVIRONMENT = _environment()


def _walk(tree: nodes.Node) -> Iterator[tuple[nodes.Node, int, int]]:
    """Every node with its line and its depth, without what stands inside nodes that are not allowed."""
    waiting: list[tuple[nodes.Node, int, int]] = [(tree, 1, 0)]
    while waiting:
        node, line, depth = waiting.pop()
        line = node.lineno or line  # some nodes carry none
        yield node, line, depth
        if isinstance(node, _ALLOWED_NODES):
            waiting += [(child, line, depth + 1) for child in node.iter_child_nodes()]


def _nearest(word: str, known: Iterable[str]) -> str:
    close = difflib.get_close_matches(word, list(known), 1, 0.6)
    return f"write `{close[0]}` if that was meant" if close else ""


def faults(source: str) -> list[tuple[int, str, str, str]]:
    """What is wrong with a template text: line within it (from 1), found, allowed, what to do; by line."""
    if len(source) > SOURCE_LIMIT:
        return [(1, f"a text of {len(source)} characters", f"at most {SOURCE_LIMIT} are allowed", "cut it in two")]
    try:
        tree = _ENVIRONMENT.parse(source)
    except jinja2.TemplateSyntaxError as error:
        said = str(error.message).rstrip(".")
        if said.startswith("Unexpected end of template"):
            said = "an `{% if %}` is never closed"
        return [(error.lineno, f"the template cannot be read ({said})", f"allowed are {ALLOWED}", "")]
    except RecursionError:
        return [(1, "the template is nested too deep", "", "make it simpler")]
    found: list[tuple[int, str, str, str]] = []
    for node, line, depth in _walk(tree):
        if depth > _DEPTH_LIMIT:
            return [(line, "the template is nested too deep", "", "make it simpler")]
        fault = _fault(node)
        if fault is not None:
            found.append((line, *fault))
    if not found:
        try:
            _compiled(source)
        except Unfit as error:
            found.append((1, str(error), "", ""))
    return sorted(set(found))


def _fault(node: nodes.Node) -> tuple[str, str, str] | None:
    if isinstance(node, (nodes.TemplateData, nodes.Const)):
        written = node.data if isinstance(node, nodes.TemplateData) else node.value
        if isinstance(written, str) and _HTML.search(written):
            return "a `<` begins an HTML tag", "plain words, **bold** and *italic* are allowed", ""
        return None
    if not isinstance(node, _ALLOWED_NODES):
        if isinstance(node, (nodes.Keyword, nodes.Slice)):
            return "a name with `=`, or a `:` in square brackets", f"allowed are {ALLOWED}", ""
        words = _NODE_WORDS.get(type(node), "this kind of template word")
        return f"{words} is not allowed in a prompt", f"allowed are {ALLOWED}", ""
    if isinstance(node, nodes.Name) and node.name not in FACTS and node.name not in WORDS:
        known = (*sorted(FACTS), *sorted(WORDS))
        return f"`{node.name}` is not a fact", f"facts and words are {listed(known)}", _nearest(node.name, known)
    if isinstance(node, nodes.Filter):
        if node.name not in _ENVIRONMENT.filters:
            filters = sorted(_ENVIRONMENT.filters)
            return f"`{node.name}` is not a filter", f"filters are {listed(filters)}", _nearest(node.name, filters)
        if node.node is None or node.kwargs or node.dyn_args is not None or node.dyn_kwargs is not None:
            return f"the filter `{node.name}` is not used as `value|{node.name}`", f"allowed are {ALLOWED}", ""
    if isinstance(node, nodes.Test) and not (
        node.name == PRESENT and isinstance(node.node, nodes.Name) and not node.args and node.dyn_args is None
    ):
        return f"a test (`is …`) that is not `name is {PRESENT}`", f"allowed are {ALLOWED}", ""
    if isinstance(node, nodes.Getitem):
        inner = node.arg.node if isinstance(node.arg, nodes.Neg) else node.arg
        if not (isinstance(inner, nodes.Const) and type(inner.value) is int):
            return "square brackets after a name without a whole number in them", "allowed is `name[0]`", ""
        row = node.node
        if isinstance(row, nodes.Name) and row.name in FACTS:
            fact = FACTS[row.name]
            if fact.shape not in ("shares", "row"):
                return f"`{row.name}` is not a row", f"rows are {any_of(_ROWS)}", f"write `{row.name}` alone"
            place = -inner.value if isinstance(node.arg, nodes.Neg) else inner.value
            if fact.shape == "row" and place not in (0, -1):
                return f"`{row.name}[{place}]` may not exist", "0, the first, and -1, the last, are allowed", ""
            if fact.shape == "shares" and not -fact.parts <= place < fact.parts:
                return f"`{row.name}[{place}]` does not exist", f"0 to {fact.parts - 1} are allowed", ""
    return None


_ROWS = tuple(sorted(name for name, fact in FACTS.items() if fact.shape in ("shares", "row")))


@lru_cache(maxsize=8192)
def names(source: str) -> frozenset[str]:
    """Facts and words a template text uses; ``source`` has no faults."""
    return frozenset(node.name for node, _, _ in _walk(_ENVIRONMENT.parse(source)) if isinstance(node, nodes.Name))


@lru_cache(maxsize=8192)
def _compiled(source: str) -> jinja2.Template:
    return _ENVIRONMENT.from_string(source)


class Unrendered(Exception):
    """A text that could not be put together: line within it (from 1) and what is the matter, in the tutor's words."""

    def __init__(self, line: int, found: str) -> None:
        super().__init__(found)
        self.line = line
        self.found = found


def rendered(source: str, values: dict[str, Any]) -> str:
    """The text for these values, white space run together; ``source`` has no faults.

    Raises :class:`Unrendered`.
    """
    try:
        text = _compiled(source).render(values)
    except Unfit as error:
        raise Unrendered(_line_of(error), str(error)) from error
    except jinja2.UndefinedError as error:
        raise Unrendered(_line_of(error), str(error.message)) from error
    except ZeroDivisionError as error:
        raise Unrendered(_line_of(error), "this divides by zero") from error
    except (TypeError, ValueError, LookupError, OverflowError, jinja2.TemplateError) as error:
        said = "a number and a word stand together where both must be the same"
        raise Unrendered(_line_of(error), said) from error
    text = " ".join(text.split())
    if len(text) > TEXT_LIMIT:
        raise Unrendered(1, f"the text comes to {len(text)} characters; at most {TEXT_LIMIT} are allowed")
    return text


def _line_of(error: BaseException) -> int:
    line, trace = 1, error.__traceback__
    while trace is not None:
        if trace.tb_frame.f_code.co_filename == _TEMPLATE_FILE:
            line = trace.tb_lineno
        trace = trace.tb_next
    return line
