"""The nouns: level contours of a form at their heights, and its outline in an upright plane."""

from __future__ import annotations

from dataclasses import dataclass

from builder.arrays import Floats, frozen


@dataclass(frozen=True, slots=True, eq=False)
class Contour:
    """The form's outline at one height, mm in the model frame.

    ``rings``: closed rings (n, 2), x and y, the first point not repeated at the end; counter-clockwise round material,
    clockwise round a hole.
    """

    number: int
    height_mm: float
    rings: tuple[Floats, ...]

    def __post_init__(self) -> None:
        """Freeze the rings."""
        object.__setattr__(self, "rings", tuple(frozen(ring, "f8", (None, 2)) for ring in self.rings))


@dataclass(frozen=True, slots=True, eq=False)
class Sections:
    """Contours from the lowest to the highest, and the profile.

    ``profile``: closed ring (n, 2), depth y and height z, in the upright plane x = ``profile_x_mm``; ``None`` where
    there is none. ``back_mm``: depth of the flat back that a relief ends at; ``None`` for a form to be seen all round.
    """

    contours: tuple[Contour, ...]
    profile: Floats | None = None
    profile_x_mm: float = 0.0
    back_mm: float | None = None

    def __post_init__(self) -> None:
        """Freeze the profile and check the contours' order."""
        heights = [contour.height_mm for contour in self.contours]
        assert heights == sorted(heights), "contours stand from the lowest to the highest"
        if self.profile is not None:
            object.__setattr__(self, "profile", frozen(self.profile, "f8", (None, 2)))
