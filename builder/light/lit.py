"""Light solved on the surface, once per lighting, for any camera."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from builder.arrays import Floats, Singles, frozen


@dataclass(frozen=True, slots=True, eq=False)
class Emitter:
    """A flat Lambertian lamp standing in the model frame.

    centre (3,) mm; normal (3,) unit, towards the model; across, along (3,) mm, half-axes of the disc or rectangle;
    radiance in units where the key gives irradiance pi at the model's middle, facing it.
    """

    role: str
    shape: Literal["disc", "rectangle"]
    centre: Floats
    normal: Floats
    across: Floats
    along: Floats
    radiance: float

    def __post_init__(self) -> None:
        """Freeze the vectors."""
        for name in ("centre", "normal", "across", "along"):
            object.__setattr__(self, name, frozen(getattr(self, name), "f8", (3,)))


@dataclass(frozen=True, slots=True)
class LightFacts:
    """What was measured of a lighting on this model."""

    exposure: float
    """Factor from solved luminance to relative luminance 0..1; chosen per lighting."""
    exposure_stops: float
    """The same in stops against luminance 1 for a white surface facing the key at the model's middle."""
    bounces: int
    indirect_share: float
    """Mean share of indirect light in the irradiance of the sculpture's surface, area-weighted."""


@dataclass(frozen=True, slots=True, eq=False)
class Lit:
    """Irradiance on every vertex of the scene surface, over pi (so that luminance = reflectance x value).

    emitters: one per lamp, the key first; direct, open (lamps, n) float32: with and without shadows cast; indirect (n,)
    float32: ambient and every bounce; reflectance (4,) float32 per :class:`~builder.model.model.Part`; backdrop: the
    luminance drawn where the eye's ray meets nothing. All before exposure.
    """

    name: str
    emitters: tuple[Emitter, ...]
    direct: Singles
    open: Singles
    indirect: Singles
    reflectance: Singles
    backdrop: float
    facts: LightFacts

    def __post_init__(self) -> None:
        """Freeze the arrays and check that they belong together."""
        lamps, count = self.direct.shape
        object.__setattr__(self, "direct", frozen(self.direct, "f4", (lamps, count)))
        object.__setattr__(self, "open", frozen(self.open, "f4", (lamps, count)))
        object.__setattr__(self, "indirect", frozen(self.indirect, "f4", (count,)))
        object.__setattr__(self, "reflectance", frozen(self.reflectance, "f4", (4,)))
        assert lamps == len(self.emitters)
