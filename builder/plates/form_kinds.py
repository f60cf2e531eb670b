"""Plates of the form: each a drawing, as a picture on paper and as SVG, with the facts that belong to it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from builder.form.block_in_drawings import block_in_facts, envelope_drawing, few_lines_drawing, more_lines_drawing
from builder.form.formed import Formed
from builder.form.grid import grid_drawing, grid_facts
from builder.form.lines import line_drawing
from builder.form.measures import measures_drawing, numbered, survey_facts
from builder.form.sections import Family, sections_facts
from builder.form.sections_drawing import sections_drawing
from builder.form.sight_size import sight_size_drawing, sight_size_facts
from builder.form.stroke import Drawing
from builder.form.stroke_picture import drawing_grey
from builder.form.stroke_svg import drawing_svg
from builder.plates.main_edge import finished_drawing
from builder.plates.plate import Plate, Shown


def make_envelope(formed: Formed) -> Plate:
    """The envelope, with all that is measured of the block-in."""
    return _plate("block-in-1", envelope_drawing(formed.block_in), block_in_facts(formed.block_in))


def make_few_lines(formed: Formed) -> Plate:
    """The silhouette in few straight lines."""
    return _plate("block-in-2", few_lines_drawing(formed.block_in))


def make_more_lines(formed: Formed) -> Plate:
    """The silhouette in more straight lines."""
    return _plate("block-in-3", more_lines_drawing(formed.block_in))


def make_finished(formed: Formed, shown: Shown) -> Plate:
    """The finished contour, with the main shadow edge of the lighting."""
    return _plate("block-in-4", finished_drawing(shown, (*formed.contours, *formed.creases)))


def make_lines(formed: Formed) -> Plate:
    """The line drawing."""
    return _plate("lines", line_drawing(formed.looked, formed.breaks))


def make_sections(formed: Formed, family: Family) -> Plate:
    """One family of cross-contours."""
    drawing = sections_drawing(formed.looked, family, formed.contours, formed.depth)
    return _plate(f"sections-{family}", drawing, sections_facts(formed.looked, family))


def make_measures(formed: Formed) -> Plate:
    """All measures in one drawing."""
    return _plate("measures", measures_drawing(formed.looked, numbered(formed.survey)), survey_facts(formed.survey))


def make_grid(formed: Formed) -> Plate:
    """The grid."""
    return _plate("grid", grid_drawing(formed.looked, formed.contours), grid_facts(formed.looked))


def make_sight_size(formed: Formed) -> Plate:
    """Marks for drawing at the size seen."""
    return _plate("sight-size", sight_size_drawing(formed.looked, formed.contours), sight_size_facts(formed.looked))


def _plate(kind: str, drawing: Drawing, facts: Mapping[str, Any] | None = None) -> Plate:
    return Plate(kind, drawing_grey(drawing), True, facts or {}, drawing_svg(drawing))
