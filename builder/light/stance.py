"""Where something stands round the model, in the lengths that a tape measures from a cross on the table."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Stance:
    """A place that looks at the model's middle: lengths in mm, angles in degrees.

    The cross is the point of the table under the model's middle; heights count from the table, or the ground, that the
    model or the slab under it stands on.
    """

    left_mm: float
    """From the cross towards the model's left (+) or right (-)."""
    front_mm: float
    """From the cross to the front of the model (+) or behind it (-)."""
    above_mm: float
    aim_mm: float
    """Height of what it looks at: the model's middle."""

    @property
    def along_mm(self) -> float:
        """On the table, from the cross to the point under the place."""
        return math.hypot(self.left_mm, self.front_mm)

    @property
    def distance_mm(self) -> float:
        """In a straight line, from the model's middle to the place."""
        return math.hypot(self.along_mm, self.above_mm - self.aim_mm)

    @property
    def bearing_deg(self) -> float:
        """Round the model, ]-180, 180]: 0 in front, positive towards the model's left; 0 over the cross."""
        turned = math.degrees(math.atan2(self.left_mm, self.front_mm))
        return 180.0 if turned == -180.0 else turned

    @property
    def tilt_deg(self) -> float:
        """How far down (+) or up (-) it looks; as far as it stands above or below the model's middle."""
        return math.degrees(math.atan2(self.above_mm - self.aim_mm, self.along_mm))
