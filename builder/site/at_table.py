"""What a pack says of its views at a student's own table: from the pack to cards that can be printed."""

from __future__ import annotations

from builder.pack import ShownView, StudyPack, StudyView
from builder.site.lamp_places import lamp_settings
from builder.table.card import SCALES, table_card
from builder.table.sheet import Card, Titles


def cards_of(pack: StudyPack, view: StudyView) -> tuple[Card, ...]:
    """The cards of a view, one for each lighting."""
    return tuple(card_of(pack, view, shown) for shown in view.shown.values())


def card_of(pack: StudyPack, view: StudyView, shown: ShownView) -> Card:
    """The card of a view under one lighting, for every size of the model."""
    lamps = lamp_settings(pack, shown.lighting)
    sizes = tuple(
        table_card(
            view.eye_mm,
            lamps,
            pack.footprint_mm,
            height_mm=pack.model.height_mm,
            ground_mm=pack.ground_mm,
            scale=scale,
        )
        for scale in SCALES
    )
    return Card(sizes, Titles(pack.study.title, view.view.number, view.view.title, shown.lighting.title))
