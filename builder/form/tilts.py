"""Angles of a view's main lines, off level or off plumb."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from builder.camera.projection import project
from builder.form.measure_lines import Place
from builder.form.survey import Survey

LEAST_SHARE = 0.03
"""A line shorter than this share of the silhouette's height has no angle to check."""
AXIS_SHARE = 0.2
"""The middle line is drawn between landmarks this far apart in the picture, as a share of the height, if there are."""


@dataclass(frozen=True, slots=True)
class Angle:
    """A line from ``one`` to ``two`` and its angle, -45 to 45 degrees.

    Off ``level`` positive when it rises to the right, off ``plumb`` when its top leans to the right. ``ends``
    are names of the landmarks it runs through, empty for the form's upright axis.
    """

    name: str
    one: Place
    two: Place
    off: Literal["level", "plumb"]
    degrees: float
    ends: tuple[str, ...] = ()


def angle(name: str, one: Place, two: Place, ends: tuple[str, ...] = ()) -> Angle:
    """The angle of a line, off level where it lies nearer to level than to plumb."""
    across, up = two[0] - one[0], one[1] - two[1]
    if abs(across) >= abs(up):
        degrees = math.degrees(math.atan2(up, across) if across > 0 else math.atan2(-up, -across))
        return Angle(name, one, two, "level", degrees, ends)
    degrees = math.degrees(math.atan2(across, up) if up > 0 else math.atan2(-across, -up))
    return Angle(name, one, two, "plumb", degrees, ends)


def tilts(view: Survey) -> Iterator[Angle]:
    """The study's tilts with both ends seen, in the study's order."""
    for tilt in view.looked.guides.tilts:
        both = view.both_seen(tilt.landmarks)
        if both is not None and math.dist(both[0].place, both[1].place) >= LEAST_SHARE * view.height:
            yield angle(tilt.name, both[0].place, both[1].place, tilt.landmarks)


def central_axis(view: Survey) -> Angle | None:
    """The form's middle line: through the highest and the lowest landmark on it that are seen, else the upright axis
    in its mirror plane, drawn through the form's middle; None for a form that is not symmetrical.
    """
    if view.symmetry is None:
        return None
    places = [landmark for name in view.middle if (landmark := view.landmark(name)) is not None and landmark.seen]
    if len(places) > 1 and math.dist(places[0].place, places[-1].place) >= AXIS_SHARE * view.height:
        top, low = places[0], places[-1]
        return angle("", low.place, top.place, (top.name, low.name))
    model, up = view.looked.model, view.symmetry.up
    along = (model.scene.vertices[: model.body_vertices] - view.symmetry.point) @ up
    ends = np.array(view.symmetry.point) + np.outer((along.min(), along.max()), up)
    (low_x, low_y), (top_x, top_y) = project(view.looked.eye, ends)[0].tolist()
    if not math.dist((low_x, low_y), (top_x, top_y)) >= LEAST_SHARE * view.height:
        return None
    return angle("", (low_x, low_y), (top_x, top_y))
