"""Plates as files: WebP, exact where a grey is an answer, near-exact where it is a gradation."""

from __future__ import annotations

import io

import numpy as np
from PIL import Image

from builder.light.value import codes_of_luminance, luminance_of_codes
from builder.plates.plate import Plate

QUALITY = 95
"""Of gradations. On a lit head of 1200 x 1500 px: 55 kB in 0.1 s, all but 1 pixel in 1,000 within 3 codes (0.15 of a
value step at most), and none tinted by more than a code; 90 takes 36 kB and is 5 codes off, lossless takes 215 kB."""
THUMB_QUALITY = 80
_EFFORT = 4
"""WebP method. Lossless value studies take 5 to 20 kB in 0.02 to 0.07 s, half of what a palette PNG takes; higher
methods save a tenth of the bytes for twenty times the time."""


def encode(plate: Plate) -> tuple[bytes, str]:
    """The plate as a file, and the file's suffix without its dot: WebP, lossless when ``plate.lossless``, else near it.

    The same picture gives the same bytes with the same library.
    """
    return _webp(plate.grey, plate.lossless, QUALITY), "webp"


def thumbnail(plate: Plate, width: int = 480) -> bytes:
    """The plate ``width`` px wide (its own width if that is less) as WebP, reduced in linear light."""
    h, w = plate.grey.shape
    width = min(width, w)
    height = max(1, round(h * width / w))
    linear = Image.fromarray(luminance_of_codes(plate.grey).astype(np.float32))
    small = np.asarray(linear.resize((width, height), Image.Resampling.BOX))
    return _webp(codes_of_luminance(small), False, THUMB_QUALITY)


def _webp(grey: np.ndarray, lossless: bool, quality: int) -> bytes:
    out = io.BytesIO()
    Image.fromarray(grey).save(out, "WEBP", lossless=lossless, quality=quality, method=_EFFORT)
    return out.getvalue()
