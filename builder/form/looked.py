"""A view as every study of the form is given it: what the eye sees, and how the study wants it measured."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.arrays import Bools, frozen
from builder.camera.sight import Eye, Sight
from builder.errors import PlateError, Problem
from builder.form.footing import Footing, find_footing
from builder.form.subject import subject_pixels
from builder.model.model import Model
from builder.study.description import Guides, Landmark


@dataclass(frozen=True, slots=True, eq=False)
class Looked:
    """What a view shows of the form, whatever the lamp.

    subject (h, w) bool, pixels whose samples mostly lie on the sculpture; ``footing`` where each pixel's line of sight
    lands; ``landmarks`` and ``guides`` as the study has them.
    """

    model: Model
    sight: Sight
    footing: Footing
    subject: Bools
    landmarks: tuple[Landmark, ...]
    guides: Guides

    def __post_init__(self) -> None:
        """Freeze the picture."""
        object.__setattr__(self, "subject", frozen(self.subject, np.bool_, (None, None)))

    @property
    def eye(self) -> Eye:
        """The eye that looks."""
        return self.sight.eye

    @property
    def box_px(self) -> tuple[int, int, int, int]:
        """The box round the subject: left, top, right, bottom, the last two being the first pixels outside."""
        rows, columns = np.flatnonzero(self.subject.any(axis=1)), np.flatnonzero(self.subject.any(axis=0))
        return int(columns[0]), int(rows[0]), int(columns[-1]) + 1, int(rows[-1]) + 1


def look_at(model: Model, sight: Sight, landmarks: tuple[Landmark, ...] = (), guides: Guides | None = None) -> Looked:
    """What studies of the form are given of a view.

    Raises PlateError when the sculpture covers no pixel of it.
    """
    subject = subject_pixels(model, sight)
    if not subject.any():
        raise PlateError(
            Problem(
                f"view {sight.eye.number}",
                "the sculpture does not cover a single pixel",
                "a view shows at least part of it",
                "change the bearing, the eye level or the distance",
            )
        )
    return Looked(model, sight, find_footing(model, sight), subject, landmarks, guides or Guides())
