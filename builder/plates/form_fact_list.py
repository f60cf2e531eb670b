"""The facts of the form: planes, block-in, measures, and how hard a view is. They stand in :mod:`fact_list`'s list."""

from __future__ import annotations

from builder.plates.fact import Fact, Unit

PLANE_LEVELS = (("big", 14), ("middle", 40), ("small", 100))
"""Words for the three levels of planes, with a usual count of each."""
_NO_PLANES = "the model is not broken into planes"
_NO_OUTLINE = "the outline is not drawn with straight lines"
_NO_AIR = "the envelope lies along the outline everywhere"
_NO_LANDMARKS = "the study has no landmarks"
_NO_UNIT = "the study has no unit of comparison, or an end of it is hidden"
_NO_TILT = "no tilt of the study has both ends seen, and the form has no middle line"
_NO_ODD = "no proportion departs from the front view"
_NOT_ALIGNED = "no two landmarks that are seen stand in line"
_LAST = 100_000


def _number(name: str, unit: Unit, meaning: str, specimen: float, low: float, high: float, missing: str) -> Fact:
    return Fact(name, unit, "number", meaning, float(specimen), low, high, missing=missing)


def _count(name: str, meaning: str, specimen: int, low: int, missing: str) -> Fact:
    return Fact(name, "count", "whole", meaning, specimen, low, _LAST, missing=missing)


def _share(name: str, meaning: str, specimen: float) -> Fact:
    return Fact(name, "share", "number", meaning, specimen, missing=_NO_PLANES)


def _text(name: str, meaning: str, specimen: str, missing: str) -> Fact:
    return Fact(name, "none", "text", meaning, specimen, missing=missing)


def _word(name: str, meaning: str, specimen: str, missing: str, *words: str) -> Fact:
    return Fact(name, "none", "word", meaning, specimen, words=words, missing=missing)


def _row(name: str, unit: Unit, meaning: str, specimen: tuple[float, ...], low: float, high: float, why: str) -> Fact:
    return Fact(name, unit, "row", meaning, specimen, low, high, missing=why)


def _level(level: str, planes: int) -> tuple[Fact, ...]:
    name = f"planes_{level}"
    return (
        _count(f"{name}_count", f"planes of the model, {level} ones", planes, 1, _NO_PLANES),
        _count(f"{name}_seen", "of those, planes that you see", planes // 2, 0, _NO_PLANES),
        _number(
            f"{name}_rms_mm", "mm", f"from the {level} planes to the form, root mean square", 2.5, 0, 1e9, _NO_PLANES
        ),
        _number(f"{name}_greatest_mm", "mm", "the same, at the greatest", 9.0, 0, 1e9, _NO_PLANES),
    )


PLANES = (
    *(fact for level, planes in PLANE_LEVELS for fact in _level(level, planes)),
    _share("planes_top_share", "share of the form that top planes take, of the middle planes", 0.16),
    _share("planes_side_share", "share of the form that side planes take", 0.62),
    _share("planes_under_share", "share of the form that under planes take", 0.09),
    _share("largest_plane_share", "share of the form that the largest of the middle planes takes", 0.11),
    _word(
        "largest_plane_facing",
        "which way it faces, as you see it",
        "side left",
        _NO_PLANES,
        "top",
        "side left",
        "side right",
        "under",
        "front",
    ),
    _number("largest_plane_off_level_deg", "deg", "how far it leans from level", 82, 0, 180, _NO_PLANES),
    _number("largest_plane_from_eye_deg", "deg", "how far it is turned away from you", 38, 0, 90, _NO_PLANES),
)


def _lines(name: str, words: str, lengths: tuple[float, ...], angles: tuple[float, ...]) -> tuple[Fact, ...]:
    return (
        _count(f"{name}_sides", f"straight sides of {words}", len(lengths), 3, _NO_OUTLINE),
        _row(
            f"{name}_lengths",
            "ratio",
            f"length of each side of {words}, in heights of the silhouette, from the top on, clockwise",
            lengths,
            0,
            1e4,
            _NO_OUTLINE,
        ),
        _row(
            f"{name}_off_plumb_deg",
            "deg",
            f"angle of each side of {words} off plumb, + where it leans to the right at its top",
            angles,
            -90,
            90,
            _NO_OUTLINE,
        ),
    )


_WHERE = (
    "inside",
    "upper left",
    "upper middle",
    "upper right",
    "left",
    "right",
    "lower left",
    "lower middle",
    "lower right",
)

BLOCK_IN = (
    *_lines("envelope", "the envelope", (0.41, 0.72, 0.38, 0.66, 0.35), (88.0, 6.5, -52.0, 58.0, -9.0)),
    *_lines("few", "the outline in few straight lines", (0.31, 0.72, 0.38), (84.0, 6.5, -52.0)),
    *_lines("many", "the outline in more straight lines", (0.2, 0.36, 0.38, 0.21), (84.0, 6.5, -1.0, -52.0)),
    _number(
        "longest_side_length",
        "ratio",
        "the longest side of the envelope, in heights of the silhouette",
        0.72,
        0,
        1e4,
        _NO_OUTLINE,
    ),
    _number(
        "longest_side_off_plumb_deg",
        "deg",
        "its angle off plumb, + where it leans to the right at its top",
        6.5,
        -90,
        90,
        _NO_OUTLINE,
    ),
    Fact(
        "negative_shapes",
        "count",
        "whole",
        "pieces of air between the envelope and the outline",
        6,
        0,
        _LAST,
        missing=_NO_OUTLINE,
    ),
    _row(
        "negative_areas",
        "ratio",
        "area of each over that of the silhouette, the largest first",
        (0.09, 0.05, 0.01),
        0,
        1e4,
        _NO_AIR,
    ),
    _word("largest_negative_side", "where the largest of them lies", "lower right", _NO_AIR, *_WHERE),
)

MEASURES = (
    _count("landmarks_seen", "landmarks of the study that you see", 14, 0, _NO_LANDMARKS),
    _count("landmarks_hidden", "landmarks that are hidden from you", 5, 0, _NO_LANDMARKS),
    _number("unit_across", "ratio", "how often the unit of comparison goes into the width", 2.6, 0, 1e4, _NO_UNIT),
    _number("unit_down", "ratio", "how often the unit of comparison goes into the height", 3.4, 0, 1e4, _NO_UNIT),
    _number(
        "unit_to_front", "ratio", "the unit as you see it, over the same in the front view", 0.93, 0, 1e4, _NO_UNIT
    ),
    _number(
        "horizon_height",
        "ratio",
        "height of the horizon over the silhouette's foot, in heights of the silhouette",
        0.35,
        -1e6,
        1e6,
        "you look straight up or down",
    ),
    _text("first_tilt_name", "the tilt to check first", "brow line", _NO_TILT),
    _number(
        "first_tilt_deg",
        "deg",
        "its angle, + where it rises to the right or leans to the right at its top",
        -7,
        -90,
        90,
        _NO_TILT,
    ),
    _word("first_tilt_from", "what that angle is counted from", "level", _NO_TILT, "level", "plumb"),
    _text("odd_proportion_name", "the proportion that departs most from the front view", "nose to chin", _NO_ODD),
    _number("odd_proportion", "ratio", "that proportion in this view", 0.62, 0, 1e4, _NO_ODD),
    _number("odd_proportion_front", "ratio", "the same in the front view", 0.85, 0, 1e4, _NO_ODD),
    _text("aligned_upper", "the upper, or the left, of two landmarks that stand in line", "brow", _NOT_ALIGNED),
    _text("aligned_lower", "the lower, or the right, of the two", "chin", _NOT_ALIGNED),
    _word("aligned_along", "the line they stand in", "plumb", _NOT_ALIGNED, "plumb", "level"),
    _number(
        "mirror_residual_mm",
        "mm",
        "how far the model is from its own mirror image, root mean square over its surface",
        1.2,
        0,
        1e9,
        "its two halves are not alike",
    ),
    _text("middle_height_at", "the landmark nearest to half the height", "nose base", "none that is seen is near it"),
)

_NO_DRAWING = "the form is not drawn"


def _square(name: str, where: str, specimen: str) -> Fact:
    return _text(
        f"grid_{name}_square", f"the square of the grid in which it reaches farthest {where}", specimen, _NO_DRAWING
    )


GUIDES = (
    _number("sections_spacing_mm", "mm", "from one cross-contour to the next", 10, 1e-3, 1e6, _NO_DRAWING),
    *(
        _count(f"sections_{family}_planes", f"{words} planes that cut the model, seen or not", 27, 0, _NO_DRAWING)
        for family, words in (("level", "level"), ("upright", "upright"), ("oblique", "slanting"))
    ),
    _number("sections_lean_deg", "deg", "how far the slanting planes lean from level", 45, 0, 90, _NO_DRAWING),
    _count("grid_squares", "squares of the grid across the picture", 6, 1, _NO_DRAWING),
    _count("grid_rows", "squares of the grid down the picture, one that is cut off among them", 8, 1, _NO_DRAWING),
    _number("grid_square_sheet_mm", "mm", "side of a square on the printed sheet", 20.7, 1e-3, 1e4, _NO_DRAWING),
    _square("top", "up", "C2"),
    _square("bottom", "down", "D7"),
    _square("left", "to the left", "B4"),
    _square("right", "to the right", "E5"),
    _number("sight_height_sheet_mm", "mm", "height of the subject on the printed sheet", 92, 1e-3, 1e4, _NO_DRAWING),
    _number("sight_width_sheet_mm", "mm", "width of the subject on the printed sheet", 71, 1e-3, 1e4, _NO_DRAWING),
    _number(
        "sight_eye_to_sheet_mm",
        "mm",
        "distance from which the printed sheet covers as much of what you see as the view does",
        430,
        1e-3,
        1e6,
        _NO_DRAWING,
    ),
)

DIFFICULTY = tuple(
    Fact(name, "none", "number", meaning, specimen, 0.0, high)
    for name, meaning, specimen, high in (
        ("difficulty", "how hard the view is to draw under this lighting, from 0 to 10", 4.6, 10.0),
        ("difficulty_foreshortening", "how much of that is foreshortening, from 0 to 1", 0.4, 1.0),
        ("difficulty_shapes", "how much is the number of shapes, from 0 to 1", 0.5, 1.0),
        ("difficulty_values", "how much is values that are hard to tell apart, from 0 to 1", 0.45, 1.0),
    )
)
