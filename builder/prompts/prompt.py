"""A prompt: the drawing task for a view."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Prompt:
    """What to draw, for how long, and how to check it. Texts are plain sentences with inline Markdown at most."""

    kind: str
    """Slug: first-look, block-in, shadow-shapes, values, planes, long-study."""
    title: str
    aim: str
    minutes: int
    medium: str
    steps: tuple[str, ...]
    look_for: tuple[str, ...]
    self_check: tuple[str, ...]
    """Hidden until asked for."""
    cautions: tuple[str, ...] = ()
