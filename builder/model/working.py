"""The working model: a file's triangles cleaned, stood up, thinned out and smoothed, with what each step did."""

from __future__ import annotations

from dataclasses import dataclass, replace

from builder.errors import Notice
from builder.model.axes import in_millimetres, standing
from builder.model.clean import Clean, found, mended
from builder.model.reduce import reduced
from builder.model.smooth import Smoothed, smoothed
from builder.model.triangles import Triangles
from builder.study.description import MeshSource


@dataclass(frozen=True, slots=True, eq=False)
class Working:
    """The sculpture as it is worked with, in mm in the model frame, its base at z = 0, and what was done to it.

    ``reduced_mm`` is the greatest distance measured that fewer faces moved the surface; ``smoothing`` what smoothing
    did to it, ``None`` where none was asked for; ``notices`` in the order of the steps.
    """

    clean: Clean
    reduced_mm: float
    smoothing: Smoothed | None
    notices: tuple[Notice, ...]

    @property
    def moved_mm(self) -> float:
        """No point of the surface moved farther than this, closing and cutting apart."""
        return self.reduced_mm + (self.smoothing.greatest if self.smoothing else 0.0)


def working(triangles: Triangles, source: MeshSource, where: str) -> Working:
    """The working model of a file's triangles; raises :class:`~builder.errors.ModelError` where there is no solid."""
    height = source.height_mm
    raw, left_out = found(in_millimetres(triangles, source, where), where, height, source.cut_below_mm)
    made = worked(standing(raw, height), source, where)
    return replace(made, notices=(*left_out, *made.notices))


def worked(standing_mm: Triangles, source: MeshSource, where: str) -> Working:
    """The working model of the sculpture's own faces, standing in the model frame in mm."""
    clean = mended(standing_mm, where, source.close_holes_mm)
    clean, reduced_mm, lost = _fewer(clean, source, where)
    clean, smoothing, evened = _smoother(clean, source, where)
    return Working(clean, reduced_mm, smoothing, (*clean.notices, *lost, *evened))


def _fewer(clean: Clean, source: MeshSource, where: str) -> tuple[Clean, float, tuple[Notice, ...]]:
    """The sculpture with no more faces than a plate can show, how far the surface moved, in mm, and what to tell."""
    few, deviation = reduced(clean.triangles)
    if few is clean.triangles:
        return clean, 0.0, ()
    again = mended(standing(few, source.height_mm), where, source.close_holes_mm)
    before, after = len(clean.triangles.faces), len(again.triangles.faces)
    text = f"{before:,} faces reduced to {after:,}; the surface moved by at most {deviation:.2g} mm"
    told = (Notice(where, text), *again.notices)
    return Clean(again.triangles, again.holes_left, again.bodies, clean.notices), deviation, told


def _smoother(clean: Clean, source: MeshSource, where: str) -> tuple[Clean, Smoothed | None, tuple[Notice, ...]]:
    """The sculpture with its noise evened out as far as the study asks, and what that moved."""
    if source.smooth == "none":
        return clean, None, ()
    even = smoothed(clean.triangles, source.smooth)
    text = (
        f"smoothed ({source.smooth}): the surface moved by {even.rms:.2g} mm on average and {even.greatest:.2g} mm at "
        f"most, its volume by {100 * even.volume_change:+.2g} %"
    )
    stood = standing(even.triangles, source.height_mm)
    return Clean(stood, clean.holes_left, clean.bodies, clean.notices), even, (Notice(where, text),)
