"""Plates as they are printed: no finer than paper shows, grey, and without a second loss."""

from __future__ import annotations

import io
import math
from pathlib import Path

import numpy as np
from PIL import Image

from builder.light.value import codes_of_luminance, luminance_of_codes

MOST_DPI = 300.0
"""Finer than this a printer's screen shows nothing of a grey (from memory: screens have 85 to 150 lines an inch)."""


def printed_plate(file: Path, width_mm: float) -> bytes:
    """The plate as a grey PNG for a print ``width_mm`` wide: reduced in linear light where it is finer than
    :data:`MOST_DPI`, else its own pixels.
    """
    with Image.open(file) as opened:
        picture = opened.convert("L")
    most = math.ceil(width_mm / 25.4 * MOST_DPI)
    if picture.width > most:
        height = max(1, round(picture.height * most / picture.width))
        linear = Image.fromarray(luminance_of_codes(np.arange(256)).astype(np.float32)[np.asarray(picture)])
        reduced = np.asarray(linear.resize((most, height), Image.Resampling.BOX))
        picture = Image.fromarray(codes_of_luminance(reduced))
    out = io.BytesIO()
    picture.save(out, "PNG", compress_level=6)
    return out.getvalue()
