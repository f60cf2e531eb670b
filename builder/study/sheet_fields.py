"""The fields of study.yml under ``sheets``: how its views are printed."""

from __future__ import annotations

from typing import get_args

from builder.paper.formats import FORMATS
from builder.study.description import SheetChoice, SheetMarks
from builder.study.groups import Field, Group, ListOf
from builder.study.values import Choice, Extent

SHEETS = Group(
    "the sheets",
    (
        Field(
            "papers",
            ListOf(Choice(tuple(FORMATS)), 1, len(FORMATS), "kinds of paper", once=True),
            "The paper that views are laid out for as PDF. Each more adds its own files.",
            SheetChoice().papers,
            "`a4`",
        ),
        Field(
            "height",
            Extent(40, 400),
            "Height of the frame that students draw in, which is that of the picture beside it and of the overlay. A "
            "frame too large for two on a page has a page of its own.",
            None,
            "the greatest for two frames on a page",
        ),
        Field(
            "marks",
            Choice(get_args(SheetMarks)),
            "What picture and frame share: the squares of `guides`, or lines at the ends and halves of the form.",
            SheetChoice().marks,
        ),
    ),
)
