"""One picture of a body: its six sides, and the guesses of its front, numbered."""

from __future__ import annotations

import io
import tempfile
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFont
from PIL.PngImagePlugin import PngInfo

from builder.arrays import Bytes, Floats
from builder.errors import ModelError, Problem
from builder.model.axes import model_from_file
from builder.model.inspected import Inspected
from builder.model.model import Part, Surface
from builder.model.tracer import Tracer
from builder.model.triangles import Triangles
from builder.study.description import MeshSource

TILE_PX, LABEL_PX = 320, 40
PAPER, INK = 255, 20
MADE_BY, MARK_WITHIN = "castwalk inspect", 4096
"""Said in the picture's file, within so many of its first bytes: such a file may be written over."""
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
    turn = model_from_file(MeshSource(Path(), "mm", one.up, one.front, None, turn_deg=one.turn_deg), one.name)
    shown = []
    for number, guess in enumerate(one.guesses, 1):
        source = MeshSource(Path(), "mm", guess.up, guess.front, None, turn_deg=guess.turn_deg)
        # rows are right, away and up of the guess, in the frame that the body stands in
        way = f", turn {guess.turn_deg:.0f}" if guess.turn_deg else ""
        shown.append((f"{number}: up {guess.up}, front {guess.front}{way}", model_from_file(source, one.name) @ turn.T))
    return _png(_tiles(one.body, [*shown, *_sides()], TILE_PX))


def six_sides(body: Triangles, tile_px: int = TILE_PX) -> Image.Image:
    """The six sides alone, two rows of three, each tile so many pixels wide."""
    return _tiles(body, _sides(), tile_px)


def write_picture(data: bytes, path: Path, mesh: Path) -> None:
    """Put the picture at ``path`` whole; raises ModelError where that is the mesh itself, or anything but a picture
    of :func:`sides_picture`, or cannot be written.
    """
    name = None
    try:
        if path.exists():
            if path.samefile(mesh):
                raise ModelError(Problem(path.as_posix(), "is the mesh itself", do="give the picture another name"))
            if not path.is_file() or MADE_BY.encode() not in path.read_bytes()[:MARK_WITHIN]:
                reason = "exists already and is not a picture that `castwalk inspect` made"
                raise ModelError(Problem(path.as_posix(), reason, do="give another name with --picture"))
        with tempfile.NamedTemporaryFile(dir=path.parent, prefix=".views-", delete=False) as staged:
            name = staged.name
            staged.write(data)
        Path(name).replace(path)
    except OSError as error:
        if name is not None:
            Path(name).unlink(missing_ok=True)
        reason = f"the picture could not be written ({error.strerror or error})"
        raise ModelError(Problem(path.as_posix(), reason, do="check the folder and its permissions")) from error


def _sides() -> list[tuple[str, Floats]]:
    return [(name, _look(*where)) for name, where in SIDES.items()]


def _tiles(body: Triangles, shown: list[tuple[str, Floats]], tile_px: int) -> Image.Image:
    """Rows of three tiles, each a name over the body seen along the second of its axes."""
    middle = (body.vertices.min(axis=0) + body.vertices.max(axis=0)) / 2
    vertices = body.vertices - middle
    surface = Surface(vertices, body.faces, np.zeros_like(vertices), np.full(len(body.faces), Part.MODEL))
    tracer = Tracer(surface)
    crosses = body.crosses()
    normals = crosses / np.maximum(np.linalg.norm(crosses, axis=1), 1e-300)[:, None]
    reach = float(np.linalg.norm(vertices, axis=1).max())
    label_px = tile_px * LABEL_PX // TILE_PX
    sheet = Image.new("L", (3 * tile_px, len(shown) // 3 * (tile_px + label_px)), PAPER)
    draw = ImageDraw.Draw(sheet)
    font = ImageFont.load_default(label_px / 2)
    for place, (name, axes) in enumerate(shown):
        x, y = place % 3 * tile_px, place // 3 * (tile_px + label_px)
        sheet.paste(Image.fromarray(_seen(tracer, normals, axes, reach, tile_px)), (x, y + label_px))
        draw.text((x + label_px / 5, y + label_px / 5), name, INK, font)
    return sheet


def _png(picture: Image.Image) -> bytes:
    mark = PngInfo()
    mark.add_text("Software", MADE_BY)
    data = io.BytesIO()
    picture.save(data, "PNG", pnginfo=mark)
    return data.getvalue()


def _look(bearing_deg: float, level_deg: float) -> Floats:
    """(3, 3) rows: right, away and up of an eye in the model frame."""
    bearing, level = np.radians((bearing_deg, level_deg))
    right = np.array([np.cos(bearing), np.sin(bearing), 0.0])
    level_away = np.array([-np.sin(bearing), np.cos(bearing), 0.0])
    up = np.array([0.0, 0.0, 1.0])
    away = np.cos(level) * level_away - np.sin(level) * up
    return np.stack([right, away, np.cross(right, away)])


def _seen(tracer: Tracer, normals: Floats, axes: Floats, reach: float, tile_px: int) -> Bytes:
    """(tile_px, tile_px) uint8, the body about the origin seen along the second of ``axes``."""
    steps = ((np.arange(tile_px) + 0.5) / tile_px * 2 - 1) * reach * 1.05
    x, y = (part.ravel() for part in np.meshgrid(steps, -steps))
    starts = x[:, None] * axes[0] + y[:, None] * axes[2] - 2 * reach * axes[1]
    way = np.broadcast_to(axes[1], starts.shape)
    hits = tracer.first(starts.astype(np.float32), np.ascontiguousarray(way, np.float32))
    lamp = np.array([-0.5, -0.7, 0.5]) @ axes
    lit = np.clip(normals @ lamp / np.linalg.norm(lamp), 0.0, 1.0)
    grey = np.where(hits.face >= 0, 40 + 200 * lit[hits.face], PAPER)
    picture: Bytes = grey.reshape(tile_px, tile_px).astype(np.uint8)
    return picture
