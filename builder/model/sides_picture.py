"""One picture of a body: its six sides, and the guesses of its front, numbered."""

from __future__ import annotations

import io
import tempfile
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from builder.arrays import Bytes, Floats
from builder.errors import ModelError, Problem
from builder.model.axes import model_from_file
from builder.model.inspected import Inspected
from builder.model.model import Part, Surface
from builder.model.tracer import Tracer
from builder.study.description import MeshSource

TILE_PX, LABEL_PX = 320, 40
PAPER, INK = 255, 20
SIDES = {
    "front": (0.0, 0.0),
    "its left": (90.0, 0.0),
    "back": (180.0, 0.0),
    "its right": (-90.0, 0.0),
    "top": (0.0, 90.0),
    "underneath": (0.0, -90.0),
}
"""Bearing and eye level of each side, degrees."""


def sides_picture(one: Inspected) -> bytes:
    """A PNG: three rows of three, the guesses first, each seen from the front that it names; then the six sides as the
    mesh was read. Looked at from infinitely far, lit from the upper left of the eye.
    """
    turn = model_from_file(MeshSource(Path(), "mm", one.up, one.front, None), one.name)
    middle = (one.body.vertices.min(axis=0) + one.body.vertices.max(axis=0)) / 2
    vertices = one.body.vertices - middle
    surface = Surface(vertices, one.body.faces, np.zeros_like(vertices), np.full(len(one.body.faces), Part.MODEL))
    tracer = Tracer(surface)
    crosses = one.body.crosses()
    normals = crosses / np.maximum(np.linalg.norm(crosses, axis=1), 1e-300)[:, None]
    reach = float(np.linalg.norm(vertices, axis=1).max())
    shown = []
    for number, guess in enumerate(one.guesses, 1):
        file = model_from_file(MeshSource(Path(), "mm", guess.up, guess.front, None), one.name)
        # rows are right, away and up of the guess, in the frame that the body stands in
        shown.append((f"{number}: up {guess.up}, front {guess.front}", file @ turn.T))
    shown += [(name, _look(*where)) for name, where in SIDES.items()]
    sheet = Image.new("L", (3 * TILE_PX, 3 * (TILE_PX + LABEL_PX)), PAPER)
    draw = ImageDraw.Draw(sheet)
    font = ImageFont.load_default(20)
    for place, (name, axes) in enumerate(shown):
        x, y = place % 3 * TILE_PX, place // 3 * (TILE_PX + LABEL_PX)
        sheet.paste(Image.fromarray(_seen(tracer, normals, axes, reach)), (x, y + LABEL_PX))
        draw.text((x + 8, y + 8), name, INK, font)
    data = io.BytesIO()
    sheet.save(data, "PNG")
    return data.getvalue()


def write_picture(data: bytes, path: Path, mesh: Path) -> None:
    """Put the picture at ``path`` whole; raises ModelError where that is the mesh itself or cannot be written."""
    if path.exists() and path.samefile(mesh):
        raise ModelError(Problem(path.as_posix(), "is the mesh itself", do="give the picture another name"))
    name = None
    try:
        with tempfile.NamedTemporaryFile(dir=path.parent, prefix=".views-", delete=False) as staged:
            name = staged.name
            staged.write(data)
        Path(name).replace(path)
    except OSError as error:
        if name is not None:
            Path(name).unlink(missing_ok=True)
        reason = f"the picture could not be written ({error.strerror or error})"
        raise ModelError(Problem(path.as_posix(), reason, do="check the folder and its permissions")) from error


def _look(bearing_deg: float, level_deg: float) -> Floats:
    """(3, 3) rows: right, away and up of an eye in the model frame."""
    bearing, level = np.radians((bearing_deg, level_deg))
    right = np.array([np.cos(bearing), np.sin(bearing), 0.0])
    level_away = np.array([-np.sin(bearing), np.cos(bearing), 0.0])
    up = np.array([0.0, 0.0, 1.0])
    away = np.cos(level) * level_away - np.sin(level) * up
    return np.stack([right, away, np.cross(right, away)])


def _seen(tracer: Tracer, normals: Floats, axes: Floats, reach: float) -> Bytes:
    """(TILE_PX, TILE_PX) uint8, the body about the origin seen along the second of ``axes``."""
    steps = ((np.arange(TILE_PX) + 0.5) / TILE_PX * 2 - 1) * reach * 1.05
    x, y = (part.ravel() for part in np.meshgrid(steps, -steps))
    starts = x[:, None] * axes[0] + y[:, None] * axes[2] - 2 * reach * axes[1]
    way = np.broadcast_to(axes[1], starts.shape)
    hits = tracer.first(starts.astype(np.float32), np.ascontiguousarray(way, np.float32))
    lamp = np.array([-0.5, -0.7, 0.5]) @ axes
    lit = np.clip(normals @ lamp / np.linalg.norm(lamp), 0.0, 1.0)
    grey = np.where(hits.face >= 0, 40 + 200 * lit[hits.face], PAPER)
    picture: Bytes = grey.reshape(TILE_PX, TILE_PX).astype(np.uint8)
    return picture
