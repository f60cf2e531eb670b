"""A plate: one picture of one view under one lighting, of one plate kind."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

import numpy as np

from builder.arrays import Bools, Bytes, Singles, frozen
from builder.camera.sight import Sight
from builder.light.lit import Lit
from builder.model.model import Model
from builder.plates.footing import Footing

Number = float | int
FactValue = Number | str | bool | tuple[Number, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """What every plate kind is given: the model, what the eye sees of it, and the light on each pixel.

    luminance (h, w) float32, relative, exposed, 0..1 (may exceed 1 before encoding); family (h, w) uint8, the
    :class:`~builder.plates.causes.Family`; drawn (h, w) float32, the luminance that tone and value studies paint: the
    true one, or that brought into the range of a drawing medium; subject (h, w) bool, pixels whose samples mostly lie
    on the sculpture; ``footing``, ``lit`` and ``sight`` for kinds that need causes, not only grey.
    """

    model: Model
    sight: Sight
    lit: Lit
    footing: Footing
    luminance: Singles
    family: Bytes
    drawn: Singles
    subject: Bools

    def __post_init__(self) -> None:
        """Freeze the pictures."""
        object.__setattr__(self, "luminance", frozen(self.luminance, "f4", (None, None)))
        object.__setattr__(self, "drawn", frozen(self.drawn, "f4", self.luminance.shape))
        object.__setattr__(self, "family", frozen(self.family, "u1", self.luminance.shape))
        object.__setattr__(self, "subject", frozen(self.subject, np.bool_, self.luminance.shape))

    @property
    def box_px(self) -> tuple[int, int, int, int]:
        """The box round the subject: left, top, right, bottom, the last two being the first pixels outside."""
        rows, columns = np.flatnonzero(self.subject.any(axis=1)), np.flatnonzero(self.subject.any(axis=0))
        return int(columns[0]), int(rows[0]), int(columns[-1]) + 1, int(rows[-1]) + 1


@dataclass(frozen=True, slots=True, eq=False)
class Plate:
    """An encoded-ready picture: grey (h, w) uint8 sRGB codes; ``lossless`` says how it may be written; ``facts`` what
    was measured while making it, by name with unit suffixes; ``drawing`` its outlines as SVG, one unit a pixel, empty
    for a kind that has none.
    """

    kind: str
    grey: Bytes
    lossless: bool
    facts: Mapping[str, FactValue] = field(default_factory=dict)
    drawing: bytes = b""

    def __post_init__(self) -> None:
        """Freeze the picture and the facts."""
        object.__setattr__(self, "grey", frozen(self.grey, "u1", (None, None)))
        object.__setattr__(self, "facts", MappingProxyType(dict(self.facts)))


@dataclass(frozen=True, slots=True)
class PlateKind:
    """One way of showing a view. ``make`` is pure: the same :class:`Shown` gives the same bytes."""

    name: str
    """Slug used in file names, addresses and tests."""
    title: str
    teaches: str
    """One paragraph for the student: what this plate is for and how to use it."""
    tolerance: Literal["exact", "shaded"]
    """How its reference pictures are compared."""
    make: Callable[[Shown], Plate]
    thumbed: bool = False
    """Whether a small picture is made beside it, for contact sheets."""
