"""Every question that can be asked of a view, by slug, with the names of what its sentences are filled in with."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

_LEANS = tuple(f"{off}-{lean}" for off in ("level", "plumb") for lean in ("even", "left", "right"))

SLUGS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "width-height": ("ratio",),
        "height-width": ("ratio",),
        **{f"middle-height-{where}": ("name",) for where in ("on", "over", "under")},
        "middle-height-outline": ("share",),
        **{f"middle-width-{where}": ("name",) for where in ("on", "left", "right")},
        **{f"top-{where}": ("share",) for where in ("on", "left", "right")},
        "widest": ("share",),
        "unit-down": ("one", "two", "times"),
        "unit-across": ("one", "two", "times"),
        "unit-hidden": ("one", "two"),
        "unit-point": ("one", "two"),
        "unit-shorter": ("one", "two", "ratio"),
        "unit-longer": ("one", "two", "ratio"),
        "levels": ("names", "places"),
        "plumbs": ("names", "places"),
        "plumb": ("one", "two"),
        "level": ("one", "two"),
        **{f"tilt-{lean}": ("name", "angle_deg") for lean in _LEANS},
        "tilt-shorter": ("name", "ratio"),
        "tilt-longer": ("name", "ratio"),
        **{f"middle-line-{lean}": ("one", "two", "angle_deg") for lean in _LEANS},
        **{f"axis-{lean}": ("angle_deg",) for lean in _LEANS},
        "horizon-inside": ("share",),
        **{f"horizon-{where}": ("heights",) for where in ("above", "above-outside", "below", "below-outside")},
        "horizon-none-down": (),
        "horizon-none-up": (),
        "odd-more": ("name", "here", "front"),
        "odd-less": ("name", "here", "front"),
        "hidden": ("names",),
        "hidden-all": ("names",),
    }
)
