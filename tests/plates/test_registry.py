"""Every plate kind, as listed."""

from __future__ import annotations

import functools
import inspect
from pathlib import Path

import numpy as np
import pytest

from builder.form.formed import form_of
from builder.form.looked import look_at
from builder.model.tracer import Tracer
from builder.plates.plate import ContourKind, FormKind, Plate
from builder.plates.registry import KINDS, LIGHT_KINDS
from builder.plates.shown import show
from tests.plates.known_light import moon, picture
from tests.plates.test_values import hills

BY_NAME = {kind.name: kind for kind in KINDS}
LIGHT = ["tone", "values-2", "values-3", "values-5", "values-9", "families", "light-shadow"]
PLANES = ["planes-big", "planes-middle", "planes-small"]
BLOCK_IN = ["block-in-1", "block-in-2", "block-in-3", "block-in-4"]
SECTIONS = ["sections-level", "sections-upright", "sections-oblique"]


def test_names_are_slugs_and_differ():
    """Each name can stand in an address, each title in a menu, and none stands twice."""
    assert len(BY_NAME) == len({kind.title for kind in KINDS}) == len(KINDS)
    assert list(BY_NAME) == [*LIGHT, *PLANES, *BLOCK_IN, "lines", *SECTIONS, "measures", "grid", "sight-size"]
    assert all(name.replace("-", "").isalnum() and name == name.lower() for name in BY_NAME)


def test_kinds_of_one_group_stand_together():
    """The page offers group after group, in the order of the list."""
    groups = [kind.group for kind in KINDS]
    assert list(dict.fromkeys(groups)) == ["light", "planes", "construction", "form", "measure"]
    assert groups == sorted(groups, key=list(dict.fromkeys(groups)).index)


@pytest.mark.parametrize("name", BY_NAME)
def test_each_kind_has_a_module_a_test_and_a_lesson(name):
    """One module with a docstring, a test file of the same name, and a paragraph of plain sentences."""
    make = BY_NAME[name].make
    module = inspect.getmodule(make.func if isinstance(make, functools.partial) else make)
    assert module is not None and module.__doc__
    assert (Path(__file__).parent / f"test_{module.__name__.rpartition('.')[2]}.py").exists()
    teaches = BY_NAME[name].teaches
    assert len(teaches) > 150 and teaches.endswith(".") and "\n" not in teaches and "  " not in teaches


@pytest.mark.parametrize("kind", LIGHT_KINDS, ids=lambda kind: kind.name)
def test_each_kind_of_light_makes_its_plate_the_same_every_time(kind):
    """The plate has the kind's name and the picture's size; made twice it is the same, facts and all; exact kinds are
    written without loss."""
    shown = picture(hills())
    first, second = kind.make(shown), kind.make(shown)
    assert isinstance(first, Plate) and first.kind == kind.name
    assert first.grey.shape == shown.luminance.shape
    assert np.array_equal(first.grey, second.grey) and first.facts == second.facts
    assert first.lossless == (kind.tolerance == "exact")


@pytest.mark.parametrize(
    "kind", [kind for kind in KINDS if isinstance(kind, FormKind | ContourKind)], ids=lambda kind: kind.name
)
def test_each_kind_of_the_form_makes_its_plate_the_same_every_time(kind):
    """Lines on paper and as SVG, over the tone plate; made twice they are the same."""
    model, lit, sight = moon(30.0, size=500)
    looked = look_at(model, sight)
    formed = form_of(looked, None)
    given = (formed,) if isinstance(kind, FormKind) else (formed, show(looked, lit, Tracer(model.scene)))
    first, second = kind.make(*given), kind.make(*given)
    assert first.kind == kind.name and kind.over == "tone" and first.lossless
    assert first.grey.shape == looked.subject.shape and first.grey.min() < 128 < first.grey.max()
    assert first.drawing.startswith(b"<svg") and first.drawing == second.drawing
    assert np.array_equal(first.grey, second.grey) and first.facts == second.facts
