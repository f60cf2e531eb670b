"""A prompt set in columns: as large as there is room for, and what is left over goes on."""

from __future__ import annotations

import contextlib
import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from builder.paper.fonts import MM_PER_POINT, wrapped
from builder.paper.page import LEADING, Page
from builder.prompts.prompt import Prompt
from builder.words.words import Words

SIZES_PT = (10.0, 9.0, 8.5, 8.0, 7.5)
INDENT_MM = 3.6
SHARES = tuple(0.2 + 0.05 * step for step in range(17))
"""Of the height of its column, how far down text may go: the least that holds all is taken."""
Column = tuple[float, float, float, float]
"""Left, top, width, height, mm."""


@dataclass(frozen=True, slots=True)
class Block:
    """A piece of text that is not broken: a heading, a paragraph, or an item of a list with its number or bullet."""

    text: str
    kind: str
    mark: str = ""
    size: float = 1.0
    """Against the size of the text."""
    before: float = 0.35
    """Space over it, in lines."""


def task_blocks(task: Prompt, words: Words) -> tuple[Block, ...]:
    """All that a prompt says before the drawing is made."""
    return tuple(_blocks(task, words))


def _blocks(task: Prompt, words: Words) -> Iterator[Block]:
    yield Block(task.title, "H2", size=1.4)
    yield Block(task.aim, "aim")
    yield Block(f"{words.count('count.minutes', task.minutes)} · {task.medium}", "P")
    yield Block(words("sheets.steps"), "H3", before=0.9)
    for number, step in enumerate(task.steps, 1):
        yield Block(step, "LI", f"{number}")
    if task.look_for:
        yield Block(words("sheets.look_for"), "H3", before=0.9)
        for item in task.look_for:
            yield Block(item, "LI", "•")
    for item in task.cautions:
        yield Block(item, "caution", before=0.7)


def set_blocks(page: Page, blocks: Sequence[Block], columns: Sequence[Column]) -> tuple[Block, ...]:
    """Set what fits, in the largest of :data:`SIZES_PT` in which all does, all columns filled about as far.

    Returns what is left at the smallest.
    """
    size = next((size for size in SIZES_PT if not _places(blocks, columns, size)[1]), SIZES_PT[-1])
    placed, left = _places(blocks, columns, size)
    for share in SHARES if len(columns) > 1 and not left else ():
        placed, over = _places(blocks, [(x, y, wide, high * share) for x, y, wide, high in columns], size)
        if not over:
            break
    set_placed(page, placed, size)
    return left


def blocks_fit(blocks: Sequence[Block], columns: Sequence[Column]) -> bool:
    """Whether all has room in the smallest letters."""
    return not _places(blocks, columns, SIZES_PT[-1])[1]


def _places(
    blocks: Sequence[Block], columns: Sequence[Column], size: float
) -> tuple[list[tuple[Block, float, float, float]], tuple[Block, ...]]:
    """Where each block's top left corner goes, and which have no room. A heading stays with what follows it."""
    placed: list[tuple[Block, float, float, float]] = []
    column, down = 0, 0.0
    for index, block in enumerate(blocks):
        need = block_height_mm(block, columns[column][2], size)
        with_next = need
        if block.kind in ("H1", "H2", "H3") and index + 1 < len(blocks):
            with_next += block_height_mm(blocks[index + 1], columns[column][2], size)
        over = block.before * size * LEADING * MM_PER_POINT if down else 0.0
        while down + over + with_next > columns[column][3] + 1e-6:
            column, down, over = column + 1, 0.0, 0.0
            if column == len(columns):
                return placed, tuple(blocks[index:])
        x, y, wide, _ = columns[column]
        placed.append((block, x, y + down + over, wide))
        down += over + need
    return placed, ()


def block_height_mm(block: Block, wide: float, size: float) -> float:
    """How high a block is in a column ``wide`` mm wide, in letters of ``size`` points."""
    points = size * block.size
    indent = INDENT_MM if block.mark else 0.0
    return len(wrapped(block.text, points, wide - indent, _style(block))) * points * MM_PER_POINT * LEADING


def _style(block: Block) -> str:
    return "bold" if block.kind in ("H1", "H2", "H3", "aim") else "oblique" if block.kind == "caution" else "regular"


def set_placed(page: Page, placed: Sequence[tuple[Block, float, float, float]], size: float) -> None:
    """Draw blocks, each with the place of its top left corner and its width; items that follow each other are one
    list.
    """
    for listed, run in itertools.groupby(placed, lambda each: bool(each[0].mark)):
        with page.group("L") if listed else contextlib.nullcontext():
            for block, x, y, wide in run:
                _set_block(page, block, x, y, wide, size)


def _set_block(page: Page, block: Block, x: float, y: float, wide: float, size: float) -> None:
    points = size * block.size
    style = _style(block)
    tag = block.kind if block.kind in ("H1", "H2", "H3") else "P"
    if not block.mark:
        page.paragraph(x, y, wide, block.text, points, tag, bold=style == "bold", oblique=style == "oblique")
        return
    with page.group("LI"):
        base = y + points * MM_PER_POINT * (LEADING / 2 + 0.36)
        page.text(x, base, block.mark, points, bold=block.mark.isdigit(), tag="Lbl")
        page.paragraph(x + INDENT_MM, y, wide - INDENT_MM, block.text, points, "LBody")
