"""Sets of views with fixed numbers.

Numbers 1 to 60 belong to these sets, each number to one view for ever: a student who was set view 47 last year finds
the same view 47 today. A new set takes numbers that are still free; nothing here is ever renumbered.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from builder.study.description import Length, View

LAST_PRESET_NUMBER = 60
LAST_NUMBER = 999
USUAL_DISTANCE = Length(4.0, in_sizes=True)
"""Far enough for little distortion: a body as deep as it is high shows its front 1.3 times as large as its back."""


@dataclass(frozen=True, slots=True)
class Preset:
    """A set of views; ``places`` holds number, bearing and eye level (degrees) and title of each."""

    name: str
    about: str
    places: tuple[tuple[int, float, float, str], ...]

    def views(self, distance: Length = USUAL_DISTANCE) -> tuple[View, ...]:
        """The views, seen from ``distance``."""
        return tuple(
            View(number, float(bearing), float(level), distance, title) for number, bearing, level, title in self.places
        )


def _named(bearing: float) -> str:
    """Where a bearing in ]-180, 180] looks from; left and right are the model's own."""
    turn, side = abs(bearing), "left" if bearing > 0 else "right"
    words = {
        0: "Front",
        45: "Three-quarter, {} side",
        90: "{} profile",
        135: "Three-quarter back, {} side",
        180: "Back",
    }
    if turn in words:
        return words[int(turn)].format(side.capitalize() if turn == 90 else side)
    return f"Front, {turn:g}° to the {side}" if turn < 90 else f"Back, {180 - turn:g}° to the {side}"


def _round(
    first: int, bearings: Iterable[float], level: float, where: str = ""
) -> Iterator[tuple[int, float, float, str]]:
    for number, bearing in enumerate(bearings, first):
        yield number, bearing, level, _named(bearing) + where


PRESETS: tuple[Preset, ...] = (
    Preset(
        "twelve round",
        "Once round the model in steps of 30°, at the height of its middle.",
        tuple(_round(1, (0, 30, 60, 90, 120, 150, 180, -150, -120, -90, -60, -30), 0)),
    ),
    Preset(
        "low circle",
        "Once round the model in steps of 45°, from below.",
        tuple(_round(13, (0, 45, 90, 135, 180, -135, -90, -45), -20, ", from below")),
    ),
    Preset(
        "three heights",
        "Front and both three-quarter views, each from below, from just above and from high up.",
        (
            *_round(21, (-45, 0, 45), -25, ", from below"),
            *_round(24, (-45, 0, 45), 10, ", from just above"),
            *_round(27, (-45, 0, 45), 40, ", from high up"),
        ),
    ),
    Preset(
        "high circle",
        "Once round the model in steps of 45°, from high up.",
        tuple(_round(31, (0, 45, 90, 135, 180, -135, -90, -45), 35, ", from high up")),
    ),
    Preset(
        "front arc",
        "Half round the front in steps of 15°, from profile to profile, at the height of the middle: for reliefs.",
        tuple(_round(41, range(-90, 91, 15), 0)),
    ),
)


def preset(name: str) -> Preset:
    """The set of that name."""
    return next(preset for preset in PRESETS if preset.name == name)
