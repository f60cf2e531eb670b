"""How a lamp stands at a table, in the numbers a tape measure and a light meter give."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from builder.light.lamps import disc_factor, rectangle_factor
from builder.light.lit import Emitter
from builder.light.stance import Stance
from builder.model.model import Model
from builder.study.description import LampShape, Lighting

Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class LampSetting(Stance):
    """One lamp in real units: lengths in mm, angles in degrees, strength in stops. It stands where the middle of its
    face is.
    """

    role: str
    shape: LampShape
    width_mm: float
    """Of the face, measured level; a disc's diameter."""
    height_mm: float
    stops: float
    """Light at the model's middle, facing the lamp, against the key's there."""

    @property
    def softness_deg(self) -> float:
        """Angle that the face takes up seen from the model's middle; of a rectangle, that of a disc of its area."""
        across = self.width_mm if self.shape == "disc" else math.sqrt(self.width_mm * self.height_mm * 4.0 / math.pi)
        return 2.0 * math.degrees(math.atan2(across / 2.0, self.distance_mm))

    @property
    def widths_away(self) -> float:
        """Distance in widths of the face, its greater side counting."""
        return self.distance_mm / (self.width_mm if self.shape == "disc" else max(self.width_mm, self.height_mm))

    def shadow_mm(self, stick_mm: float) -> float | None:
        """Length of the shadow on the table of a stick standing upright on the cross; ``None`` for a lamp no higher.

        Similar triangles: stick x along / (above - stick), which is h / tan e for a far lamp at the elevation e.
        """
        over = self.above_mm - stick_mm
        return stick_mm * self.along_mm / over if over > 0.0 else None

    def blur_mm(self, stick_mm: float) -> float | None:
        """Width of the soft band along an upright edge's shadow at its far end; ``None`` for a lamp no higher.

        Penumbra of a straight edge, by similar triangles: s b / (H - b) for a lamp of width s at the height H over the
        surface and an edge at the height b.
        """
        over = self.above_mm - stick_mm
        return self.width_mm * stick_mm / over if over > 0.0 else None

    def shadow_height_mm(self, stick_mm: float, behind_mm: float) -> float:
        """How high up the shadow of that stick reaches on a card that stands upright ``behind_mm`` beyond the cross,
        square to the lamp. Similar triangles; for a lamp that does not hang over the cross.
        """
        return self.above_mm + (stick_mm - self.above_mm) * (self.along_mm + behind_mm) / self.along_mm

    def light_at(self, times: float) -> float:
        """Light on the model's middle were the lamp ``times`` as far away, as a share of what it is.

        Exact for the lamp's face (:func:`~builder.light.lamps.disc_factor`,
        :func:`~builder.light.lamps.rectangle_factor`); 1 / times**2 is the law for a lamp small for its distance.
        """
        return self._factor(self.distance_mm * times) / self._factor(self.distance_mm)

    def scaled(self, times: float) -> LampSetting:
        """The lamp for a model ``times`` the size: every length follows, angles and stops stay."""
        return LampSetting(
            left_mm=self.left_mm * times,
            front_mm=self.front_mm * times,
            above_mm=self.above_mm * times,
            aim_mm=self.aim_mm * times,
            role=self.role,
            shape=self.shape,
            width_mm=self.width_mm * times,
            height_mm=self.height_mm * times,
            stops=self.stops,
        )

    def _factor(self, distance_mm: float) -> float:
        if self.shape == "disc":
            return disc_factor(self.width_mm / 2.0, distance_mm)
        return rectangle_factor(self.width_mm / 2.0, self.height_mm / 2.0, distance_mm)


def lamp_setting(
    role: str,
    shape: LampShape,
    centre_mm: Place,
    face_mm: tuple[float, float],
    *,
    middle_mm: Place,
    ground_mm: float,
    stops: float,
) -> LampSetting:
    """A lamp's setting from where it stands.

    Args:
        role: key, fill or rim.
        shape: disc or rectangle.
        centre_mm: middle of its face, model frame.
        face_mm: width and height of the face.
        middle_mm: middle of the model, which the lamp is aimed at, model frame.
        ground_mm: height of the ground, model frame.
        stops: its strength against the key.

    """
    x, y, z = centre_mm
    return LampSetting(
        role=role,
        shape=shape,
        left_mm=x - middle_mm[0],
        front_mm=middle_mm[1] - y,
        above_mm=z - ground_mm,
        aim_mm=middle_mm[2] - ground_mm,
        width_mm=face_mm[0],
        height_mm=face_mm[1],
        stops=stops,
    )


def emitter_setting(emitter: Emitter, model: Model) -> LampSetting:
    """The setting of a lamp as it stands in the model's room, its strength reckoned from its own radiance and face."""
    x, y, z = (float(part) for part in emitter.centre)
    middle = tuple(float(part) for part in model.middle_mm)
    half = [math.hypot(*(float(part) for part in axis)) for axis in (emitter.across, emitter.along)]
    shape = emitter.shape
    away = math.dist((x, y, z), middle)
    factor = disc_factor(half[0], away) if shape == "disc" else rectangle_factor(half[0], half[1], away)
    return lamp_setting(
        emitter.role,
        shape,
        (x, y, z),
        (2.0 * half[0], 2.0 * half[1]),
        middle_mm=(middle[0], middle[1], middle[2]),
        ground_mm=model.ground_mm,
        stops=math.log2(emitter.radiance * factor),
    )


def setting_facts(lighting: Lighting, emitters: Sequence[Emitter], model: Model) -> dict[str, float]:
    """Facts of how a lighting is set: the key's place, size and softness, and what stands against it.

    ``emitters`` are the lighting's lamps in the model's room, the key first. ``fill_to_key_stops`` is there only where
    the lighting has a fill lamp.
    """
    settings = {emitter.role: emitter_setting(emitter, model) for emitter in emitters}
    key = settings["key"]
    facts = {} if "fill" not in settings else {"fill_to_key_stops": settings["fill"].stops - key.stops}
    return facts | {
        "ambient_to_key_stops": lighting.ambient_stops - key.stops,
        "key_distance_mm": key.distance_mm,
        "key_height_mm": key.above_mm,
        "key_bearing_deg": key.bearing_deg,
        "key_width_mm": key.width_mm,
        "key_softness_deg": key.softness_deg,
    }


def lit_to_fill(fill_stops: float) -> float:
    """How many times as light it is where key and fill both arrive as where the fill does alone: (1 + f) / f for a
    fill of f times the key. The ratio that studios name a lighting by (common practice, no source).
    """
    return 1.0 + math.exp2(-fill_stops)
