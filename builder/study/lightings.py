"""Lightings of the trade, by name.

The angles are common studio practice, where ten degrees either way do not matter and sources differ; no published
source fixes them. A negative bearing stands on the model's right, which is the left of a viewer in front: the usual
side for a right-handed student, whose hand then throws no shadow on the work.
"""

from __future__ import annotations

from builder.study.description import Lamp, Length, Lighting
from builder.study.values import slug


def sizes(count: float) -> Length:
    """A length in sizes of the model."""
    return Length(count, in_sizes=True)


def disc(bearing_deg: float, elevation_deg: float, distance: Length, across: Length) -> Lamp:
    """A round lamp of full strength."""
    return Lamp(bearing_deg, elevation_deg, distance, "disc", across, across)


def _lighting(title: str, key: Lamp, ambient_stops: float, about: str) -> Lighting:
    return Lighting(slug(title), title, key, ambient_stops=ambient_stops, about=about)


LIGHTINGS: tuple[Lighting, ...] = (
    _lighting(
        "North window",
        Lamp(-60.0, 40.0, sizes(4), "rectangle", sizes(2), sizes(3)),
        -2.5,
        "A tall window high on one side, with no sun in it, in a room with pale walls. The edges of the shadows are "
        "soft and the shadow side is full of reflected light, so the halftones are long and the values lie close "
        "together. The light to draw by for hours; hard to judge by eye alone, so compare often.",
    ),
    _lighting(
        "Three-quarter lamp",
        disc(-45.0, 45.0, sizes(4), sizes(0.3)),
        -4.0,
        "One lamp to the side, in front and above, each by about half a right angle: the classical light for a head, "
        "which studios name after Rembrandt. About three quarters of a ball would be lit as seen from the front. Light "
        "and shadow part clearly, every large plane gets a value of its own, and the cast shadows describe the form "
        "they fall on. Begin here.",
    ),
    _lighting(
        "Side lamp",
        disc(-90.0, 15.0, sizes(4), sizes(0.3)),
        -4.0,
        "One lamp straight to the side, a little above; studios call it split light. Seen from the front the model is "
        "half light and half shadow, and the line between them runs down the middle of the form. Good for learning to "
        "mass the shadow as one shape and for finding the profile inside a front view.",
    ),
    _lighting(
        "Top lamp",
        disc(0.0, 70.0, sizes(4), sizes(0.3)),
        -4.0,
        "One lamp high above and slightly in front. Every plane that turns up is light and every plane that turns down "
        "is dark, so the big planes read at once; hollows such as eye sockets fill with shadow. Both sides are alike, "
        "which makes it a good light for checking symmetry.",
    ),
    _lighting(
        "Low lamp",
        disc(-20.0, -8.0, sizes(3), sizes(0.2)),
        -4.0,
        "One lamp near the ground, in front. Planes that usually lie in shadow are light and the other way round, so "
        "nothing can be drawn from habit: a strict exercise in drawing what is seen. It suits models that are taller "
        "than wide; under a wide model the lamp would have to stand in the ground.",
    ),
    _lighting(
        "Rim lamp",
        disc(-135.0, 30.0, sizes(4), sizes(0.3)),
        -4.0,
        "One lamp behind the model and to one side, and little else. Most of what the viewer sees is shadow, with a "
        "narrow edge of light. The outline carries the drawing, and the quiet differences inside the shadow have to be "
        "looked for.",
    ),
)  # fmt: skip


def lighting(name: str) -> Lighting:
    """The lighting of that name, given as a slug."""
    return next(lighting for lighting in LIGHTINGS if lighting.name == name)
