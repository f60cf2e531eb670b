"""Where the numbered eyes stand, and how much they take in."""

from __future__ import annotations

import math

import numpy as np

from builder.arrays import Floats
from builder.camera.projection import project
from builder.camera.sight import Eye
from builder.errors import CameraError, Notice, Problem
from builder.model.model import Model, Part
from builder.study.description import Picture, View

STAND_OFF = 3.0
"""Distance, in greatest sizes of the model, from which the frame is measured, and below which near parts are said to
swell (the rule of three: Leonardo, A Treatise on Painting, tr. Rigaud, ch. XIX)."""
MARGIN = 1.04
"""Room left round the sculpture in the view that needs the most."""
PLINTH_LEVELS_DEG = 15.0
"""Eye levels up to which the whole plinth is in the picture, whatever the bearing."""
PLINTH_MOST = 1.1
"""A plinth much wider than the sculpture runs out of the picture rather than make the sculpture still smaller."""


def place(view: View, model: Model, picture: Picture) -> tuple[Eye, tuple[Notice, ...]]:
    """The eye of a view, looking at the model's middle with z up, and what the tutor should know of it.

    Every view of a study is drawn to the same scale at the model's middle (:func:`frame_mm`). CameraError if the eye
    stands inside the sculpture or its plinth, or so near that the sculpture does not fit in the picture.
    """
    where = f"view {view.number}"
    distance_mm = view.distance.mm(model.size_mm)
    assert distance_mm > 0 and abs(view.eye_level_deg) <= 90
    half_mm = frame_mm(model, picture)
    eye = _eye(view, model, picture, half_mm, distance_mm)
    inside = _inside(model, eye.position)
    if inside or _crops(model, eye):
        found = "the eye stands inside the model" if inside else "the sculpture does not fit in the picture"
        raise CameraError(
            Problem(
                where,
                f"from {distance_mm:.0f} mm {found}",
                f"from {_nearest_mm(view, model, picture, half_mm):.0f} mm on it fits",
                "set a greater distance",
            )
        )
    notices = []
    sizes = distance_mm / model.size_mm
    if sizes < STAND_OFF * (1 - 1e-9):
        away = f"the eye stands {sizes:.2g} times the model's greatest size away"
        notices.append(Notice(where, f"{away}; nearer than three times, near parts swell"))
    if eye.position[2] < model.ground_mm:
        notices.append(Notice(where, "the eye stands below the ground, so neither ground nor backdrop is drawn"))
    return eye, tuple(notices)


def frame_mm(model: Model, picture: Picture) -> float:
    """Half the height of the picture at the model's middle, mm: one for every view of a study.

    It takes in the barrel round the sculpture (the upright cylinder about the axis through its middle) from every
    bearing and eye level, in perspective from three sizes away, with a margin; and the plinth from about level. So it
    depends on the model and the picture's shape alone, and a view more changes no other.
    """
    distance_mm = STAND_OFF * model.size_mm
    aspect = picture.width_px / picture.height_px
    middle = model.middle_mm
    body = MARGIN * _half_height(_barrel(_body(model), middle), aspect, distance_mm, 90.0)
    plinth = _barrel(_plinth(model), middle)
    if plinth[0] > model.size_mm:
        return body
    return min(max(body, _half_height(plinth, aspect, distance_mm, PLINTH_LEVELS_DEG)), PLINTH_MOST * body)


def _eye(view: View, model: Model, picture: Picture, half_mm: float, distance_mm: float) -> Eye:
    bearing, level = math.radians(view.bearing_deg), math.radians(view.eye_level_deg)
    back = np.array([math.sin(bearing) * math.cos(level), -math.cos(bearing) * math.cos(level), math.sin(level)])
    # from the bearing and not from z, so that it is defined straight above too
    right = np.array([math.cos(bearing), math.sin(bearing), 0.0])
    matrix = np.eye(4)
    matrix[:3, 0], matrix[:3, 1], matrix[:3, 2] = right, np.cross(back, right), back
    matrix[:3, 3] = model.middle_mm + distance_mm * back
    return Eye(
        number=view.number,
        position=matrix[:3, 3],
        world_from_camera=matrix,
        tan_x=half_mm / distance_mm * picture.width_px / picture.height_px,
        tan_y=half_mm / distance_mm,
        width_px=picture.width_px,
        height_px=picture.height_px,
        distance_mm=distance_mm,
    )


def _body(model: Model) -> Floats:
    return model.scene.vertices[: model.body_vertices]


def _plinth(model: Model) -> Floats:
    faces = model.scene.faces[model.scene.parts == Part.PLINTH]
    points: Floats = model.scene.vertices[np.unique(faces)]
    return points


def _barrel(points: Floats, middle: Floats) -> tuple[float, float, float]:
    """Radius about the upright axis through ``middle``, and the lowest and highest z from there; 0 for no points."""
    if len(points) == 0:
        return 0.0, 0.0, 0.0
    around = points - middle
    return float(np.hypot(around[:, 0], around[:, 1]).max()), float(around[:, 2].min()), float(around[:, 2].max())


def _half_height(barrel: tuple[float, float, float], aspect: float, distance_mm: float, to_level_deg: float) -> float:
    """Half-height at the middle that takes the barrel in, from above, at eye levels from 0 to ``to_level_deg``."""
    radius, low, high = barrel
    level = np.radians(np.linspace(0, to_level_deg, 91))[:, None, None]
    turn = np.radians(np.arange(0, 360, 5))[None, :, None]
    across, towards, z = radius * np.sin(turn), radius * np.cos(turn), np.array([low, high])
    depth = distance_mm - towards * np.cos(level) - z * np.sin(level)
    assert depth.min() > 0, "three sizes away is outside the barrel"
    up = z * np.cos(level) - towards * np.sin(level)
    return float(distance_mm * max(np.abs(up / depth).max(), np.abs(across / depth).max() / aspect))


def _inside(model: Model, position: Floats) -> bool:
    for points in (_body(model), _plinth(model)):
        radius, low, high = _barrel(points, model.middle_mm)
        x, y, z = position - model.middle_mm
        if math.hypot(x, y) <= radius and low <= z <= high:
            return True
    return False


def _crops(model: Model, eye: Eye) -> bool:
    """Whether any of the sculpture lies outside the picture or behind the eye."""
    places, depth = project(eye, _body(model))
    size = (eye.width_px, eye.height_px)
    return bool((depth <= 0).any() or (places < 0).any() or (places > size).any())


def _nearest_mm(view: View, model: Model, picture: Picture, half_mm: float) -> float:
    """The least distance, rounded up to a millimetre, at which the sculpture fits."""
    near, far = 0.0, STAND_OFF * model.size_mm
    while far - near > 0.5:
        between = (near + far) / 2
        eye = _eye(view, model, picture, half_mm, between)
        if _inside(model, eye.position) or _crops(model, eye):
            near = between
        else:
            far = between
    return math.ceil(far)
