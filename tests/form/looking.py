"""Small scenes looked at from known places, by rays."""

from __future__ import annotations

from builder.camera.eyes import place
from builder.camera.look import open_camera
from builder.form.looked import Looked, look_at
from builder.model.model import Model
from builder.study.description import Guides, Landmark, Length, Picture, View

PICTURE = Picture(300, 300)


def looking(
    model: Model,
    bearing_deg: float = 0.0,
    eye_level_deg: float = 0.0,
    distance_mm: float = 900.0,
    landmarks: dict[str, tuple[float, float, float]] | None = None,
    guides: Guides | None = None,
    picture: Picture = PICTURE,
) -> Looked:
    """The model seen from there, with these landmarks."""
    eye, _ = place(View(1, bearing_deg, eye_level_deg, Length(distance_mm)), model, picture)
    with open_camera(model, "rays") as camera:
        sight = camera.look(eye)
    return look_at(model, sight, tuple(Landmark(*pair) for pair in (landmarks or {}).items()), guides)
