"""What is told of a prepared model on its page: bodies, gaps, thin parts and symmetry, in words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.model.bodies import numbered
from builder.model.inspected import gaps_of
from builder.model.inspected_text import plane_words, thin_list, thin_words
from builder.model.model import Model
from builder.model.symmetry import Symmetry
from builder.model.thin import thin_places
from builder.model.triangles import Triangles, edges_of
from builder.model.weld import welded


@dataclass(frozen=True, slots=True)
class Surveyed:
    """Plain facts of a model as it is used: how many bodies, and each gap, thin part and the symmetry in a line."""

    bodies: int
    gaps: tuple[str, ...]
    thin: str
    thin_places: tuple[str, ...]
    symmetry: str


def sculpture_of(model: Model) -> Triangles:
    """The sculpture of a model alone, its skin joined where a crease parts it."""
    skin = Triangles(
        np.array(model.scene.vertices[: model.body_vertices]), np.array(model.scene.faces[: model.body_faces])
    )
    return welded(skin)


def surveyed(body: Triangles, symmetry: Symmetry) -> Surveyed:
    """Survey a sculpture that stands in the model frame, mm; ``symmetry`` is its own plane."""
    edges = edges_of(body)
    thin = thin_places(body)
    return Surveyed(
        bodies=int(numbered(body, edges).max()) + 1,
        gaps=tuple(f"{gap.place}: {gap.across_mm:.2g} mm across" for gap in gaps_of(body)),
        thin=thin_words(thin),
        thin_places=thin_list(thin),
        symmetry=plane_words(symmetry),
    )
