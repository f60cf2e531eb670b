"""Measuring the facts of a view under a lighting."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from builder.camera.projection import mm_per_px
from builder.form.footing import NOTHING
from builder.light.setting import setting_facts
from builder.light.value import value_of_luminance
from builder.model.model import Part
from builder.plates.difficulty import difficulty_facts
from builder.plates.faces import facing_shares
from builder.plates.fact_list import FACTS
from builder.plates.form_fact_list import DIFFICULTY
from builder.plates.patches import patch_centres
from builder.plates.plate import FactValue, Shown
from builder.study.description import Lighting, View

FRONT_DEG, BEHIND_DEG = 20.0, 120.0
"""A key within 20 degrees of the eye's bearing comes from the front, beyond 120 degrees from behind. Our division: by
120 degrees a sphere shows a lit crescent of no more than a quarter of its disc."""


def view_facts(view: View, lighting: Lighting, shown: Shown, given: Mapping[str, FactValue]) -> dict[str, FactValue]:
    """Every fact of :data:`builder.plates.fact_list.FACTS` that this view has, in that order.

    ``given`` is what was measured while the plates of this view were made, under this lighting and whatever the lamp.
    """
    measured = _place(view, shown) | facing_shares(shown) | _lighting(lighting, shown) | patch_centres(shown)
    measured.update(setting_facts(lighting, shown.lit.emitters, shown.model))
    measured.update(given)
    last = {fact.name for fact in DIFFICULTY}
    missing = [name for name, fact in FACTS.items() if name not in measured and name not in last and not fact.optional]
    assert not missing, f"no plate measured {', '.join(missing)}"
    measured.update(difficulty_facts(measured))
    unknown = [name for name in measured if name not in FACTS]
    assert not unknown, f"the list of facts lacks {', '.join(unknown)}"
    odd = [f"{name}: {value!r}" for name, value in measured.items() if not FACTS[name].takes(value)]
    assert not odd, f"measured beyond what can be: {', '.join(odd)}"
    return {name: measured[name] for name in FACTS if name in measured}


def _place(view: View, shown: Shown) -> dict[str, FactValue]:
    eye = shown.sight.eye
    left, top, right, bottom = shown.box_px
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
        "backdrop_value": _backdrop_value(shown),
        "around_value": _around_value(shown),
    }


def _backdrop_value(shown: Shown) -> float:
    """Middle value of the backdrop as painted, from every fourth pixel of every fourth row; where none is in the
    picture, that of all of it.
    """
    part = shown.footing.part[::4, ::4]
    behind = (part == Part.BACKDROP) | (part == NOTHING)
    if behind.any():
        return float(value_of_luminance(np.median(shown.drawn[::4, ::4][behind])))
    return float(value_of_luminance(shown.lit.facts.exposure * shown.lit.backdrop))


def _around_value(shown: Shown) -> float:
    """Middle value of all round sculpture and plinth as painted, from every fourth pixel of every fourth row; where
    these fill the picture, that of the backdrop.
    """
    part = shown.footing.part[::4, ::4]
    around = (part != Part.MODEL) & (part != Part.PLINTH) & ~shown.subject[::4, ::4]
    if around.any():
        return float(value_of_luminance(np.median(shown.drawn[::4, ::4][around])))
    return _backdrop_value(shown)
