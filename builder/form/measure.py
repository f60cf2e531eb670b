"""A measure: one question about a view that a pencil held at arm's length can answer, with its answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from builder.form.measure_slugs import SLUGS
from builder.form.stroke import Mark, Stroke

Parameter = str | float


@dataclass(frozen=True, slots=True, eq=False)
class Measure:
    """What is asked and answered, without words, and the lines that show it.

    ``slug`` says which question it is, of :data:`~builder.form.measure_slugs.SLUGS`: its sentences stand under
    ``measure.<slug>`` in the words of the site; ``parameters`` what they are filled in with, names and numbers;
    ``strokes`` and ``marks`` have the ``kind`` ``measure-<number>``, where ``number`` counts the measures of a view
    from 1. Either may be empty.
    """

    number: int
    slug: str
    parameters: Mapping[str, Parameter]
    strokes: tuple[Stroke, ...] = field(default=())
    marks: tuple[Mark, ...] = field(default=())

    def __post_init__(self) -> None:
        """Freeze the parameters, and check that the sentences can be filled in."""
        assert set(self.parameters) == set(SLUGS[self.slug]), f"{self.slug}: {', '.join(self.parameters)}"
        object.__setattr__(self, "parameters", MappingProxyType(dict(self.parameters)))
