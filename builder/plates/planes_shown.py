"""A planes model under a lighting, as every planes kind is given it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.arrays import Bools, Bytes, Floats, Singles, frozen
from builder.light.lit import Lit
from builder.model.model import Part
from builder.model.tracer import Tracer
from builder.plates.arrival import nearness
from builder.plates.cast_shadow import LIGHT, NEITHER, cast_shadow
from builder.plates.causes import find_families, in_light
from builder.plates.graphite import in_pencil_range
from builder.plates.luminance import PixelLight
from builder.plates.plane_light import PlaneLight, plane_light
from builder.plates.planes_around import around_light
from builder.plates.planes_view import PlanesView
from builder.study.description import Range


@dataclass(frozen=True, slots=True, eq=False)
class PlanesShown:
    """A planes model under a lighting.

    state (h, w) uint8: light, shadow or neither, as in :mod:`builder.plates.cast_shadow`; value (k, 2) float64: the
    luminance that each plane is painted in, light and shadow; around (h, w) float32: the luminance that plinth, ground
    and backdrop are painted in.
    """

    view: PlanesView
    state: Bytes
    value: Floats
    around: Singles

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "state", frozen(self.state, "u1", self.view.plane.shape))
        object.__setattr__(self, "value", frozen(self.value, "f8", (self.view.broken.planes.count, 2)))
        object.__setattr__(self, "around", frozen(self.around, "f4", self.view.plane.shape))


def show_planes(view: PlanesView, lit: Lit, tracer: Tracer, mixed: Bools, drawn_in: Range = "full") -> PlanesShown:
    """What a planes kind is given. ``tracer`` holds the planes model's scene; ``mixed`` (lamps, m) as for
    :func:`~builder.plates.luminance.pixel_light`.
    """
    light = plane_light(view.broken, lit)
    state = cast_shadow(view, lit, light, tracer)
    pixels = around_light(view, lit, tracer, mixed)
    if drawn_in == "full":
        return PlanesShown(view, state, light.value, pixels.luminance)
    return _pencilled(view, lit, light, state, pixels)


def _pencilled(view: PlanesView, lit: Lit, light: PlaneLight, state: Bytes, pixels: PixelLight) -> PlanesShown:
    """The same within a pencil's reach, families apart as in the tone plate."""
    looked = view.looked
    on = state != NEITHER
    flat = pixels.luminance.copy()
    flat[on] = light.value[view.plane[on], state[on]]
    part = looked.footing.part
    family = find_families(looked.model, lit, looked.eye, looked.footing, pixels)
    formed = in_light(family) | (part == Part.BACKDROP)
    near = nearness(lit.emitters[0], looked.footing, pixels.key, pixels.key_open, formed)
    near[on] = state[on] == LIGHT
    surface = np.where((part == Part.PLINTH) | on, Part.MODEL, part).astype(np.uint8)
    drawn = in_pencil_range(flat, near, surface)
    value = light.value.copy()
    # the pixels of one plane in one state are painted alike, but for rims; the middle one is none
    label = view.plane[on].astype(np.int64) * 2 + state[on]
    order = np.argsort(label, kind="stable")
    found, first, count = np.unique(label[order], return_index=True, return_counts=True)
    value[found // 2, found % 2] = drawn[on][order][first + count // 2]
    return PlanesShown(view, state, value, drawn)
