"""Rows that are alike, against numpy's sorting (numpy.unique over rows)."""

from __future__ import annotations

import numpy as np
import pytest

from builder.model.alike import first_alike


@pytest.mark.parametrize("kind", [np.float64, np.int32])
def test_each_row_names_the_first_of_its_kind(kind: type[np.generic]) -> None:
    rows = np.random.default_rng(0).integers(-3, 4, (2000, 3)).astype(kind)
    _, first, place = np.unique(rows, axis=0, return_index=True, return_inverse=True)
    assert np.array_equal(first_alike(rows), first[place.ravel()])


def test_the_two_zeros_are_one() -> None:
    assert first_alike(np.array([[0.0, -0.0, 1.0], [-0.0, 0.0, 1.0], [1.0, 0.0, 0.0]])).tolist() == [0, 0, 2]
