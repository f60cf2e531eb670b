"""What lies beyond the first and the last contour, where the profile goes on."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import map_coordinates

from builder.arrays import Floats, Singles
from builder.sections.lattice import Lattice
from builder.sections.outline import Outline, outline_of
from builder.sections.sections import Sections

SEEN_MM = 0.5
"""A profile that goes on by less beyond a contour ends with it."""


def ends_told(sections: Sections) -> str:
    """What is taken to lie under the first contour and over the last, in words."""
    outline = outline_of(sections)
    first, last = sections.contours[0], sections.contours[-1]
    drawn = []
    if outline is not None and outline.bottom < first.height_mm - SEEN_MM:
        drawn.append(f"under contour {first.number} down to {outline.bottom:.4g} mm")
    if outline is not None and outline.top > last.height_mm + SEEN_MM:
        drawn.append(f"above contour {last.number} up to {outline.top:.4g} mm")
    if drawn:
        return f"{' and '.join(drawn)} its sections narrow evenly with the profile"
    return f"it ends flat at {first.height_mm:g} and {last.height_mm:g} mm"


def tip(level: Floats, height_mm: float, layers_mm: Floats, lattice: Lattice, outline: Outline) -> Singles:
    """Signed distances (n, b, a) at layers (n,) beyond a contour, whose own are ``level`` (b, a).

    Each section is the contour drawn in evenly, as much smaller as the profile's chord is, and moved in depth until
    its chord in the profile's plane is the profile's.
    """
    ahead, behind = outline.front(height_mm), outline.back(height_mm)
    x, y = lattice.x_mm, lattice.y_mm
    sections = np.zeros((len(layers_mm), *level.shape), np.float32)
    for row, layer in enumerate(layers_mm.tolist()):
        share = (outline.back(layer) - outline.front(layer)) / (behind - ahead)
        across = outline.x_mm + (x - outline.x_mm) / share
        deep = ahead + (y - outline.front(layer)) / share
        place = np.meshgrid((deep - y[0]) / lattice.step_mm, (across - x[0]) / lattice.step_mm, indexing="ij")
        sections[row] = share * map_coordinates(level, place, order=1, mode="nearest")
    return sections
