"""Invented bodies for cards, standing on z = 0."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import shapely
import trimesh
from shapely import Polygon

from builder.cards.card_set import CardSet, card_set
from builder.sections.sliced import Body, body_of
from builder.study.description import CardChoice


def standing(mesh: trimesh.Trimesh) -> Body:
    return body_of(mesh.vertices - [0, 0, mesh.vertices[:, 2].min()], mesh.faces)


def ball(radius: float = 40.0) -> Body:
    return standing(trimesh.creation.icosphere(5, radius=radius))


def block() -> Body:
    return standing(trimesh.creation.box([60, 40, 80]))


def turned(outline: list[tuple[float, float]]) -> Body:
    """A body of revolution from its outline of radius and height."""
    return standing(trimesh.creation.revolve(np.array(outline), sections=96))


def cone() -> Body:
    return turned([(0, 0), (40, 0), (0, 90)])


def mushroom() -> Body:
    """A stem of radius 15 up to 50 mm, under a cap of radius 45."""
    return turned([(0, 0), (15, 0), (15, 50), (45, 50), (45, 70), (0, 90)])


def two_towers() -> Body:
    """Two blocks side by side, 60 mm apart from middle to middle."""
    one, other = (trimesh.creation.box([30, 30, 60]) for _ in range(2))
    other.apply_translation([60, 0, 0])
    return standing(trimesh.util.concatenate([one, other]))


def uneven_towers() -> Body:
    """A block 40 high at x = 0, one 100 high beside it, on one base."""
    low = trimesh.creation.box([30, 30, 40])
    high = trimesh.creation.box([30, 30, 100])
    low.apply_translation([0, 0, 20])
    high.apply_translation([30, 0, 50])
    return standing(trimesh.util.concatenate([low, high]))


def channel() -> Body:
    """A block 60 x 40 whose left side has a hollow that opens to the front: 20 wide, behind a lip of 10."""
    outline = Polygon([(-30, -20), (30, -20), (30, -10), (10, -10), (10, 10), (30, 10), (30, 20), (-30, 20)])
    lip = Polygon([(25, -11), (30, -11), (30, 5), (25, 5)])
    return standing(trimesh.creation.extrude_polygon(shapely.union(outline, lip), 80))


@cache
def cards_of(body: Callable[[], Body], **choice: object) -> CardSet:
    asked = CardChoice(**{"count": 6, **choice})  # type: ignore[arg-type]
    return card_set(body(), 0.0, asked, "invented.ply", joined=False)
