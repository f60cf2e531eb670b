"""The card for a table: where the eye and the lamps of one view stand, for a model of a given size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from builder.light.setting import LampSetting
from builder.light.stance import Stance

SCALES = (0.5, 1.0, 2.0)
"""A student's model is half as large as the study's, the same, or twice as large."""
ARM_MM = 600.0
"""From the eye to the pencil that is held out at arm's length: common practice, no source. The student measures it."""

Point = tuple[float, float]
Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class TableCard:
    """One view under one lighting at a table; lengths in mm.

    ``footprint_mm`` the model's outline from above about the cross: x to the model's left, y to its back; ``height_mm``
    of the model itself, which stands on a slab ``slab_mm`` thick.
    """

    eye: Stance
    lamps: tuple[LampSetting, ...]
    footprint_mm: tuple[Point, ...]
    height_mm: float
    slab_mm: float
    scale: float

    @property
    def pencil_mm(self) -> float:
        """What a ruler held upright, square to the line of sight and :data:`ARM_MM` away, shows of an upright rod as
        high as the model, standing in its middle: the check that the eye is where it should be.

        Central projection: a point's place on the ruler is the arm's length times its offset over its depth.
        """
        eye, half = self.eye, self.height_mm / 2.0
        over, along, away = eye.above_mm - eye.aim_mm, eye.along_mm, eye.distance_mm

        def on_ruler(z: float) -> float:
            # the rod's end z above the middle: along the eye's own upright, over its depth
            return ARM_MM * (z * along / away) / (away - z * over / away)

        return on_ruler(half) - on_ruler(-half)


def table_card(
    eye_mm: Place,
    lamps: Sequence[LampSetting],
    footprint_mm: Sequence[Point],
    *,
    height_mm: float,
    ground_mm: float,
    scale: float = 1.0,
) -> TableCard:
    """The card of an eye and lamps.

    Args:
        eye_mm: the eye, model frame.
        lamps: the lighting's lamps for the model at its own size, the key first.
        footprint_mm: the model's outline from above, model frame.
        height_mm: of the model, without its slab.
        ground_mm: height of the table in the model frame, <= 0.
        scale: size of the model at the table over that of the study's: every length follows, every angle stays.

    """
    x, y, z = (float(part) for part in eye_mm)
    eye = Stance(x * scale, -y * scale, (z - ground_mm) * scale, (height_mm / 2.0 - ground_mm) * scale)
    return TableCard(
        eye=eye,
        lamps=tuple(lamp.scaled(scale) for lamp in lamps),
        footprint_mm=tuple((px * scale, py * scale) for px, py in footprint_mm),
        height_mm=height_mm * scale,
        slab_mm=-ground_mm * scale,
        scale=scale,
    )
