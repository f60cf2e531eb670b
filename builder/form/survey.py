"""What measures are taken from: the outline's box, the landmarks and the mirror plane of a view."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.form.front import Box, front_eye, outline_box
from builder.form.landmarks import Placed, place_landmarks
from builder.form.looked import Looked
from builder.model.symmetry import Symmetry

ON_PLANE_SHARE = 0.015
"""A landmark no farther from the mirror plane than this share of the model's size lies on the form's middle line."""
PARTNER_SHARE = 0.03
"""Two landmarks are each other's mirror images within this share of the model's size."""


@dataclass(frozen=True, slots=True, eq=False)
class Survey:
    """A view, measured up.

    ``box`` round what is seen of the sculpture, px, and ``front_box`` round its outline from the front, None where the
    sculpture reaches behind that eye; ``placed`` every landmark; ``symmetry`` of the model, None where it is not
    symmetrical; ``middle`` names of landmarks on its middle line, from the top of the model down; ``partners`` pairs
    of landmarks that mirror each other, in the order of the study.
    """

    looked: Looked
    box: Box
    front_box: Box | None
    placed: tuple[Placed, ...]
    symmetry: Symmetry | None
    middle: tuple[str, ...]
    partners: tuple[tuple[str, str], ...]

    @property
    def width(self) -> float:
        """Width of the silhouette, px."""
        return self.box[2] - self.box[0]

    @property
    def height(self) -> float:
        """Height of the silhouette, px."""
        return self.box[3] - self.box[1]

    @property
    def seen(self) -> tuple[Placed, ...]:
        """The landmarks that the eye sees, in the order of the study."""
        return tuple(landmark for landmark in self.placed if landmark.seen)

    def landmark(self, name: str) -> Placed | None:
        """The landmark of that name."""
        return next((landmark for landmark in self.placed if landmark.name == name), None)

    def both_seen(self, names: tuple[str, str]) -> tuple[Placed, Placed] | None:
        """Two landmarks, if the eye sees both."""
        one, two = (self.landmark(name) for name in names)
        return (one, two) if one is not None and two is not None and one.seen and two.seen else None


def survey(looked: Looked, symmetry: Symmetry | None) -> Survey:
    """A view measured up; ``symmetry`` of its model, if that was looked for."""
    left, top, right, bottom = looked.box_px
    front = front_eye(looked.eye, looked.model)
    placed = place_landmarks(looked, looked.landmarks, front)
    mirror = symmetry if symmetry is not None and symmetry.holds else None
    middle, partners = _of_plane(looked, placed, mirror)
    return Survey(
        looked=looked,
        box=(float(left), float(top), float(right), float(bottom)),
        front_box=outline_box(looked.model, front),
        placed=placed,
        symmetry=mirror,
        middle=middle,
        partners=partners,
    )


def _of_plane(
    looked: Looked, placed: tuple[Placed, ...], mirror: Symmetry | None
) -> tuple[tuple[str, ...], tuple[tuple[str, str], ...]]:
    """Names of the landmarks on the mirror plane from the top down, and of pairs on either side of it."""
    if mirror is None or not placed:
        return (), ()
    size = looked.model.size_mm
    points = np.array([landmark.point_mm for landmark in placed])
    off = mirror.off_mm(points)
    on = [k for k in range(len(placed)) if abs(off[k]) <= ON_PLANE_SHARE * size]
    on.sort(key=lambda k: (-points[k] @ mirror.up, k))
    apart = np.linalg.norm(mirror.mirrored(points)[:, None] - points[None], axis=2)
    pairs = []
    for k in range(len(placed)):
        other = int(np.argmin(apart[k]))
        if other > k and int(np.argmin(apart[other])) == k and apart[k, other] <= PARTNER_SHARE * size and k not in on:
            pairs.append((placed[k].name, placed[other].name))
    return tuple(placed[k].name for k in on), tuple(pairs)
