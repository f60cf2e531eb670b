"""Grey as the eye, the standard and the screen count it: Munsell value, lightness L*, sRGB codes.

Luminance is relative, 0..1, 1 being the white of the picture. Everything clips to that range: nothing darker than black
or lighter than white can be written.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit
from numpy.typing import ArrayLike

from builder.arrays import Bytes, Floats

_VALUE = (0.0, 1.1914, -0.22533, 0.23352, -0.020484, 0.00081939)
"""Luminance in percent as a polynomial of value, ASTM D1535, lowest power first."""
_CIE_KNEE = (6 / 29) ** 3
_SRGB_KNEE = 0.0031308
_SRGB_KNEE_ENCODED = 0.04045


def luminance_of_value(value: ArrayLike) -> Floats:
    """Relative luminance, any shape, of Munsell value 0..10 (clipped). Source: ASTM D1535, quintic."""
    v = np.clip(np.asarray(value, np.float64), 0.0, 10.0)
    return np.asarray(np.minimum(_percent(v) / 100.0, 1.0))


def value_of_luminance(luminance: ArrayLike) -> Floats:
    """Munsell value 0..10, any shape, of relative luminance 0..1 (clipped).

    The inverse of the ASTM D1535 quintic: a table of 4,097 values gives it within 1e-6, one step of Newton within 1e-9.
    """
    percent = np.clip(np.asarray(luminance, np.float64), 0.0, 1.0) * 100.0
    v = np.interp(percent, _TABLE_PERCENT, _TABLE_VALUE)
    v -= (_percent(v) - percent) / _slope(v)
    return np.asarray(np.clip(v, 0.0, 10.0))


@njit(cache=True, nogil=True)
def value_between(luminance: float, value_of_root: Floats) -> float:
    """Munsell value of one relative luminance (clipped), from :data:`VALUE_OF_ROOT`, for loops over pixels.

    Within 3e-5: value runs nearly straight with the root of luminance.
    """
    last = len(value_of_root) - 1
    root = np.sqrt(min(max(luminance, 0.0), 1.0)) * last
    k = min(int(root), last - 1)
    return float(value_of_root[k] + (root - k) * (value_of_root[k + 1] - value_of_root[k]))


def lightness(luminance: ArrayLike) -> Floats:
    """CIE L* 0..100, any shape, of relative luminance 0..1 (clipped). Source: ISO/CIE 11664-4."""
    y = np.clip(np.asarray(luminance, np.float64), 0.0, 1.0)
    return np.where(y > _CIE_KNEE, 116.0 * np.cbrt(y) - 16.0, y * (29 / 3) ** 3)


def srgb_encode(luminance: ArrayLike) -> Floats:
    """Encoded grey 0..1, any shape, of relative luminance 0..1 (clipped). Source: IEC 61966-2-1."""
    y = np.clip(np.asarray(luminance, np.float64), 0.0, 1.0)
    return np.where(y > _SRGB_KNEE, 1.055 * y ** (1 / 2.4) - 0.055, y * 12.92)


def srgb_decode(encoded: ArrayLike) -> Floats:
    """Relative luminance, any shape, of encoded grey 0..1 (clipped). Source: IEC 61966-2-1."""
    e = np.clip(np.asarray(encoded, np.float64), 0.0, 1.0)
    return np.where(e > _SRGB_KNEE_ENCODED, ((e + 0.055) / 1.055) ** 2.4, e / 12.92)


def codes_of_luminance(luminance: ArrayLike) -> Bytes:
    """Nearest 8-bit sRGB code, any shape, of relative luminance (clipped to 0..1).

    Each of 4,096 equal bins of luminance meets at most one border between codes (the closest two lie 1/3295 apart), so
    one look-up and one comparison give the exact code.
    """
    y = np.asarray(luminance)
    if y.dtype != np.float32:
        y = y.astype(np.float64)
    codes = np.zeros(y.size, np.uint8)
    _codes(np.ascontiguousarray(y).ravel(), _BIN_CODE, _CODE_BORDER, codes)
    return codes.reshape(y.shape)


@njit(cache=True, nogil=True)
def _codes(luminance: Any, bin_code: Bytes, border: Floats, codes: Bytes) -> None:
    bins = np.float32(len(bin_code) - 1)
    for i in range(len(luminance)):
        y = min(max(luminance[i], 0.0), 1.0)
        below = bin_code[int(y * bins)]
        codes[i] = below + (y >= border[below])


def luminance_of_codes(codes: ArrayLike) -> Floats:
    """Relative luminance, any shape, of 8-bit sRGB codes."""
    return np.asarray(_CODE_LUMINANCE[np.asarray(codes, np.uint8)])


def _percent(v: Floats) -> Floats:
    _, a, b, c, d, e = _VALUE
    return np.asarray(v * (a + v * (b + v * (c + v * (d + v * e)))))


def _slope(v: Floats) -> Floats:
    _, a, b, c, d, e = _VALUE
    return np.asarray(a + v * (2 * b + v * (3 * c + v * (4 * d + v * 5 * e))))


_TABLE_VALUE = np.linspace(0.0, 10.0, 4097)
_TABLE_PERCENT = _percent(_TABLE_VALUE)
_CODE_LUMINANCE = srgb_decode(np.arange(256) / 255.0)
_BINS = 4096
# A bin's code is that of its lower end, taken a little lower still: bins are found in single precision, which may round
# a luminance just below an end up into the next bin.
_CODE_BORDER = np.append(srgb_decode((np.arange(255) + 0.5) / 255.0), np.inf)
_BIN_CODE = np.searchsorted(_CODE_BORDER, np.arange(_BINS + 1) / _BINS - 1e-6, side="right").astype(np.uint8)

VALUE_OF_ROOT = value_of_luminance(np.linspace(0.0, 1.0, 1025) ** 2)
"""(1025,) Munsell value by the square root of luminance, even steps from 0 to 1."""
