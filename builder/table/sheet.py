"""The printed card of one view under one lighting: drawings to scale, and every length at three sizes of the model."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from builder.light.setting import LampSetting
from builder.light.stance import Stance
from builder.paper.document import Document
from builder.paper.formats import Paper
from builder.paper.page import Cell, Page
from builder.table.card import ARM_MM, SCALES, TableCard
from builder.table.drawing import Box, draw_plan, draw_side, drawn_scale
from builder.table.tape import tape_cm, tape_in
from builder.words.directions import side_words
from builder.words.words import Words, number

MARGIN_MM = 14.0
TEXT_PT, SMALL_PT = 8.5, 7.5
MOST_ROW_MM = 4.5
"""A row's height; less where three lamps stand on a short page."""
LEAST_DRAWING_MM, MOST_DRAWING_MM = 58.0, 100.0
"""Height of the drawings: what the table leaves."""
TEXT_MM = 84.0
"""Height of everything but drawings and table."""
PLAN_SHARE = 0.42
"""Of the width that both drawings share; on the side drawing eye and lamps stand on both sides of the model."""


@dataclass(frozen=True, slots=True)
class Titles:
    """What the card says it is of."""

    study: str
    number: int
    view: str
    lighting: str


@dataclass(frozen=True, slots=True)
class Card:
    """One view under one lighting: its ``sizes``, one for each of :data:`~builder.table.card.SCALES`."""

    sizes: tuple[TableCard, ...]
    titles: Titles


def card_document(cards: Sequence[Card], paper: Paper, words: Words) -> Document:
    """The cards of one view, a page for each lighting."""
    titles = cards[0].titles
    document = Document(words("table.document", study=titles.study, number=titles.number), words.language)
    for card in cards:
        add_card(document, paper, card, words)
        document.bookmark(card.titles.lighting, f"card-{len(document.pages)}")
    return document


def add_card(document: Document, paper: Paper, card: Card, words: Words) -> Page:
    """A page for one view under one lighting; the drawings are of the model at the study's own size."""
    titles, sizes = card.titles, card.sizes
    own = next(size for size in sizes if size.scale == 1.0)
    page = document.page(paper.width_mm, paper.height_mm)
    wide = paper.width_mm - 2 * MARGIN_MM
    heading = words("table.title", number=titles.number, lighting=titles.lighting)
    page.text(MARGIN_MM, MARGIN_MM + 5.0, heading, 15.0, bold=True, tag="H1")
    below = words("table.below", study=titles.study, view=titles.view) if titles.view else titles.study
    page.text(MARGIN_MM, MARGIN_MM + 10.5, below, TEXT_PT)
    y = MARGIN_MM + 14.0
    rows = sum(len(_rows(stance)) + 1 for stance in _stances(own))
    left = paper.height_mm - 2 * MARGIN_MM - TEXT_MM
    row = min(MOST_ROW_MM, (left - LEAST_DRAWING_MM) / rows)
    high = min(left - row * rows, MOST_DRAWING_MM)
    split = PLAN_SHARE * wide
    plan, side = Box(MARGIN_MM, y, split, high), Box(MARGIN_MM + split, y, wide - split, high)
    scale = drawn_scale(own, plan, side)
    draw_plan(page, own, plan, scale, words, titles.number)
    draw_side(page, own, side, scale, words, titles.number)
    y += high + 4.0
    for box, name in ((plan, "plan"), (side, "side")):
        caption = words(f"table.{name}_caption", scale=f"{scale:g}")
        page.text(box.x + box.width / 2, y, caption, SMALL_PT, anchor="middle", tag="Caption")
    y += 3.0
    for step in _steps(own, titles, words):
        y += page.paragraph(MARGIN_MM, y, wide, step, TEXT_PT) + 0.9
    y = _table(page, y + 3.5, wide, row, sizes, words)
    page.paragraph(MARGIN_MM, y + 1.5, wide, words("table.cautions"), SMALL_PT)
    page.bar(MARGIN_MM, paper.height_mm - MARGIN_MM, words("table.bar"))
    return page


def _steps(card: TableCard, titles: Titles, words: Words) -> Iterator[str]:
    yield words("table.step_cross", slab=_cm(card.slab_mm, words)) if card.slab_mm else words("table.step_cross_flat")
    eye = card.eye
    down = "level" if abs(eye.tilt_deg) < 1.0 else "down" if eye.tilt_deg > 0 else "up"
    yield (
        words("table.step_eye", number=titles.number, ways=_ways(eye, words), height=_cm(eye.above_mm, words))
        if (eye.above_mm > 0.0)
        else words(
            "table.step_eye_under", number=titles.number, ways=_ways(eye, words), height=_cm(-eye.above_mm, words)
        )
    )
    yield words(
        "table.step_look",
        aim=_cm(eye.aim_mm, words),
        looks=words(f"table.looks_{down}", degrees=number(abs(eye.tilt_deg), 0)),
    )
    yield words("table.step_check", arm=_cm(ARM_MM, words), pencil=number(card.pencil_mm / 10.0, 1))
    yield words("table.step_lamps")


def _table(page: Page, y: float, wide: float, row_mm: float, cards: Sequence[TableCard], words: Words) -> float:
    """Every length for every size; returns where it ends."""
    first, each = wide * 0.34, wide * 0.66 / len(cards)
    columns = [MARGIN_MM + first + each * (index + 0.5) for index in range(len(cards))]
    with page.group("Table"):
        with page.group("TR"):
            page.text(MARGIN_MM, y, words("table.size_of_model"), SMALL_PT, bold=True, cell=Cell("Column"))
            for x, card in zip(columns, cards, strict=True):
                name = words(f"table.size_{_size_name(card.scale)}", height=tape_cm(card.height_mm))
                page.text(x, y, name, SMALL_PT, bold=True, anchor="middle", cell=Cell("Column"))
        for index, heading in enumerate(_headings(cards[0], words)):
            y += row_mm
            with page.group("TR"):
                page.text(MARGIN_MM, y, heading, SMALL_PT, bold=True, cell=Cell("Row", 1 + len(cards)))
            with page.artifact():
                page.line([(MARGIN_MM, y + 1.0), (MARGIN_MM + wide, y + 1.0)], 0.15, 0.4)
            stances = [_stances(card)[index] for card in cards]
            for row in _rows(stances[0]):
                y += row_mm
                with page.group("TR"):
                    page.text(MARGIN_MM + 2.0, y, words(f"table.row_{row}"), SMALL_PT, cell=Cell("Row"))
                    for x, stance in zip(columns, stances, strict=True):
                        page.text(x, y, _length(stance, row, words), SMALL_PT, anchor="middle", cell=Cell())
    return y


def _headings(card: TableCard, words: Words) -> Iterator[str]:
    yield words("table.heading", name=words("table.your_eye"), where=_where(card.eye, words))
    for lamp in card.lamps:
        yield words(
            "table.heading",
            name=words("lightings.lamp_of", role=words(f"lightings.{lamp.role}")),
            where=_where(lamp, words),
        )


def _stances(card: TableCard) -> tuple[Stance, ...]:
    return (card.eye, *card.lamps)


def _rows(stance: Stance) -> tuple[str, ...]:
    rows: tuple[str, ...] = ("front", "side", "along", "height", "distance")
    if stance.along_mm < 0.01 * stance.distance_mm:
        rows = ("height", "distance")
    if isinstance(stance, LampSetting):
        rows += ("across",) if stance.shape == "disc" else ("wide", "high")
    return rows


def _length(stance: Stance, row: str, words: Words) -> str:
    if isinstance(stance, LampSetting) and row in ("across", "wide", "high"):
        return _both(stance.height_mm if row == "high" else stance.width_mm, words)
    length = {
        "front": stance.front_mm,
        "side": stance.left_mm,
        "along": stance.along_mm,
        "height": stance.above_mm,
        "distance": stance.distance_mm,
    }[row]
    text = _both(abs(length), words)
    if row in ("front", "side"):
        if tape_cm(abs(length)) == "0":
            return words("lightings.way_none")
        before, after = ("towards", "away") if row == "front" else ("right", "left")
        return words(f"table.way_{before if length > 0.0 else after}", length=text)
    return words("table.under", length=text) if length < 0.0 else text


def _both(length_mm: float, words: Words) -> str:
    return words("table.both", cm=tape_cm(length_mm), inches=tape_in(length_mm))


def _where(stance: Stance, words: Words) -> str:
    if stance.along_mm < 0.01 * stance.distance_mm:
        return words("lightings.bearing_over")
    name = "level" if abs(stance.tilt_deg) < 1.0 else "middle" if stance.tilt_deg > 0 else "under"
    down = words(f"table.over_{name}", degrees=number(abs(stance.tilt_deg), 0))
    return f"{side_words(words, 'lightings.bearing_', stance.bearing_deg)}, {down}"


def _ways(stance: Stance, words: Words) -> str:
    ways = []
    if tape_cm(abs(stance.front_mm)) != "0":
        ways.append(
            words(f"lightings.way_{'towards' if stance.front_mm > 0 else 'away'}", n=tape_cm(abs(stance.front_mm)))
        )
    if tape_cm(abs(stance.left_mm)) != "0":
        ways.append(words(f"lightings.way_{'right' if stance.left_mm > 0 else 'left'}", n=tape_cm(abs(stance.left_mm))))
    return words("table.and").join(ways) if ways else words("table.over_cross")


def _cm(length_mm: float, words: Words) -> str:
    return words("lightings.centimetres", n=tape_cm(length_mm))


def _size_name(scale: float) -> str:
    return {SCALES[0]: "half", SCALES[1]: "own", SCALES[2]: "twice"}[scale]
