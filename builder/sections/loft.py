"""From contours and a profile to a closed surface through all of them."""

from __future__ import annotations

import numpy as np

from builder.sections.faired import faired
from builder.sections.field import between
from builder.sections.lattice import STEPS, lattice_of
from builder.sections.mirrored import mirrored
from builder.sections.outline import outline_of
from builder.sections.profiled import led
from builder.sections.sections import Sections
from builder.sections.skin import skin
from builder.sections.sliced import Body
from builder.sections.tips import tip


def lofted(sections: Sections, steps: int = STEPS) -> Body:
    """The closed surface through the contours, at least two, each with its rings: vertices (n, 3) mm, faces
    counter-clockwise from outside.

    Between contours it is what :mod:`builder.sections.field` joins and :mod:`builder.sections.faired` makes even, led
    along the profile where there is one. It ends flat at the first and the last contour, or where the profile ends
    beyond them, and at a relief's back. What is narrower than the grid's step, the greatest extent in ``steps``, may
    be lost.
    """
    assert len(sections.contours) > 1, "a form needs two contours"
    assert all(contour.rings for contour in sections.contours), "every contour has a ring"
    lattice = lattice_of(sections, steps)
    contours = mirrored(sections)
    levels, field = between(contours, lattice)
    field = faired(field, levels, lattice)
    outline = outline_of(sections)
    if outline is not None:
        field = led(field, levels, lattice, sections)
        heights, first, last = lattice.layers_mm, lattice.at[0], lattice.at[-1]
        under = tip(levels[0], heights[first], heights[:first], lattice, outline)
        over = tip(levels[-1], heights[last], heights[last + 1 :], lattice, outline)
        field = np.concatenate([under, field, over])
    return skin(field, lattice, contours)
