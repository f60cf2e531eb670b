"""The Jinja2 environment the pages are made with."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

from jinja2 import Environment, PackageLoader, StrictUndefined
from markdown import Markdown
from markupsafe import Markup

from builder.site.address import way
from builder.table.tape import tape_cm
from builder.words.words import Words, number, percent


def template_environment(words: Words, care: str = "", about: Mapping[str, str] | None = None) -> Environment:
    """Templates of ``builder/site/templates`` with the words as ``w`` and the filters the templates use; ``care`` is
    the address of the page of cautions, empty for none; ``about`` that of the page about each plate kind that has one.
    """
    environment = Environment(
        loader=PackageLoader("builder.site", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=False,
        keep_trailing_newline=True,
    )
    environment.globals["w"] = words
    environment.globals["care"] = care
    environment.globals["about"] = about or {}
    environment.globals["tape"] = tape_cm
    environment.filters |= {
        "way": _way,
        "n": units,
        "points": points,
        "inline": inline,
        "block": block,
        "percent": percent,
        "decimal": number,
        "zip": zip,
    }
    return environment


def units(value: float) -> str:
    """A length of a drawing with at most two decimals."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def points(corners: Sequence[tuple[float, float]]) -> str:
    """The ``points`` attribute of an SVG polygon."""
    return " ".join(f"{units(x)},{units(y)}" for x, y in corners)


@lru_cache(maxsize=20_000)  # most lines of prompts stand in many pages
def block(text: str) -> Markup:
    """Markdown paragraphs as HTML."""
    return Markup(Markdown(output_format="html").convert(text))


def inline(text: str) -> Markup:
    """One line of Markdown as HTML, without the paragraph round it."""
    return Markup(block(" ".join(text.split())).removeprefix("<p>").removesuffix("</p>"))


def _way(target: str, page: str) -> str:
    return way(page, target)
