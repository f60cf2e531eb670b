"""A relief's contours gone on behind its flat back, so that no distance inside is taken from the back."""

from __future__ import annotations

from dataclasses import replace

import shapely
from shapely import MultiPolygon, Polygon
from shapely.affinity import scale

from builder.sections.sections import Contour, Sections
from builder.sections.sliced import polygons, rings_of


def mirrored(sections: Sections) -> tuple[Contour, ...]:
    """The contours; those of a relief joined with their mirror image in its back."""
    if sections.back_mm is None:
        return sections.contours
    return tuple(_doubled(contour, sections.back_mm) for contour in sections.contours)


def _doubled(contour: Contour, back_mm: float) -> Contour:
    whole: shapely.Geometry = MultiPolygon()
    for ring in contour.rings:
        whole = shapely.symmetric_difference(whole, Polygon(ring))
    behind = scale(whole, xfact=1.0, yfact=-1.0, origin=(0.0, back_mm))
    return replace(contour, rings=rings_of(polygons(shapely.union(whole, behind))))
