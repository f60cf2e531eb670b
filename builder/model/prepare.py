"""From a study to its model, clean, upright, on its plinth, in its room: the whole stage, read as a list of steps."""

from __future__ import annotations

import numpy as np

from builder.errors import Notice
from builder.model.axes import MM_PER_UNIT
from builder.model.clean import Clean
from builder.model.holes import FACING_DOWN, FOOT
from builder.model.load import Read, read_mesh
from builder.model.model import Model, ModelFacts, Part, Surface
from builder.model.normals import Shaded, shaded
from builder.model.plinth import plinth, plinth_mm
from builder.model.room import RADIUS_IN_SIZES, ROOM_FOR_REACH, room
from builder.model.tessellate import cut
from builder.model.triangles import Triangles, edges_of
from builder.model.working import working
from builder.sections.given import given
from builder.sections.loft import lofted
from builder.sections.tips import ends_told
from builder.study.description import Length, MeshSource, Study

BODY_CELL = 1 / 60
"""Longest edge on the sculpture, in its sizes: light is kept on the corners of its faces."""
BODY_MOST_FACES = 600_000
"""Cells are made coarser where the finest would come to more faces than this."""
SMALL_MM, LARGE_MM = 10.0, 3000.0
"""A sculpture smaller or larger than this is more likely one whose unit is wrong."""
_UNIT_NAMES = {"millimeter": "mm", "centimeter": "cm", "meter": "m", "inch": "in"}


def prepare(study: Study) -> Model:
    """The model of a study.

    Raises :class:`~builder.errors.ModelError` where the mesh file is not a usable solid. What was mended in it, or left
    as it was, is told in the model's notices.
    """
    where = _where(study)
    read = _read(study, where)
    made = working(read.triangles, study.mesh, where)
    body = made.clean.triangles
    notices = (*read.notices, *_about_size(study.mesh, read, body, where), *made.notices)
    facts = _facts(made.clean, len(read.triangles.faces), made.moved_mm)
    skin = _fine(shaded(body, study.mesh.crease_deg), body)
    return _in_room(study, skin, facts, notices)


def _where(study: Study) -> str:
    """The mesh file's name in messages: from the folder that holds the models, where it lies in there."""
    project = study.path.parent.parent.parent
    path = study.mesh.path
    return path.relative_to(project).as_posix() if path.is_relative_to(project) else path.name


def _read(study: Study, where: str) -> Read:
    """The faces of the mesh file, or those lofted through the study's contours."""
    if study.contours is None:
        return read_mesh(study.mesh.path, where)
    sections = given(study.contours)
    body = lofted(sections)
    heights = [f"{contour.height_mm:g}" for contour in sections.contours]
    along = "" if sections.profile is None else ", along a profile"
    built = f"built over {len(heights)} contours, at {', '.join(heights[:-1])} and {heights[-1]} mm{along}"
    text = f"{built}; {ends_told(sections)}"
    return Read(where, Triangles(body.vertices, body.faces), "mm", (Notice(where, text),))


def _about_size(source: MeshSource, read: Read, body: Triangles, where: str) -> tuple[Notice, ...]:
    """A word where the sculpture's size is left to the file and looks wrong."""
    if source.height_mm is not None:
        return ()
    notices = []
    if not SMALL_MM <= body.size <= LARGE_MM:
        text = f"the model is {body.size:.3g} mm across, read in {source.unit}; give its `height` if that is wrong"
        notices.append(Notice(where, text))
    named = _UNIT_NAMES.get(read.unit or "", read.unit)
    if named in MM_PER_UNIT and named != source.unit:
        notices.append(
            Notice(where, f"the file says that its unit is {named}, and the study reads it in {source.unit}")
        )
    return tuple(notices)


def _facts(clean: Clean, in_file: int, deviation: float) -> ModelFacts:
    """What is measured of the sculpture."""
    body = clean.triangles
    closed = edges_of(body).closed
    width, depth, height = (float(length) for length in body.extents)
    return ModelFacts(
        width_mm=width,
        depth_mm=depth,
        height_mm=height,
        faces=len(body.faces),
        faces_in_file=in_file,
        area_mm2=float(body.areas().sum()),
        volume_mm3=float(body.volumes().sum()) if closed and clean.bodies == 1 else None,
        closed=closed,
        holes_left=clean.holes_left,
        deviation_mm=deviation,
    )


def _fine(skin: Shaded, body: Triangles) -> Shaded:
    """The sculpture's skin cut so fine that its corners can carry light, as far as that stays affordable."""
    foot = body.vertices[body.faces][:, :, 2].max(axis=1) <= FOOT * body.extents[2]
    crosses = body.crosses()
    underside = foot & (-crosses[:, 2] >= FACING_DOWN * np.linalg.norm(crosses, axis=1))
    cell = BODY_CELL * body.size
    while True:
        fine = cut(skin, cell, underside)
        if len(fine.faces) <= max(BODY_MOST_FACES, len(skin.faces)):
            return fine
        cell *= np.sqrt(2.0)


def reach(study: Study) -> tuple[Length, ...]:
    """How far the room must go: the farthest eye or lamp given in sizes, and the farthest given in millimetres.

    What the least room holds anyway is left out, so that a nearer eye more or less leaves the model as it is.
    """
    far = [view.distance for view in study.views]
    far += [lamp.distance for lighting in study.lightings for _, lamp in lighting.lamps()]
    in_sizes = max((length.value for length in far if length.in_sizes), default=0.0)
    in_mm = max((length.value for length in far if not length.in_sizes), default=0.0)
    return (Length(max(in_sizes, RADIUS_IN_SIZES / ROOM_FOR_REACH), in_sizes=True), Length(in_mm))


def _in_room(study: Study, skin: Shaded, facts: ModelFacts, notices: tuple[Notice, ...]) -> Model:
    """The sculpture, its plinth, the ground and the backdrop as one scene."""
    size = max(facts.width_mm, facts.depth_mm, facts.height_mm)
    ground_mm = -plinth_mm(study.stand, size)
    slab = plinth(skin, study.stand, size)
    foot = skin if slab is None else slab
    outline = float(np.linalg.norm(foot.vertices[:, :2], axis=1).max())
    around = room(size, outline, ground_mm, max(length.mm(size) for length in reach(study)))
    backdrop = np.where(around.ground, Part.GROUND, Part.BACKDROP)
    pieces = [(skin, np.full(len(skin.faces), Part.MODEL))]
    if slab is not None:
        pieces.append((slab, np.full(len(slab.faces), Part.PLINTH)))
    pieces.append((around.surface, backdrop))
    starts = np.cumsum([0] + [len(piece.vertices) for piece, _ in pieces])
    scene = Surface(
        vertices=np.concatenate([piece.vertices for piece, _ in pieces]),
        faces=np.concatenate([piece.faces + start for (piece, _), start in zip(pieces, starts[:-1], strict=True)]),
        normals=np.concatenate([piece.normals for piece, _ in pieces]),
        parts=np.concatenate([parts for _, parts in pieces]).astype(np.uint8),
    )
    return Model(study.name, scene, len(skin.faces), len(skin.vertices), ground_mm + 0.0, facts, notices)
