"""Plates as files: WebP, exact where a grey is an answer, near-exact where it is a gradation."""

from __future__ import annotations

import io

import numpy as np
from PIL import Image

from builder.arrays import Bytes
from builder.light.value import codes_of_luminance, luminance_of_codes
from builder.plates.plate import Plate

QUALITY, METHOD = 94, 0
"""Of gradations. On plates of 1200 x 1500 px: 35 to 44 kB in 0.03 s, all but 2 pixels in 1,000 within 3 codes (0.15 of
a value step at most), none more than 9 off. Quality 92 takes a tenth less and is off twice as often; method 1 takes 2
to 9 kB less for the same error, in a third more time; without loss they take 145 kB."""
LOSSLESS_EFFORT, LOSSLESS_METHOD = 20, 2
"""Of value studies: 3 to 17 kB in 0.01 to 0.03 s. The greatest effort saves a tenth of the bytes for seventy times the
time."""
THUMB_QUALITY = 80


def encode(plate: Plate) -> tuple[bytes, str]:
    """The plate as a file, and the file's suffix without its dot: WebP, lossless when ``plate.lossless``, else near it.

    The same picture gives the same bytes with the same library.
    """
    if plate.lossless:
        return _webp(plate.grey, lossless=True, quality=LOSSLESS_EFFORT, method=LOSSLESS_METHOD), "webp"
    return _webp(plate.grey, lossless=False, quality=QUALITY, method=METHOD), "webp"


def thumbnail(plate: Plate, width: int = 480) -> bytes:
    """The plate ``width`` px wide (its own width if that is less) as WebP, reduced in linear light."""
    h, w = plate.grey.shape
    width = min(width, w)
    height = max(1, round(h * width / w))
    linear = Image.fromarray(luminance_of_codes(np.arange(256)).astype(np.float32)[plate.grey])
    small = np.asarray(linear.resize((width, height), Image.Resampling.BOX))
    return _webp(codes_of_luminance(small), lossless=False, quality=THUMB_QUALITY, method=METHOD)


def _webp(grey: Bytes, *, lossless: bool, quality: int, method: int) -> bytes:
    out = io.BytesIO()
    Image.fromarray(grey).save(out, "WEBP", lossless=lossless, quality=quality, method=method)
    return out.getvalue()
