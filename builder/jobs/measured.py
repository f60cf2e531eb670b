"""Measures as plain values that a JSON file can hold, and back."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from typing import Any

import numpy as np

from builder.form.measure import Measure
from builder.form.stroke import Mark, Stroke

_DIGITS = 2
"""Decimals of a place in px: finer than any drawing shows."""


def plain_of(measure: Measure) -> dict[str, Any]:
    """The measure as text, numbers, lists and mappings."""
    return {
        "number": measure.number,
        "slug": measure.slug,
        "parameters": dict(measure.parameters),
        "strokes": [
            {**dataclasses.asdict(stroke), "points": np.round(stroke.points, _DIGITS).tolist()}
            for stroke in measure.strokes
        ],
        "marks": [dataclasses.asdict(mark) for mark in measure.marks],
    }


def measure_of(plain: Mapping[str, Any]) -> Measure:
    """The measure of :func:`plain_of`, its places rounded."""
    strokes = tuple(Stroke(**{**stroke, "points": np.array(stroke["points"])}) for stroke in plain["strokes"])
    marks = tuple(Mark(**mark) for mark in plain["marks"])
    return Measure(plain["number"], plain["slug"], plain["parameters"], strokes, marks)
