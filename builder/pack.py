"""The pack: everything the site and the sheets need, as plain values and file paths."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from builder.cards.build_text import Block
from builder.errors import Notice
from builder.form.measure import Measure
from builder.light.lit import LightFacts
from builder.model.model import ModelFacts
from builder.model.surveyed import Surveyed
from builder.plates.plate import FactValue
from builder.prompts.prompt import Prompt
from builder.study.description import Lighting, Study, View


@dataclass(frozen=True, slots=True)
class PlateFile:
    """A plate as written to the store. ``address`` is its place in the site, ``plates/<study>/<number>/...``; the
    ``drawing`` is the SVG of its outlines, where the kind has any.
    """

    kind: str
    path: Path
    thumb: Path | None
    address: str
    thumb_address: str | None
    drawing: Path | None
    drawing_address: str | None
    width_px: int
    height_px: int
    bytes: int
    alt: str


@dataclass(frozen=True, slots=True)
class ShownView:
    """One view under one lighting: its facts (names with unit suffixes), plates by kind, prompts by kind.

    ``facts_address`` is the place of the facts in the site, as a file for other programs.
    """

    lighting: Lighting
    facts: Mapping[str, FactValue]
    facts_address: str
    plates: Mapping[str, PlateFile]
    prompts: tuple[Prompt, ...]


@dataclass(frozen=True, slots=True)
class PaperFile:
    """A document to print, with its place in the site: ``kind`` is ``sheet``, ``overlay``, ``table`` (cards for the
    student's table) or ``workbook``; ``paper`` the title of its format; ``lighting`` that of the view's lighting, ""
    where it holds several.
    """

    kind: str
    paper: str
    lighting: str
    path: Path
    address: str
    bytes: int


@dataclass(frozen=True, slots=True)
class StudyView:
    """One numbered view: where the eye stands in the model frame, and what it shows by lighting name."""

    view: View
    eye_mm: tuple[float, float, float]
    distance_mm: float
    opens_with: str
    """Name of the lighting its page opens with."""
    shown: Mapping[str, ShownView]
    measures: tuple[Measure, ...] = ()
    """What can be asked about its proportions, with the answers."""
    papers: tuple[PaperFile, ...] = ()
    """Its sheet, overlay and table cards for each of the study's papers."""


@dataclass(frozen=True, slots=True)
class LampPlace:
    """Where a lamp stands, for the plan drawing and the lighting's words; mm in the model frame."""

    role: str
    centre_mm: tuple[float, float, float]
    width_mm: float
    height_mm: float
    shape: str


@dataclass(frozen=True, slots=True)
class PlanesFiles:
    """The model broken into planes, to be printed in three dimensions or turned on a screen.

    ``level`` 0 (big planes) to 2 (small ones); ``rms_mm`` and ``greatest_mm`` from the form to its planes; each file
    with its place in the site.
    """

    level: int
    count: int
    rms_mm: float
    greatest_mm: float
    stl: Path
    stl_address: str
    glb: Path
    glb_address: str


@dataclass(frozen=True, slots=True)
class CardFiles:
    """Section cards for building the model in clay: pages to print (``pages`` of ``paper``), the drawing for a cutting
    machine, each with its place in the site, and the directions.
    """

    pdf: Path
    pdf_address: str
    svg: Path
    svg_address: str
    paper: str
    pages: int
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class SidesFiles:
    """The model from its six sides, small and at full size, each with its place in the site."""

    small: Path
    small_address: str
    large: Path
    large_address: str


@dataclass(frozen=True, slots=True)
class StudyPack:
    """One study, built."""

    study: Study
    model: ModelFacts
    ground_mm: float
    footprint_mm: tuple[tuple[float, float], ...]
    """Outline of the sculpture seen from above (convex hull), for the plan drawing."""
    lights: Mapping[str, LightFacts]
    lamps: Mapping[str, tuple[LampPlace, ...]]
    views: tuple[StudyView, ...]
    notices: tuple[Notice, ...]
    planes_files: tuple[PlanesFiles, ...] = ()
    """The planes models, from big planes to small; empty where the model is not broken into planes."""
    workbooks: tuple[PaperFile, ...] = ()
    """All views as one document, for each of the study's papers."""
    cards: CardFiles | None = None
    """The section cards; ``None`` where none could be cut."""
    survey: Surveyed | None = None
    sides: SidesFiles | None = None
    """What its page tells of the model, and shows; ``None`` where that was not asked for."""


@dataclass(frozen=True, slots=True)
class Pack:
    """All studies of a project, built."""

    studies: tuple[StudyPack, ...]
