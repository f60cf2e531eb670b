"""A plate: one picture of one view under one lighting, of one plate kind."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from builder.arrays import Bools, Bytes, Singles, frozen
from builder.camera.sight import Sight
from builder.form.footing import Footing
from builder.form.formed import Formed
from builder.form.looked import Looked
from builder.light.lit import Lit
from builder.model.model import Model
from builder.plates.planes_shown import PlanesShown

Number = float | int
FactValue = Number | str | bool | tuple[Number, ...]
KindGroup = Literal["light", "planes", "construction", "form", "measure"]


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """What every plate kind of light is given: what the eye sees of the model, and the light on each pixel.

    luminance (h, w) float32, relative, exposed, 0..1 (may exceed 1 before encoding); family (h, w) uint8, the
    :class:`~builder.plates.causes.Family`; drawn (h, w) float32, the luminance that tone and value studies paint: the
    true one, or that brought into the range of a drawing medium; ``looked`` and ``lit`` for kinds that need causes, not
    only grey.
    """

    looked: Looked
    lit: Lit
    luminance: Singles
    family: Bytes
    drawn: Singles

    def __post_init__(self) -> None:
        """Freeze the pictures."""
        object.__setattr__(self, "luminance", frozen(self.luminance, "f4", self.looked.subject.shape))
        object.__setattr__(self, "drawn", frozen(self.drawn, "f4", self.luminance.shape))
        object.__setattr__(self, "family", frozen(self.family, "u1", self.luminance.shape))

    @property
    def model(self) -> Model:
        """The model."""
        return self.looked.model

    @property
    def sight(self) -> Sight:
        """What each sample sees."""
        return self.looked.sight

    @property
    def footing(self) -> Footing:
        """The surface point of every pixel."""
        return self.looked.footing

    @property
    def subject(self) -> Bools:
        """(h, w) bool, pixels whose samples mostly lie on the sculpture."""
        return self.looked.subject

    @property
    def box_px(self) -> tuple[int, int, int, int]:
        """The box round the subject, as :attr:`builder.form.looked.Looked.box_px`."""
        return self.looked.box_px


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
    """One way of showing a view. Every ``make`` is pure: the same input gives the same bytes."""

    name: str
    """Slug used in file names, addresses and tests."""
    title: str
    teaches: str
    """One paragraph for the student: what this plate is for and how to use it."""
    tolerance: Literal["exact", "shaded"]
    """How its reference pictures are compared."""
    group: KindGroup = field(default="light", kw_only=True)
    """Which of the groups it is offered in."""
    over: str = field(default="", kw_only=True)
    """Slug of the kind that its drawing may be laid over, for a kind of lines; empty for a kind with a picture."""
    make: Callable[..., Plate]


@dataclass(frozen=True, slots=True)
class LightKind(PlateKind):
    """A plate of the light: one for each view and lighting."""

    make: Callable[[Shown], Plate]
    thumbed: bool = False
    """Whether a small picture is made beside it, for contact sheets."""


@dataclass(frozen=True, slots=True)
class FormKind(PlateKind):
    """A plate of the form alone, the same under every lamp: one for each view. Its picture is its lines on paper."""

    make: Callable[[Formed], Plate]
    over: str = field(default="tone", kw_only=True)


@dataclass(frozen=True, slots=True)
class ContourKind(PlateKind):
    """A plate of the form with what the lamp adds to it: one for each view and lighting, lines on paper too."""

    make: Callable[[Formed, Shown], Plate]
    over: str = field(default="tone", kw_only=True)


@dataclass(frozen=True, slots=True)
class PlanesKind(PlateKind):
    """A plate of the model broken into planes: one for each view and lighting.

    ``level`` 0 (big planes) to 2 (small ones); ``make`` is given that planes model under the lighting.
    """

    level: int
    make: Callable[[PlanesShown], Plate]
