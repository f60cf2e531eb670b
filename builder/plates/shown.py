"""A view under a lighting as every plate kind of light is given it."""

from __future__ import annotations

from builder.arrays import Bools
from builder.form.looked import Looked
from builder.light.lit import Lit
from builder.model.tracer import Tracer
from builder.plates.causes import find_families, in_light
from builder.plates.graphite import pencilled
from builder.plates.luminance import pixel_light
from builder.plates.plate import Shown
from builder.study.description import Range


def show(looked: Looked, lit: Lit, tracer: Tracer, mixed: Bools | None = None, drawn_in: Range = "full") -> Shown:
    """What plate kinds of light are given.

    ``tracer`` and ``mixed`` as for :func:`~builder.plates.luminance.pixel_light`; ``drawn_in``: the range of values
    that tone and value studies are painted in.
    """
    light = pixel_light(looked.model, lit, looked.sight, tracer, mixed)
    family = find_families(looked.model, lit, looked.eye, looked.footing, light)
    drawn = light.luminance if drawn_in == "full" else pencilled(lit, looked.footing, light, in_light(family))
    return Shown(looked, lit, light.luminance, family, drawn)
