"""Rows of three numbers that are alike, found by a hash table: in one pass, however many there are."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Floats
from builder.model.triangles import Corners, Indices


def first_alike(rows: Floats | Corners) -> Indices:
    """(n,) of each row of ``rows`` (n, 3) the first row that equals it; no row holds a number that is none."""
    wide = np.ascontiguousarray(rows, np.float64 if rows.dtype.kind == "f" else np.int64)
    # adding 0 makes the two zeros one
    bits = (wide + 0.0).view(np.int64) if wide.dtype.kind == "f" else wide
    first = np.zeros(len(bits), np.int64)
    # twice as many places as rows, or more: a row meets few others on its way
    places = 1 << max(4, int(2 * len(bits)).bit_length())
    _first_alike(bits, np.full(places, -1, np.int32 if len(bits) < 2**31 else np.int64), first)
    return first


@njit(cache=True, nogil=True)
def _first_alike(rows: Any, table: Any, first: Any) -> None:
    """Open addressing: a row that finds its own kind takes its number, one that finds an empty place settles there."""
    mask = np.uint64(len(table) - 1)
    for row in range(len(rows)):
        key = np.uint64(0)
        for k in range(3):
            # the finalizer of MurmurHash3 (Appleby, public domain) on each number in turn
            key ^= np.uint64(rows[row, k])
            key ^= key >> np.uint64(33)
            key *= np.uint64(0xFF51AFD7ED558CCD)
            key ^= key >> np.uint64(33)
            key *= np.uint64(0xC4CEB9FE1A85EC53)
            key ^= key >> np.uint64(33)
        place = key & mask
        while True:
            other = table[place]
            if other < 0:
                table[place] = row
                first[row] = row
                break
            if rows[other, 0] == rows[row, 0] and rows[other, 1] == rows[row, 1] and rows[other, 2] == rows[row, 2]:
                first[row] = other
                break
            place = (place + np.uint64(1)) & mask
