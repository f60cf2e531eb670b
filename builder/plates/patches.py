"""Where the subject is darkest and lightest, over patches big enough for a brush."""

from __future__ import annotations

import numpy as np
from scipy import ndimage

from builder.arrays import Bools, Floats
from builder.plates.plate import FactValue, Shown
from builder.plates.shapes import find_shapes

PATCH_SHARE = 0.06
"""Side of a patch against the longer side of the silhouette's box: 18 mm on a head 300 mm high. Chosen by eye."""
ALIKE = 0.02
"""Patches whose luminance differs by less than this part of it look alike: 0.08 of a value step at most."""


def patch_centres(shown: Shown) -> dict[str, FactValue]:
    """Centres of the darkest and the lightest sizable patch, as fractions of the silhouette's box from left and top.

    A patch is a square of ``PATCH_SHARE`` of the box; its luminance is the mean over the subject's pixels in it as
    painted. Only patches centred on the subject whose square lies on it by three quarters or more are compared (by
    half, or at all, where the subject is too thin for any). Where the darkest have others alike beside them, the centre
    of the largest such area counts, or its point nearest to that; likewise for the lightest.
    """
    left, top, right, bottom = shown.box_px
    box = (slice(top, bottom), slice(left, right))
    subject = shown.subject[box]
    side = max(1, round(PATCH_SHARE * max(subject.shape)))
    covered = _mean(subject.astype(np.float64), side)
    mean = _mean(np.where(subject, shown.drawn[box], 0.0).astype(np.float64), side)
    mean = np.divide(mean, covered, out=np.zeros_like(mean), where=covered > 0)
    for share in (0.75, 0.5, 0.0):
        allowed = subject & (covered >= share)
        if allowed.any():
            break
    darkest, lightest = mean[allowed].min(), mean[allowed].max()
    return _centre("darkest", allowed & (mean <= darkest * (1 + ALIKE) + 1e-6)) | _centre(
        "lightest", allowed & (mean >= lightest * (1 - ALIKE) - 1e-6)
    )


def _mean(picture: Floats, side: int) -> Floats:
    """Mean over a square round each pixel, nothing being outside."""
    smoothed: Floats = ndimage.uniform_filter(picture, side, mode="constant")
    return smoothed


def _centre(name: str, places: Bools) -> dict[str, FactValue]:
    """The pixel nearest to the middle of the largest connected area of ``places``, as fractions of the picture."""
    found = find_shapes(places.astype(np.uint8), places)
    y, x = np.nonzero(found.shape == int(np.argmax(found.area_px)))
    nearest = int(np.argmin((y - y.mean()) ** 2 + (x - x.mean()) ** 2))
    h, w = places.shape
    return {f"{name}_x": float((x[nearest] + 0.5) / w), f"{name}_y": float((y[nearest] + 0.5) / h)}
