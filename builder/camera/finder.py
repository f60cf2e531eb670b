"""A way of finding which triangle each sample sees."""

from __future__ import annotations

from typing import Literal, Protocol

from builder.arrays import Ints
from builder.camera.sight import Eye


class Unavailable(Exception):
    """A way of looking cannot be used on this computer; the text says why, without a full stop."""


class Finder(Protocol):
    """Looks at one model from any eye."""

    method: Literal["raster", "rays"]
    drawn_by: str
    """What finds the triangles, with its version: two finders that say the same give the same answer."""

    def faces(self, eye: Eye) -> Ints:
        """(h, w) int32, index into the scene's faces or -1, at the eye's sample centres. May raise Unavailable."""

    def close(self) -> None:
        """Give back what is held; may be called twice."""
