"""The fields of study.yml under ``cards``: section cards for building the model in clay."""

from __future__ import annotations

from typing import get_args

from builder.paper.formats import FORMATS
from builder.study.description import CardChoice, CardKind
from builder.study.groups import Field, Group
from builder.study.values import Choice, Extent, Number

_USUAL = CardChoice()

CARDS = Group(
    "the cards",
    (
        Field(
            "count",
            Number(2, 60, whole=True),
            "How many contours there are beside the footprint and the profile; their heights are chosen so that the "
            "form between them is missed by as little as can be.",
            _USUAL.count,
        ),
        Field(
            "kind",
            Choice(get_args(CardKind)),
            "`inner` cards are sections of the form that stand inside the clay; `outer` cards have the form cut out "
            "and are held against the clay.",
            _USUAL.kind,
        ),
        Field("paper", Choice(tuple(FORMATS)), "The paper they are laid out on.", _USUAL.paper),
        Field(
            "card",
            Extent(0.1, 6),
            "Thickness of the card, for which the slots are made; card of 250 gsm is about 0.3 mm.",
            None,
            f"{_USUAL.card_mm:g} mm",
        ),
        Field("height", Extent(40, 2000), "Height of the clay model.", None, "the model's own"),
        Field(
            "bridge", Extent(1, 50), "Narrower places of a card are named as weak.", None, f"{_USUAL.bridge_mm:g} mm"
        ),
        Field("cover", Extent(0, 50), "Clay over the edge of an inner card.", None, "none: the edge is the surface"),
    ),
)
