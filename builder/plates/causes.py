"""Families of light: to every pixel the cause of its light, whatever its grey.

Only the key lamp makes families; what other lamps, the sky and every bounce give counts as light from elsewhere. At a
point of the surface n is the shading normal, l the direction to the middle of the lamp, v that to the eye.

The shadow family gets no light from the key, or less than half of it:

- form shadow, where the surface turns away: n.l <= 0, so that the middle of the lamp, and with it half of the lamp,
  lies below the surface's own horizon. Leonardo calls it primitive shadow, that which a body has on itself (Treatise on
  Painting, on primitive and derivative shadow). It parts into

  - core shadow: the band along the terminator, as far as :data:`BAND_DEG` past it, and whatever lies beyond but is no
    lighter. Next to the terminator a surface faces neither the lamp nor what the lamp lights, which makes the band
    dark: common practice, no source.
  - reflected light: beyond the band, where the light from elsewhere is :data:`BACK_STOPS` or more above the level of
    the core. That level belongs to the sculpture under its lamp, not to a view; see :func:`core_level`.

- cast shadow: n.l > 0, but something keeps off more than half of the key's light. Leonardo's derivative shadow. What
  lies behind the lamp, which shines to one side only, is in the cast shadow of the lamp itself.

The light family is all the rest:

- halftone: struck at a slant of more than :data:`SLANT_DEG`. Light is as the cosine of that angle (J. H. Lambert,
  Photometria, 1760), so halftone has less than half of the light there is: more than a stop below.
- light: struck more squarely than that.
- highlight: in the light, on the sculpture or its plinth, where n lies within :data:`GLOSS_DEG` of the direction
  halfway between l and v, which is where a mirror would show the lamp (the half vector: J. F. Blinn, SIGGRAPH 1977).
  Ground and backdrop are cloth or paper and have none.

The books are cited from memory: author, title and year.
"""

from __future__ import annotations

from enum import IntEnum
from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Bytes, Floats, Singles
from builder.camera.sight import Eye
from builder.form.footing import NOTHING, Footing
from builder.light.lit import Lit
from builder.light.quantile import weighted_quantile
from builder.model.model import Model
from builder.plates.luminance import PixelLight


class Family(IntEnum):
    """What a pixel belongs to; the shadow family first, each in the order it is painted, dark to light."""

    CORE = 0
    CAST = 1
    REFLECTED = 2
    HALFTONE = 3
    LIGHT = 4
    HIGHLIGHT = 5
    NONE = 6
    """The line of sight meets nothing."""

    @property
    def word(self) -> str:
        """What it is called in the names of facts, ``family_<word>_share``."""
        return self.name.lower()


SHADOW = (Family.CORE, Family.CAST, Family.REFLECTED)
LIT = (Family.HALFTONE, Family.LIGHT, Family.HIGHLIGHT)

HALF = 0.5
"""Share of the key's light below which a surface that faces it lies in cast shadow: the middle of a penumbra."""
SLANT_DEG = 60.0
"""Incidence beyond which light is halftone: cos 60 = 1/2."""
GLOSS_DEG = 10.0
"""Half-width of a highlight on matt plaster, in degrees of the surface's turn; from memory, no source."""
BAND_DEG = 12.0
"""Width of the dark band along the terminator, in degrees of the surface's turn. On a ball lit from the side it
is a fifth of the shadow's half. Chosen by eye."""
BACK_STOPS = 0.5
"""Stops above the core from which light that comes back is told from it: about half a step of Munsell value in a dark
shadow, one step in a light one. Chosen by eye."""
LEAST_BACK = 0.002
"""Luminance below which no light from elsewhere is told from the core: a sixth of a step of Munsell value."""
_BASE, _BASE_TURN = 0.002, 0.99
"""The base: surface no higher than this share of the sculpture's size that faces down, by the cosine of its turn."""
_LEAST_BAND = 0.02
"""Share of the form shadow from which the surface near the terminator counts as a band."""


def find_families(model: Model, lit: Lit, eye: Eye, footing: Footing, light: PixelLight) -> Bytes:
    """The :class:`Family` of every pixel, (h, w) uint8, as the module says; nothing cleaned."""
    emitter, level = lit.emitters[0], core_level(model, lit)
    # Luminance from elsewhere where reflected light begins, for each part.
    back = np.full(4, level)
    if np.isfinite(level):
        exposed = lit.facts.exposure * lit.reflectance.astype(np.float64)
        back = np.maximum(exposed * level * 2.0**BACK_STOPS, LEAST_BACK)
    label = np.full(footing.part.shape, Family.NONE, np.uint8)
    degrees = np.radians((BAND_DEG, 90.0 - SLANT_DEG, 90.0 - GLOSS_DEG))
    _tell(
        footing.part, footing.point, footing.normal, light.luminance, light.key, light.key_open,
        _single(emitter.centre), _single(emitter.normal), _single(eye.position), _single(np.sin(degrees)),
        _single(back), HALF, NOTHING, label,
    )  # fmt: skip
    return label


def in_light(family: Bytes) -> Bools:
    """Whether each pixel belongs to the light, (h, w) bool; what meets nothing shows the backdrop and is lit."""
    return np.asarray(family >= Family.HALFTONE)


def _single(values: Floats) -> Singles:
    return values.astype(np.float32)


def core_level(model: Model, lit: Lit) -> float:
    """Light from elsewhere in the core of the sculpture's form shadow, over pi and before exposure.

    The median, by area, over the surface within :data:`BAND_DEG` past the terminator: the same for every eye. A body of
    planes may have next to nothing in that band; then it is the median over all of its form shadow. The base it stands
    on does not count. Infinite where nothing else turns away from the key.
    """
    vertices, normals = model.scene.vertices[: model.body_vertices], model.scene.normals[: model.body_vertices]
    depth = np.zeros(len(vertices), np.uint8)
    base = _BASE * model.size_mm
    _turn_away(vertices, normals, lit.emitters[0].centre, np.sin(np.radians(BAND_DEG)), base, _BASE_TURN, depth)
    area = np.zeros(len(vertices))
    _spread(vertices, model.scene.faces[: model.body_faces], depth, area)
    away, band = depth > 0, depth == 2
    if not area[away].sum() > 0.0:
        return float("inf")
    chosen = band if area[band].sum() > _LEAST_BAND * area[away].sum() else away
    places = np.flatnonzero(chosen)
    elsewhere = lit.indirect[places] + lit.direct[1:, places].sum(axis=0)
    return weighted_quantile(elsewhere, area[places], 0.5)


@njit(cache=True, nogil=True)
def _turn_away(vertices: Any, normals: Any, lamp: Any, band: float, base: float, base_turn: float, depth: Any) -> None:
    """Mark the vertices of the form shadow with 1, those in the band with 2; the base is left out."""
    for i in range(len(vertices)):
        facing, square = 0.0, 0.0
        for k in range(3):
            along = lamp[k] - vertices[i, k]
            facing += normals[i, k] * along
            square += along * along
        if facing <= 0.0 and (vertices[i, 2] >= base or normals[i, 2] >= -base_turn):
            depth[i] = 2 if facing > -band * np.sqrt(square) else 1


@njit(cache=True, nogil=True)
def _spread(vertices: Any, faces: Any, depth: Any, area: Any) -> None:
    """Give each marked vertex a third of its triangles' areas, times six, which is the same for all."""
    for f in range(len(faces)):
        a, b, c = faces[f]
        if depth[a] + depth[b] + depth[c] == 0:
            continue
        square = 0.0
        for k in range(3):
            i, j = (k + 1) % 3, (k + 2) % 3
            across = (vertices[b, i] - vertices[a, i]) * (vertices[c, j] - vertices[a, j])
            across -= (vertices[b, j] - vertices[a, j]) * (vertices[c, i] - vertices[a, i])
            square += across * across
        size = np.sqrt(square)
        for corner in (a, b, c):
            if depth[corner] > 0:
                area[corner] += size


@njit(cache=True, nogil=True)
def _tell(
    part: Any, point: Any, normal: Any, luminance: Any, key: Any, key_open: Any, lamp: Any, aim: Any, eye: Any,
    sines: Any, back: Any, half: float, nothing: int, label: Any,
) -> None:  # fmt: skip
    """Fill in the labels: 0 core, 1 cast, 2 reflected, 3 halftone, 4 light, 5 highlight; others are left.

    lamp, aim (3,): the middle of the lamp and where it faces. sines (3,) of the angles to the surface: band, slant,
    gloss. back (4,): luminance from elsewhere where reflected light begins, by part.
    """
    band, slant, gloss = sines
    for y in range(part.shape[0]):
        for x in range(part.shape[1]):
            p = part[y, x]
            if p == nothing:
                continue
            a, b, c = lamp[0] - point[y, x, 0], lamp[1] - point[y, x, 1], lamp[2] - point[y, x, 2]
            n, o, q = normal[y, x, 0], normal[y, x, 1], normal[y, x, 2]
            far = np.sqrt(a * a + b * b + c * c)
            facing = (n * a + o * b + q * c) / far
            behind = a * aim[0] + b * aim[1] + c * aim[2] >= 0.0
            if facing <= 0.0:
                more = luminance[y, x] - key[y, x] > back[p]
                label[y, x] = 2 if more and facing <= -band else 0
            elif behind or key[y, x] < half * key_open[y, x]:
                label[y, x] = 1
            elif facing < slant:
                label[y, x] = 3
            else:
                label[y, x] = 4
            if p > 1 or label[y, x] < 3:
                continue
            d, e, f = eye[0] - point[y, x, 0], eye[1] - point[y, x, 1], eye[2] - point[y, x, 2]
            off = np.sqrt(d * d + e * e + f * f)
            d, e, f = a / far + d / off, b / far + e / off, c / far + f / off
            if n * d + o * e + q * f >= gloss * np.sqrt(d * d + e * e + f * f):
                label[y, x] = 5
