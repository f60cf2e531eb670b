"""The fields of study.yml that say what is done to a scan's surface."""

from __future__ import annotations

from typing import get_args

from builder.study.description import MeshSource, Smoothing
from builder.study.groups import Field
from builder.study.values import Choice, Extent

CLEANING = (
    Field(
        "cut below",
        Extent(0, 100_000),
        "For a table or turntable that is part of the scan: all that lies lower than this is cut away, and the cut "
        "closed flat. It counts from the lowest point of the file, at true size; a `height` given is then that of "
        "what remains.",
        None,
        "nothing is cut away",
    ),
    Field(
        "close holes",
        Extent(0, 100_000),
        "Holes no farther round than this are closed, and the patch bends on as the surface round it does. A "
        "hollow underside is closed flat in any case.",
        None,
        "a quarter of the model's greatest extent",
    ),
    Field(
        "smooth",
        Choice(get_args(Smoothing)),
        "Takes the grain of a scan off and keeps edges and size. The build says how far the surface moved.",
        MeshSource.__dataclass_fields__["smooth"].default,
    ),
)
