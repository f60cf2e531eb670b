"""What is measured of a view under a lighting: names, units, and the measuring."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np

from builder.camera.projection import mm_per_px
from builder.light.value import value_of_luminance
from builder.plates.faces import facing_shares, family_shares
from builder.plates.patches import patch_centres
from builder.plates.plate import FactValue, Plate, Shown
from builder.study.description import Lighting, View

FRONT_DEG, BEHIND_DEG = 20.0, 120.0
"""A key within 20 degrees of the eye's bearing comes from the front, beyond 120 degrees from behind. Our division: by
120 degrees a sphere shows a lit crescent of no more than a quarter of its disc."""

_STEP_FACTS = {
    "shares": "shares of the subject's pixels in each step, dark to light",
    "picture_shares": "shares of the whole picture in each step, dark to light",
    "shapes": "number of shapes on the subject big enough to draw",
    "biggest_share": "share of the subject's pixels in its biggest shape",
}

FACTS: Mapping[str, str] = MappingProxyType(
    {
        "number": "number of the view",
        "bearing_deg": "degrees, where the eye stands round the model; 0 in front, positive to the model's left",
        "eye_level_deg": "degrees, the eye above (+) or below (-) the model's middle",
        "distance_mm": "mm, from the eye to the model's middle",
        "mm_per_px": "mm, size of a pixel at the distance of the model's middle",
        "subject_share": "share 0..1 of the picture's pixels that show the sculpture",
        "silhouette_width_mm": "mm, width of the silhouette's box measured at the distance of the model's middle",
        "silhouette_height_mm": "mm, height of the silhouette's box measured at the distance of the model's middle",
        "width_to_height": "ratio of the silhouette's box, width over height",
        "subject_left_px": "px, left side of the silhouette's box, from the picture's left",
        "subject_top_px": "px, top of the silhouette's box, from the picture's top",
        "subject_right_px": "px, right side of the silhouette's box, from the picture's left (first pixel outside)",
        "subject_bottom_px": "px, bottom of the silhouette's box, from the picture's top (first pixel outside)",
        "top_share": "share 0..1 of the subject seen that faces mostly up",
        "under_share": "share 0..1 of the subject seen that faces mostly down",
        "front_share": "share 0..1 of the subject seen that faces mostly the eye's side",
        "left_share": "share 0..1 of the subject seen that faces mostly the viewer's left",
        "right_share": "share 0..1 of the subject seen that faces mostly the viewer's right",
        "lighting": "name of the lighting",
        "key_from_eye_deg": "degrees, angle at the model's middle between the eye and the key lamp",
        "key_side": "where the key lamp stands as seen from the eye: left, right, front or behind",
        "key_elevation_deg": "degrees, the key lamp above (+) or below (-) the model's middle",
        "exposure_stops": "stops, exposure against luminance 1 for white facing the key at the model's middle",
        "subject_mean_value": "Munsell value 0..10, mean over the subject's pixels",
        "subject_darkest_value": "Munsell value 0..10 that 1 % of the subject's pixels do not reach",
        "subject_lightest_value": "Munsell value 0..10 that 1 % of the subject's pixels pass",
        "value_range": "Munsell value steps between the subject's lightest and darkest",
        "light_share": "share 0..1 of the subject seen that faces the key lamp and sees more than half of it",
        "shadow_share": "share 0..1 of the subject seen that does not: form and cast shadow",
        "darkest_x": "fraction 0..1 of the silhouette's box from its left, centre of the darkest sizable patch",
        "darkest_y": "fraction 0..1 of the silhouette's box from its top, centre of the darkest sizable patch",
        "lightest_x": "fraction 0..1 of the silhouette's box from its left, centre of the lightest sizable patch",
        "lightest_y": "fraction 0..1 of the silhouette's box from its top, centre of the lightest sizable patch",
        "backdrop_value": "Munsell value 0..10 of the empty backdrop",
    }
    | {f"values_{n}_{name}": f"{n}-step study: {text}" for n in (2, 3, 5, 9) for name, text in _STEP_FACTS.items()}
)
"""Every fact of a view under a lighting: name (with unit suffix) to unit and meaning."""


def view_facts(view: View, lighting: Lighting, shown: Shown, plates: Sequence[Plate]) -> dict[str, FactValue]:
    """Every fact named in :data:`FACTS`, in that order.

    ``plates`` are those of this view under this lighting; what they measured while they were made is taken from them,
    so the tone plate and the four value studies must be among them.
    """
    measured = _place(view, shown) | facing_shares(shown) | _lighting(lighting, shown) | family_shares(shown)
    measured |= patch_centres(shown) | {fact: value for plate in plates for fact, value in plate.facts.items()}
    missing = [name for name in FACTS if name not in measured]
    assert not missing, f"no plate measured {', '.join(missing)}"
    return {name: measured[name] for name in FACTS}


def _place(view: View, shown: Shown) -> dict[str, FactValue]:
    eye = shown.sight.eye
    rows, columns = np.flatnonzero(shown.subject.any(axis=1)), np.flatnonzero(shown.subject.any(axis=0))
    top, bottom = int(rows[0]), int(rows[-1]) + 1
    left, right = int(columns[0]), int(columns[-1]) + 1
    scale = mm_per_px(eye)
    return {
        "number": view.number,
        "bearing_deg": float(view.bearing_deg),
        "eye_level_deg": float(view.eye_level_deg),
        "distance_mm": float(eye.distance_mm),
        "mm_per_px": float(scale),
        "subject_share": float(shown.subject.mean()),
        "silhouette_width_mm": float((right - left) * scale),
        "silhouette_height_mm": float((bottom - top) * scale),
        "width_to_height": (right - left) / (bottom - top),
        "subject_left_px": left,
        "subject_top_px": top,
        "subject_right_px": right,
        "subject_bottom_px": bottom,
    }


def _lighting(lighting: Lighting, shown: Shown) -> dict[str, FactValue]:
    eye, lit = shown.sight.eye, shown.lit
    middle = shown.model.middle_mm
    to_key, to_eye = lit.emitters[0].centre - middle, eye.position - middle
    to_key, to_eye = to_key / np.linalg.norm(to_key), to_eye / np.linalg.norm(to_eye)
    right = eye.world_from_camera[:3, 0]
    towards = np.cross(right, (0.0, 0.0, 1.0))
    round_deg = float(np.degrees(np.arctan2(to_key @ right, to_key @ towards)))
    if abs(round_deg) < FRONT_DEG:
        side = "front"
    elif abs(round_deg) > BEHIND_DEG:
        side = "behind"
    else:
        side = "right" if round_deg > 0 else "left"
    return {
        "lighting": lighting.name,
        "key_from_eye_deg": float(np.degrees(np.arccos(np.clip(to_key @ to_eye, -1.0, 1.0)))),
        "key_side": side,
        "key_elevation_deg": float(np.degrees(np.arcsin(np.clip(to_key[2], -1.0, 1.0)))),
        "exposure_stops": float(lit.facts.exposure_stops),
        "backdrop_value": float(value_of_luminance(lit.facts.exposure * lit.backdrop)),
    }
