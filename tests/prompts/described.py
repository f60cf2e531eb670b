"""Views and lamps for the tests of prompts."""

from builder.study.description import Lamp, Length, View


def lamp(bearing_deg: float, elevation_deg: float, stops: float = 0.0) -> Lamp:
    size = Length(0.3, in_sizes=True)
    return Lamp(bearing_deg, elevation_deg, Length(4.0, in_sizes=True), "disc", size, size, stops)


def view(bearing_deg: float = 35.0, eye_level_deg: float = -10.0, number: int = 12) -> View:
    return View(number, bearing_deg, eye_level_deg, Length(4.0, in_sizes=True))
