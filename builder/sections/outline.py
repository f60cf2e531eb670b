"""The profile read by height: where its front and its back are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.arrays import Floats
from builder.sections.sections import Sections


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """The profile's closed ring (n, 2), depth y and height z, in the upright plane x = ``x_mm``."""

    ring: Floats
    x_mm: float

    @property
    def bottom(self) -> float:
        """Its lowest height."""
        return float(self.ring[:, 1].min())

    @property
    def top(self) -> float:
        """Its greatest height."""
        return float(self.ring[:, 1].max())

    def front(self, height: float) -> float:
        """Depth of its foremost point at a height; not a number where it has none."""
        return float(min(self._depths(height), default=np.nan))

    def back(self, height: float) -> float:
        """Depth of its rearmost point at a height; not a number where it has none."""
        return float(max(self._depths(height), default=np.nan))

    def _depths(self, height: float) -> list[float]:
        one, other = self.ring, np.roll(self.ring, -1, axis=0)
        met = (np.minimum(one[:, 1], other[:, 1]) <= height) & (height <= np.maximum(one[:, 1], other[:, 1]))
        a, b = one[met], other[met]
        rise = b[:, 1] - a[:, 1]
        level = rise == 0
        part = np.where(level, 0.0, (height - a[:, 1]) / np.where(level, 1.0, rise))
        depths = a[:, 0] + part * (b[:, 0] - a[:, 0])
        return [*depths.tolist(), *b[level, 0].tolist()]


def outline_of(sections: Sections) -> Outline | None:
    """The profile of the sections, ``None`` where they have none."""
    return None if sections.profile is None else Outline(sections.profile, sections.profile_x_mm)
