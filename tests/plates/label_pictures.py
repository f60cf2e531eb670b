"""Label pictures to clean and to trace, and slow plain ways to look at them."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from scipy import ndimage

from builder.light.value import luminance_of_value

GRAIN = hnp.arrays(
    np.uint8, hnp.array_shapes(min_dims=2, max_dims=2, min_side=1, max_side=26), elements=st.integers(0, 3)
)
SEEDS = st.integers(0, 2**32 - 1)
CROSS = ndimage.generate_binary_structure(2, 1)


def waves(seed: int, height: int, width: int, steps: int, rough: float = 0.0) -> np.ndarray:
    """Steps of a smooth surface of a few random waves, no shorter than a third of the picture, with grain if wanted."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[:height, :width] / max(height, width)
    surface = sum(
        np.cos(2 * np.pi * (a * x + b * y) + turn)
        for a, b, turn in zip(*rng.uniform(-2, 2, (2, 4)), rng.uniform(0, 7, 4), strict=True)
    )
    surface = (
        (surface - surface.min()) / np.ptp(surface) + rng.normal(0, rough, surface.shape)
        if rough
        else ((surface - surface.min()) / np.ptp(surface))
    )
    return np.clip(surface * steps, 0, steps - 1).astype(np.uint8)


def patches(seed: int, height: int, width: int, count: int, labels: int) -> np.ndarray:
    """Every pixel has the label of the nearest of some places: straight borders, three meeting wherever they end."""
    rng = np.random.default_rng(seed)
    places = rng.uniform(0, 1, (count, 2)) * (height, width)
    y, x = np.mgrid[:height, :width] + 0.5
    nearest = np.argmin((y[..., None] - places[:, 0]) ** 2 + (x[..., None] - places[:, 1]) ** 2, axis=2)
    return rng.integers(0, labels, count).astype(np.uint8)[nearest]


def half_plane(size: int, angle_deg: float, off: float = 0.3) -> np.ndarray:
    """(size, size) float64, px: how far each pixel's middle lies beyond a line through near the picture's middle."""
    y, x = np.mgrid[:size, :size] + 0.5 - size / 2
    return x * np.cos(np.radians(angle_deg)) + y * np.sin(np.radians(angle_deg)) - off


def squares_of(steps: np.ndarray, side: int) -> np.ndarray:
    """Pixels in a square of one step, square by square."""
    found = np.zeros(steps.shape, bool)
    for y in range(steps.shape[0] - side + 1):
        for x in range(steps.shape[1] - side + 1):
            square = steps[y : y + side, x : x + side]
            if (square == square[0, 0]).all():
                found[y : y + side, x : x + side] = True
    return found


def reached(steps: np.ndarray, side: int, reach: int) -> np.ndarray:
    """Pixels within ``reach`` steps, through pixels of their own step, of a square of ``side`` of that step."""
    wide = squares_of(steps, side)
    near = np.zeros(steps.shape, bool)
    for step in np.unique(steps):
        own = steps == step
        near |= ndimage.binary_dilation(wide & own, CROSS, reach, own) if (wide & own).any() else False
    return near


def grey(steps: np.ndarray) -> np.ndarray:
    """A luminance for each step, one value apart."""
    return luminance_of_value(steps + 0.5).astype("f4")
