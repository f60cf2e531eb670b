"""A drawing of strokes as a grey picture: dark lines on paper."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from builder.arrays import Bytes
from builder.form.stroke import Drawing
from builder.form.stroke_svg import DASH, mark_size_px, plain_width_px

PAPER, INK = 250, 20
"""sRGB codes of paper and line."""
RIM = 1.5
"""Width of the paper left round letters, in widths of a plain line."""
_FINER = 3
"""Steps of a pixel that lines are drawn in before the picture is averaged down."""


def drawing_grey(drawing: Drawing) -> Bytes:
    """(h, w) uint8 sRGB codes: the strokes and marks on paper, with soft edges."""
    size = drawing.width_px * _FINER, drawing.height_px * _FINER
    cover = Image.new("L", size, 0)
    pen = ImageDraw.Draw(cover)
    plain = plain_width_px(drawing)
    for stroke in drawing.strokes:
        points = np.vstack([stroke.points, stroke.points[:1]]) if stroke.closed else stroke.points
        width = max(1, round(stroke.weight * plain * _FINER))
        pieces = _dashes(points, DASH[0] * plain, DASH[1] * plain) if stroke.dashed else [points]
        for piece in pieces:
            # a pixel of the fine picture with index i has its centre at i + 0.5, Pillow's at i
            places = (piece * _FINER - 0.5).ravel().tolist()
            pen.line(places, fill=255, width=width, joint="curve")
            for x, y in (places[:2], places[-2:]):
                pen.ellipse((x - width / 2, y - width / 2, x + width / 2, y + width / 2), fill=255)
    font = ImageFont.load_default(mark_size_px(drawing) * _FINER)
    anchors = {"start": "ls", "middle": "ms", "end": "rs"}
    for mark in drawing.marks:
        # a rim of paper round the letters, so that a line that passes under them does not strike them out
        pen.text(
            (mark.x * _FINER, mark.y * _FINER),
            mark.text,
            fill=255,
            font=font,
            anchor=anchors[mark.anchor],
            stroke_width=round(RIM * plain * _FINER),
            stroke_fill=0,
        )
    share = np.asarray(cover.reduce(_FINER), np.float32) / 255.0
    grey: Bytes = np.rint(PAPER + (INK - PAPER) * share).astype(np.uint8)
    return grey


def _dashes(points: np.ndarray, dash: float, gap: float) -> list[np.ndarray]:
    """The dashes of a line, each with the line's own corners inside it."""
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))
    pieces = []
    for start in np.arange(0.0, along[-1], dash + gap):
        end = min(start + dash, along[-1])
        inner = points[(along > start) & (along < end)]
        ends = np.column_stack([np.interp((start, end), along, points[:, k]) for k in (0, 1)])
        pieces.append(np.vstack([ends[:1], inner, ends[1:]]))
    return pieces
