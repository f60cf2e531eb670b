"""Everything that is found of the form of a view before any of it is drawn: once per view, whatever the lamp."""

from __future__ import annotations

from dataclasses import dataclass

from builder.arrays import Singles
from builder.form.block_in import BlockIn, block_in
from builder.form.breaks import Break, Breaks, find_breaks
from builder.form.chains import find_chains
from builder.form.looked import Looked
from builder.form.occluding import occluding_strokes, stroke_of
from builder.form.stroke import Stroke
from builder.form.survey import Survey, survey
from builder.form.visible import depth_picture
from builder.model.symmetry import Symmetry


@dataclass(frozen=True, slots=True, eq=False)
class Formed:
    """What every study of the form is given: the view and its breaks, its contours (silhouette and occluding edges),
    its creases, its block-in, its survey, and how far away what each sample sees is (h, w) mm.
    """

    looked: Looked
    breaks: Breaks
    contours: tuple[Stroke, ...]
    creases: tuple[Stroke, ...]
    block_in: BlockIn
    survey: Survey
    depth: Singles


def form_of(looked: Looked, symmetry: Symmetry | None) -> Formed:
    """The form of a view; ``symmetry`` of its model, if that was looked for."""
    breaks = find_breaks(looked)
    contours = occluding_strokes(looked, breaks)
    creases = tuple(stroke_of(chain, "crease") for chain in find_chains(breaks, Break.CREASE))
    return Formed(
        looked, breaks, contours, creases, block_in(looked, contours), survey(looked, symmetry), depth_picture(looked)
    )
