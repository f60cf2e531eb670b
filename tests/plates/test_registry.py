"""Every plate kind, as listed."""

from __future__ import annotations

import functools
import inspect
from pathlib import Path

import numpy as np
import pytest

from builder.plates.plate import Plate
from builder.plates.registry import KINDS
from tests.plates.known_light import picture
from tests.plates.test_values import hills

BY_NAME = {kind.name: kind for kind in KINDS}


def test_names_are_slugs_and_differ():
    """Each name can stand in an address, each title in a menu, and none stands twice."""
    assert len(BY_NAME) == len({kind.title for kind in KINDS}) == len(KINDS)
    values = ["values-2", "values-3", "values-5", "values-9"]
    assert list(BY_NAME) == ["tone", *values, "families", "light-shadow"]
    assert all(name.replace("-", "").isalnum() and name == name.lower() for name in BY_NAME)


@pytest.mark.parametrize("name", BY_NAME)
def test_each_kind_has_a_module_a_test_and_a_lesson(name):
    """One module with a docstring, a test file of the same name, and a paragraph of plain sentences."""
    make = BY_NAME[name].make
    module = inspect.getmodule(make.func if isinstance(make, functools.partial) else make)
    assert module is not None and module.__doc__
    assert (Path(__file__).parent / f"test_{module.__name__.rpartition('.')[2]}.py").exists()
    teaches = BY_NAME[name].teaches
    assert len(teaches) > 150 and teaches.endswith(".") and "\n" not in teaches and "  " not in teaches


@pytest.mark.parametrize("name", BY_NAME)
def test_each_kind_makes_its_plate_the_same_every_time(name):
    """The plate has the kind's name and the picture's size; made twice it is the same, facts and all; exact kinds are
    written without loss."""
    kind = BY_NAME[name]
    shown = picture(hills())
    first, second = kind.make(shown), kind.make(shown)
    assert isinstance(first, Plate) and first.kind == name
    assert first.grey.shape == shown.luminance.shape
    assert np.array_equal(first.grey, second.grey) and first.facts == second.facts
    assert first.lossless == (kind.tolerance == "exact")
