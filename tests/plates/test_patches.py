"""Where the subject is darkest and lightest."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from builder.plates.patches import patch_centres
from tests.plates.known_light import picture


def shaded(spots: dict[tuple[float, float], float], radius: float = 8.0) -> np.ndarray:
    y, x = np.mgrid[:150, :120] + 0.5
    luminance = np.full((150, 120), 0.4)
    for (fx, fy), level in spots.items():
        luminance[np.hypot(x - 20 - fx * 80, y - 25 - fy * 100) < radius] = level
    return luminance.astype("f4")


def subject() -> np.ndarray:
    inside = np.zeros((150, 120), np.bool_)
    inside[25:125, 20:100] = True
    return inside


def test_spots_are_found_in_the_silhouettes_box():
    """A dark and a light disc are found at their centres, as fractions of the box from its left and top."""
    found = patch_centres(picture(shaded({(0.3, 0.7): 0.05, (0.75, 0.2): 0.9}), subject()))
    assert found["darkest_x"] == pytest.approx(0.3, abs=0.06)
    assert found["darkest_y"] == pytest.approx(0.7, abs=0.06)
    assert found["lightest_x"] == pytest.approx(0.75, abs=0.06)
    assert found["lightest_y"] == pytest.approx(0.2, abs=0.06)


def test_what_is_painted_counts():
    """Where the plates are painted in another range than the light's, the darkest place is that of the painting."""
    painted = replace(picture(shaded({(0.3, 0.7): 0.05}), subject()), drawn=shaded({(0.6, 0.4): 0.1}))
    found = patch_centres(painted)
    assert (found["darkest_x"], found["darkest_y"]) == (pytest.approx(0.6, abs=0.06), pytest.approx(0.4, abs=0.06))


def test_stray_pixels_do_not_count():
    """A single black pixel loses against a broad grey patch."""
    luminance = shaded({(0.3, 0.7): 0.2})
    luminance[60, 60] = 0.0
    found = patch_centres(picture(luminance, subject()))
    assert (found["darkest_x"], found["darkest_y"]) == (pytest.approx(0.3, abs=0.06), pytest.approx(0.7, abs=0.06))


def test_the_surround_does_not_count():
    """Black beside the subject does not darken its rim, and the darkest place stays inside it."""
    luminance = np.where(subject(), shaded({(0.5, 0.5): 0.3}), 0.0).astype("f4")
    found = patch_centres(picture(luminance, subject()))
    assert (found["darkest_x"], found["darkest_y"]) == (pytest.approx(0.5, abs=0.06), pytest.approx(0.5, abs=0.06))


def test_a_mirrored_picture_has_mirrored_places():
    """Left becomes right; up and down stay."""
    luminance = shaded({(0.3, 0.7): 0.05, (0.75, 0.2): 0.9})
    found = patch_centres(picture(luminance, subject()))
    mirrored = patch_centres(picture(luminance[:, ::-1].copy(), subject()[:, ::-1].copy()))
    assert mirrored["darkest_x"] == pytest.approx(1 - found["darkest_x"], abs=0.06)
    assert mirrored["darkest_y"] == pytest.approx(found["darkest_y"], abs=0.06)


def test_thin_subjects_have_places_too():
    """A subject thinner than any patch still has a darkest and a lightest place, on itself."""
    thin = np.zeros((150, 120), np.bool_)
    thin[20:130, 60] = True
    luminance = np.linspace(0.1, 0.9, 150)[:, None].repeat(120, axis=1).astype("f4")
    found = patch_centres(picture(luminance, thin))
    assert found["darkest_y"] < 0.1 and found["lightest_y"] > 0.9
    assert found["darkest_x"] == found["lightest_x"] == 0.5


def test_an_even_subject_gives_its_middle():
    """With nothing to choose, darkest and lightest are both in the middle, not at some pixel of rounding noise."""
    found = patch_centres(picture(np.full((150, 120), 0.37, "f4"), subject()))
    assert list(found.values()) == pytest.approx([0.5] * 4, abs=0.01)


def test_a_broad_shadow_gives_its_middle():
    """Of an even dark half the middle is named, though no part of it is darker than another."""
    luminance = np.where(np.arange(120) < 60, 0.05, 0.5)[None].repeat(150, axis=0).astype("f4")
    found = patch_centres(picture(luminance, subject()))
    assert found["darkest_x"] == pytest.approx(0.25, abs=0.05)
    assert found["darkest_y"] == pytest.approx(0.5, abs=0.02)
    assert found["lightest_x"] == pytest.approx(0.75, abs=0.05)
