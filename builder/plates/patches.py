"""Where the subject is darkest and lightest, over patches big enough for a brush."""

from __future__ import annotations

import numpy as np
from scipy import ndimage

from builder.arrays import Floats
from builder.plates.plate import FactValue, Shown

PATCH_SHARE = 0.06
"""Side of a patch against the longer side of the silhouette's box: half a thumb's breadth on a head the size of a hand.
Chosen by eye."""


def patch_centres(shown: Shown) -> dict[str, FactValue]:
    """Centres of the darkest and the lightest sizable patch, as fractions of the silhouette's box from left and top.

    A patch is a square of ``PATCH_SHARE`` of the box; its luminance is the mean over the subject's pixels in it. Only
    patches centred on the subject whose square lies on it by three quarters or more are compared (by half, or at all,
    where the subject is too thin for any); the first in reading order wins among equals.
    """
    rows, columns = np.flatnonzero(shown.subject.any(axis=1)), np.flatnonzero(shown.subject.any(axis=0))
    box = (slice(rows[0], rows[-1] + 1), slice(columns[0], columns[-1] + 1))
    subject = shown.subject[box]
    side = max(1, round(PATCH_SHARE * max(subject.shape)))
    covered = _mean(subject.astype(np.float64), side)
    mean = _mean(np.where(subject, shown.luminance[box], 0.0).astype(np.float64), side)
    mean = np.divide(mean, covered, out=np.zeros_like(mean), where=covered > 0)
    for share in (0.75, 0.5, 0.0):
        allowed = subject & (covered >= share)
        if allowed.any():
            break
    return _place("darkest", np.where(allowed, mean, np.inf)) | _place("lightest", -np.where(allowed, mean, -np.inf))


def _mean(picture: Floats, side: int) -> Floats:
    """Mean over a square round each pixel, nothing being outside; free of the drift of running sums."""
    smoothed: Floats = ndimage.uniform_filter(picture, side, mode="constant")
    return np.round(smoothed, 9)


def _place(name: str, ranked: Floats) -> dict[str, FactValue]:
    """Centre of the lowest pixel of ``ranked`` (h, w) as fractions of its size."""
    y, x = np.unravel_index(int(np.argmin(ranked)), ranked.shape)
    h, w = ranked.shape
    return {f"{name}_x": float((x + 0.5) / w), f"{name}_y": float((y + 0.5) / h)}
