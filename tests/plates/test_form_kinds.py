"""Plates of the form: their pictures, their outlines and their facts belong together."""

from __future__ import annotations

import itertools
from xml.etree import ElementTree

import numpy as np
import pytest
from scipy.spatial import cKDTree

from builder.form.formed import form_of
from builder.form.looked import look_at
from builder.plates import form_kinds
from builder.plates.fact_list import FACTS
from tests.plates.known_light import moon

SVG = "{http://www.w3.org/2000/svg}"


def ball_formed(size: int = 256):
    model, _, sight = moon(30.0, size=size)
    return form_of(look_at(model, sight), None)


def test_what_they_measure_stands_in_the_list_of_facts() -> None:
    """A ball fills four fifths of the width: its envelope has seven sides, its sections and grid are counted."""
    formed = ball_formed()
    plates = [
        form_kinds.make_envelope(formed),
        form_kinds.make_measures(formed),
        form_kinds.make_grid(formed),
        form_kinds.make_sight_size(formed),
        *(form_kinds.make_sections(formed, family) for family in ("level", "upright", "oblique")),
    ]
    facts = {name: value for plate in plates for name, value in plate.facts.items()}
    assert not [name for name in facts if name not in FACTS]
    assert not [f"{name}: {value}" for name, value in facts.items() if not FACTS[name].takes(value)]
    assert facts["envelope_sides"] == 7
    assert facts["sight_width_sheet_mm"] == pytest.approx(0.8 * 124.0, abs=1.0)


def test_picture_and_outlines_show_the_same_lines() -> None:
    """Every dark pixel lies within a line's width of a path, and every path's corner has a dark pixel beside it."""
    plate = form_kinds.make_lines(ball_formed(500))
    root = ElementTree.fromstring(plate.drawing)
    points, corners = [], []
    for path in root.iter(f"{SVG}path"):
        given = (path.get("d") or "").strip("Mz").split("L")
        ring = np.array([[float(number) for number in pair.split()] for pair in given])
        closed = np.vstack([ring, ring[:1]]) if (path.get("d") or "").endswith("z") else ring
        corners.append(ring)
        for one, two in itertools.pairwise(closed):
            points.append(one + np.linspace(0, 1, 20)[:, None] * (two - one))
    along = np.concatenate(points)
    dark = np.argwhere(plate.grey < 200)[:, ::-1] + 0.5
    assert len(dark) > 500
    assert cKDTree(along).query(dark)[0].max() < 2.0
    assert cKDTree(dark).query(np.concatenate(corners))[0].max() < 1.5
