"""Cross-contours: the lines in which parallel planes cut the sculpture, where the eye sees them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from builder.arrays import Floats, Ints, Singles, frozen
from builder.camera.projection import project
from builder.form.looked import Looked
from builder.form.slices import NUDGE, Slices, slices
from builder.form.smoothing import smooth_line
from builder.form.visible import seen, tolerance_mm, visible_parts

Family = Literal["level", "upright", "oblique"]
PLANES_IN_HEIGHT = 15
"""Into how many layers sections cut a model where the study does not say."""
STEP_PX = 1.0
"""How closely points of a section are tried for being seen."""
CRUMB_PX = 8.0
"""Seen parts of a section that are no longer are left out: about a millimetre on the sheet, they lead nowhere."""


@dataclass(frozen=True, slots=True, eq=False)
class Planes:
    """The parallel planes ``normal . p = offset_mm + i * spacing_mm``, for every whole i; normal (3,) unit."""

    normal: Floats
    offset_mm: float
    spacing_mm: float

    def __post_init__(self) -> None:
        """Freeze the normal."""
        object.__setattr__(self, "normal", frozen(self.normal, "f8", (3,)))


@dataclass(frozen=True, slots=True, eq=False)
class Section:
    """A seen part of where plane ``number`` of its family cuts the sculpture: points (m, 2) px; ``closed``: the last
    joins the first.
    """

    number: int
    points: Floats
    closed: bool

    def __post_init__(self) -> None:
        """Freeze the points."""
        object.__setattr__(self, "points", frozen(self.points, "f8", (None, 2)))


def spacing_mm(looked: Looked) -> float:
    """From one plane to the next: as the study says, or a fifteenth of the model's height in whole mm, at least 1."""
    chosen = looked.guides.sections_mm
    return chosen if chosen is not None else max(1.0, float(round(looked.model.facts.height_mm / PLANES_IN_HEIGHT)))


def family_planes(looked: Looked, family: Family) -> Planes:
    """The planes of a family, the same for all views of a study.

    ``level``: parallel to the ground, counted from the sculpture's base, so that number times spacing is a height.
    ``upright``: planes of constant x, plane 0 through the model's middle: on a head each is a profile.
    ``oblique``: planes that lean from level by the study's ``oblique_deg``, rising towards the back, plane 0 through
    the middle. If they leaned sideways, they would be straight lines from in front, as the upright ones are; as they
    lean, they turn most where those do not, so that no bearing has every family edge-on.
    """
    middle, lean = looked.model.middle_mm, np.radians(looked.guides.oblique_deg)
    if family == "level":
        return Planes(np.array([0.0, 0.0, 1.0]), 0.0, spacing_mm(looked))
    normal = np.array([1.0, 0.0, 0.0]) if family == "upright" else np.array([0.0, -np.sin(lean), np.cos(lean)])
    return Planes(normal, float(normal @ middle), spacing_mm(looked))


def sections(looked: Looked, family: Family, depth: Singles) -> tuple[Section, ...]:
    """What is seen of every section of a family, plane by plane.

    A point is hidden where its triangle is turned away (of a closed model) or where something stands before it:
    ``depth`` is the view's, as :func:`~builder.form.visible.depth_picture` gives it.
    """
    planes, model, eye = family_planes(looked, family), looked.model, looked.eye
    vertices, faces = model.scene.vertices[: model.body_vertices], model.scene.faces[: model.body_faces]
    cut = slices(vertices, faces, planes.normal, planes.offset_mm, planes.spacing_mm)
    points, face, first = _finer(looked, cut)
    normals = _normals(vertices, faces, face)
    visible = seen(eye, depth, points, tolerance_mm(eye, points, normals))
    if model.facts.closed:
        visible &= ((eye.position - points) * normals).sum(axis=1) > 0
    places, _ = project(eye, points)
    found = []
    for k in np.argsort(cut.plane, kind="stable").tolist():
        line = slice(first[k], first[k + 1])
        for part, closed in visible_parts(places[line], visible[line], bool(cut.closed[k]), CRUMB_PX):
            found.append(Section(int(cut.plane[k]), smooth_line(part, closed)[0], closed))
    return tuple(found)


def sections_facts(looked: Looked, family: Family) -> dict[str, float | int]:
    """``sections_spacing_mm``; how many planes of the family cut the model, seen or not, as ``sections_level_planes``
    and so on; for slanting ones ``sections_lean_deg`` from level.
    """
    planes, model = family_planes(looked, family), looked.model
    place = (model.scene.vertices[: model.body_vertices] @ planes.normal - planes.offset_mm) / planes.spacing_mm
    count = int(np.ceil(place.max() - NUDGE) - np.floor(place.min() + NUDGE)) - 1
    facts: dict[str, float | int] = {
        "sections_spacing_mm": planes.spacing_mm,
        f"sections_{family}_planes": max(count, 0),
    }
    if family == "oblique":
        facts["sections_lean_deg"] = looked.guides.oblique_deg
    return facts


def _finer(looked: Looked, cut: Slices) -> tuple[Floats, Ints, NDArray[np.int64]]:
    """The lines of a cut with points at most ``STEP_PX`` apart in the picture: points, faces and first points, as
    :class:`Slices` has them.
    """
    count = len(cut.points)
    after, ends = np.arange(1, count + 1), cut.first[1:] - 1
    after[ends] = np.where(cut.closed, cut.first[:-1], ends)
    places, _ = project(looked.eye, cut.points)
    length = np.nan_to_num(np.hypot(*(places[after] - places).T))
    steps = np.maximum(1, np.ceil(length / STEP_PX)).astype(np.int64)
    of, start = np.repeat(np.arange(count), steps), np.append(0, np.cumsum(steps))
    part = ((np.arange(len(of)) - start[of]) / steps[of])[:, None]
    return cut.points[of] + part * (cut.points[after[of]] - cut.points[of]), cut.face[of], start[cut.first]


def _normals(vertices: Floats, faces: Ints, chosen: Ints) -> Floats:
    """Unit normals of the triangles ``chosen`` (n,) of ``faces``: (n, 3)."""
    a, b, c = (vertices[faces[chosen, k]] for k in range(3))
    across = np.cross(b - a, c - a)
    unit: Floats = across / np.maximum(np.linalg.norm(across, axis=1), 1e-300)[:, None]
    return unit
